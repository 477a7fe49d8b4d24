import re

import pytest
from django.urls import reverse
from django.utils import timezone

from chemistry.bath import DensityRead
from inventory import book
from inventory.models import Container, Material
from studio.baths import operations
from studio.bench.needs import GROUPS
from tests.factories import BathFactory, adopted, day, entry, signed, stocked
from tests.studio.cathodes.shop import bite, hung

FAR_OFF = DensityRead(day=0, sg=1.19)


def bench(client) -> str:
    return " ".join(client.get("/").content.decode().split())


def group(client, slug) -> str:
    return " ".join(client.get(reverse("bench:group", args=[slug])).content.decode().split())


def needs(client) -> dict[str, tuple[str, str]]:
    """What needs a hand, group by group: the word, its sentence, and where its button leads."""
    panel = "".join(group(client, slug) for slug in GROUPS)
    found = re.findall(r'class="status \w+">([^<]+)</span>\s*<br>([^<]+)</p>\s*<a class="button" href="([^"]+)"', panel)
    return {word: (sentence, url) for word, sentence, url in found}


def test_a_stranger_is_asked_to_sign_in(stranger):
    assert stranger.get("/").url.startswith("/people/sign-in/")


def test_the_bench_opens_with_the_studio_and_the_day(member, today):
    today(3)

    assert '<h1>Test Print Room <span class="today">Thursday 5 March</span></h1>' in bench(member)


def test_each_bath_is_drawn_with_its_strength(member, today):
    today(1)
    adopted(name="Upright tank"), adopted(name="Small tank", strength_g_per_l=180)

    shown = bench(member)

    assert "240&nbsp;<small>g/L" in shown and "180&nbsp;<small>g/L" in shown
    assert shown.count('class="jug"') == 2


def test_the_big_buttons_lead_where_they_say(member):
    adopted()

    shown = bench(member)

    for errand in ("top_up", "read"):
        assert f'href="/baths/?do={errand}"' in shown
        assert member.get("/baths/", {"do": errand}).status_code in (200, 302)
    for page in ("waste:report", "bites:choose", "bites:write", "bites:write_card", "shelf:use"):
        assert f'href="{reverse(page)}"' in shown


def test_a_new_studio_sees_the_next_step_instead(keyholder):
    shown = bench(keyholder)

    assert "The next step" in shown and "?do=top_up" not in shown
    assert reverse("baths:adopt") in shown and reverse("shelf:new_material") in shown


def test_a_member_is_not_sent_where_only_a_keyholder_may_go(member):
    shown = bench(member)

    assert "A keyholder does this." in shown and reverse("shelf:new_material") in shown
    assert reverse("baths:adopt") not in shown and reverse("baths:set_up") not in shown


def test_the_first_step_goes_once_it_is_taken(member):
    adopted()
    shown = bench(member)
    assert "Put something on the shelf" in shown and "Bring your bath into the book" not in shown

    stocked("1 kg", crystals=True)

    assert "The next step" not in bench(member)


def test_a_quiet_day_needs_nothing(member, today):
    today(1)
    adopted()

    assert needs(member) == {}
    assert "Baths and plates: nothing does." in bench(member)


def test_a_held_out_reading_needs_an_answer(member, today):
    bath = adopted(name="Upright tank")
    reading = operations.read(bath, FAR_OFF, words="SG 1.190 at 20 °C", by=signed(1)).bath_events.get()
    today(2)

    sentence, url = needs(member)["reading held out"]

    assert sentence.startswith("Upright tank, 3 March: SG 1.190 at 20 °C reads 307 ± 5 g/L, the book says")
    assert url == reverse("baths:answer", args=[reading.pk])


def test_an_unread_tank_needs_a_bath(member):
    bath = BathFactory()

    assert needs(member)["unread"] == (f"{bath}: nobody has said yet what is in it.", f"/baths/{bath.pk}/")


@pytest.mark.parametrize(("strength_g_per_l", "word"), [(285, "over-strong"), (180, "weak"), (340, "crystals")])
def test_a_bath_out_of_its_range_needs_a_plan(member, today, strength_g_per_l, word):
    today(1)
    bath = adopted(strength_g_per_l=strength_g_per_l, coldest_c=18)

    sentence, url = needs(member)[word]

    assert "its range is 200 to 260 g/L" in sentence
    assert url == reverse("baths:top_up", args=[bath.pk])


def test_crystals_in_the_night_are_said_once_for_a_bath_in_range(member, today):
    today(1)
    adopted(strength_g_per_l=255, coldest_c=5)

    assert "of crystals fall out" in needs(member)["crystals tonight"][0]


def test_an_over_strong_bath_says_its_cold_night_in_the_same_breath(member, today):
    today(1)
    adopted(strength_g_per_l=285, coldest_c=5)

    asked = needs(member)

    assert list(asked) == ["over-strong"]
    assert "of crystals fall out" in asked["over-strong"][0]


def test_a_freezing_night_is_said(member, today):
    today(1)
    adopted(strength_g_per_l=205, coldest_c=-5)

    assert "ice forms in it" in needs(member)["ice tonight"][0]


def test_a_low_tank_needs_water(member, today):
    today(1)
    adopted(volume_l=10, strength_g_per_l=220)

    assert "10.0 ± 0.2 L and is filled to 12 L" in needs(member)["needs water"][0]


def test_a_bath_about_to_leave_its_range_is_said_a_week_ahead(member, today):
    today(1)
    adopted(strength_g_per_l=257, lid_on=False)

    assert "About" in needs(member)["needs water soon"][0]


def test_a_bath_nobody_read_for_a_month_needs_a_reading(member, today):
    today(40)
    bath = adopted()

    assert needs(member)["not read for a month"][1] == reverse("baths:read_level", args=[bath.pk])


def test_a_material_at_its_level_is_low(member, today):
    today(1)
    jar = stocked("500 g", name="Copper sulfate crystals", reorder_level=500_000)
    Material.objects.create(name="Never stocked", category="x", dimension="mass", shown_unit="g")

    assert needs(member) == {
        "low": ("Copper sulfate crystals: 500 g left, and 500 g is when to buy more.", jar.material.get_absolute_url())
    }


def test_a_container_past_its_date_needs_a_decision(member, today):
    jar = stocked("180 mL", name="Lacquer thinner", dimension="volume", shown_unit="mL")
    finished = stocked("1 mL", dimension="volume", shown_unit="mL")
    Container.objects.update(use_by_on=timezone.localdate(day(1)))
    Container.objects.filter(pk=finished.pk).update(on_hand=0)
    today(2)

    sentence, url = needs(member)["past use-by"]

    assert sentence == f"Lacquer thinner in {jar.code}: 180 mL left on {jar.place}, past its date of 3 March 2026."
    assert url == jar.get_absolute_url()


def test_what_must_be_acted_on_comes_first(member, today):
    stocked("100 g", name="Wax", reorder_level=500_000)
    bath = adopted()
    operations.read(bath, FAR_OFF, words="SG 1.190 at 20 °C", by=signed(1))
    today(2)

    assert list(needs(member)) == ["reading held out", "low"]


def test_the_latest_ten_lines_of_the_book_stand_beside(member, today):
    today(20)
    for at in range(12):
        entry(at, kind=f"note number {at}")
    book.strike(entry(13, kind="a mistake"), by=signed(13), reason="wrong day")

    shown = bench(member)

    assert shown.count('<li id="entry-') == 10
    assert "note number 11" in shown and "note number 2<" not in shown
    assert "<del>" in shown and "wrong day" in shown


def test_a_line_just_written_is_on_the_kept_bench(member):
    entry(0, kind="first thing")
    bench(member)

    entry(1, kind="second thing")

    assert "second thing" in bench(member)


def test_a_line_just_struck_is_struck_on_the_kept_bench(member):
    mistake = entry(0, kind="a mistake")
    bench(member)

    book.strike(mistake, by=signed(1), reason="wrong day")

    assert "wrong day" in bench(member)


def test_the_bench_costs_few_queries_however_many_baths(member, today, django_assert_max_num_queries):
    today(5)
    for _ in range(6):
        adopted(lid_on=False)
        stocked("100 g", reorder_level=500_000)

    with django_assert_max_num_queries(12):
        bench(member)
    with django_assert_max_num_queries(4):
        bench(member)


@pytest.mark.parametrize("slug", GROUPS)
def test_what_a_group_asks_for_costs_few_queries(member, slug, django_assert_max_num_queries):
    hung(bath=adopted()), stocked("100 g", reorder_level=500_000)

    with django_assert_max_num_queries(12):
        group(member, slug)
    with django_assert_max_num_queries(4):
        group(member, slug)


def test_what_is_not_kept_is_fetched_and_then_stands_on_the_bench(member):
    stocked("100 g", name="Wax", reorder_level=500_000)
    url = reverse("bench:group", args=["shelf"])
    assert f'hx-get="{url}"' in bench(member) and f'<a href="{url}">' in bench(member)

    fetched = member.get(url, headers={"HX-Request": "true"}).content.decode()

    assert "Wax" in fetched and "<html" not in fetched
    assert "Wax" in bench(member) and f'hx-get="{url}"' not in bench(member)


def test_a_part_of_the_studio_that_does_not_exist_asks_for_nothing(member):
    assert member.get("/needs/cellar/").status_code == 404


def test_a_cathode_that_has_gathered_enough_asks_to_be_stripped(member, today):
    cathode = hung(facing_cm2=100)
    bite(cathode, 2.2, at=1)
    today(2)

    sentence, url = needs(member)["time to strip"]

    assert sentence.startswith("Copper sheet: 2.5 ± 0.1 g of copper by the current")
    assert url == reverse("waste:strip", args=[cathode.pk])


def test_nothing_on_the_bench_is_called_safe(member):
    adopted(strength_g_per_l=300)

    shown = bench(member).lower()

    assert not re.search(r"\b(safe|legal|non-toxic|harmless)\b", shown)
