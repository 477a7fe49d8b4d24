import re
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from chemistry.bath import DensityRead
from inventory import book
from inventory.models import Container, Material
from studio.baths import operations
from studio.pages.quantities import NO_BREAK
from tests.factories import BathFactory, adopted, day, entry, signed, stocked
from tests.studio.cathodes.shop import bite, hung
from tests.studio.orders.shop import PackFactory

FAR_OFF = DensityRead(day=0, sg=1.19)


def bench(client) -> str:
    return " ".join(client.get("/").content.decode().split())


def fetched(client) -> str:
    return " ".join(client.get(reverse("bench:needs")).content.decode().split())


def needs(client) -> dict[str, tuple[str, str]]:
    """What needs a hand: the word, its sentence, and where its button leads."""
    found = re.findall(
        r'class="status \w+">([^<]+)</span>\s*<p>([^<]+)</p></div>\s*<a class="button" href="([^"]+)"', fetched(client)
    )
    return {word: (unescape(sentence), url) for word, sentence, url in found}


def asked_of_baths(client) -> list[tuple[str, str, str]]:
    """What the lines of the baths ask for: the sentence, where the button leads, and what it says."""
    found = re.findall(r'class="need"><p>([^<]+)</p> <a class="button" href="([^"]+)">([^<]+)<', bench(client))
    return [
        (unescape(sentence).replace(NO_BREAK, " "), url, label.replace(NO_BREAK, " ")) for sentence, url, label in found
    ]


def test_a_stranger_is_asked_to_sign_in(stranger):
    assert stranger.get("/").url.startswith("/people/sign-in/")


def test_the_bench_opens_with_the_studio_and_the_day(member, today):
    today(3)

    assert '<h1>Test Print Room</h1><p class="quiet small">Thu 5 Mar</p>' in bench(member)


def test_each_bath_is_drawn_with_its_strength(member, today):
    today(1)
    adopted(name="Upright tank"), adopted(name="Small tank", strength_g_per_l=180)

    shown = bench(member)

    assert shown.count("g/L</small>") == 2 and "240&nbsp;<small>±" in shown and "180&nbsp;<small>±" in shown
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


def test_a_quiet_day_needs_nothing_and_says_nothing(member, today):
    today(1)
    adopted()

    assert needs(member) == {} and asked_of_baths(member) == []
    assert "Needs a hand" not in bench(member)
    assert "Nothing needs a hand." in fetched(member)


def test_a_held_out_reading_needs_an_answer(member, today):
    bath = adopted(name="Upright tank")
    reading = operations.read(bath, FAR_OFF, words="SG 1.190 at 20 °C", by=signed(1)).bath_events.get()
    today(2)

    assert asked_of_baths(member) == [
        (
            "A reading of 3 March is held out: SG 1.190 at 20 °C does not fit the book.",
            reverse("baths:answer", args=[reading.pk]),
            "Answer it",
        )
    ]


def test_an_unread_tank_needs_a_bath(member):
    bath = BathFactory()

    assert asked_of_baths(member)[0][:2] == ("Nobody has said yet what is in it.", f"/baths/{bath.pk}/")


@pytest.mark.parametrize(
    ("bath", "sentence", "label"),
    [
        ({"strength_g_per_l": 285, "coldest_c": 18}, "Past its 260 g/L.", "Plan the top-up"),
        ({"strength_g_per_l": 285, "volume_l": 10.5, "coldest_c": 18}, "Past its 260 g/L.", "Add 1.51 L of water"),
        ({"strength_g_per_l": 340, "coldest_c": 18}, "Past its 260 g/L.", "Plan the top-up"),
        ({"strength_g_per_l": 285, "coldest_c": 5}, "of crystals fall out on a cold night.", "Plan the top-up"),
        ({"strength_g_per_l": 180}, "Below 200 g/L", "Plan the top-up"),
        ({"strength_g_per_l": 255, "coldest_c": 5}, "of crystals fall out on a cold night.", "Plan the top-up"),
        ({"strength_g_per_l": 205, "coldest_c": -5}, "keep it somewhere warmer.", "Read what helps"),
        ({"volume_l": 10, "strength_g_per_l": 240}, "below its mark.", "Add 2.01 L of water"),
        ({"strength_g_per_l": 257, "lid_on": False}, "it is past its range.", "Plan the top-up"),
    ],
)
def test_a_bath_asks_for_one_deed_with_its_amount_on_the_button(member, today, bath, sentence, label):
    today(1)
    adopted(**bath)

    [(asked, url, button)] = asked_of_baths(member)

    assert sentence in asked and button == label
    assert url.endswith("#comes" if button == "Read what helps" else "/top-up/")


def test_the_amount_on_the_button_is_the_planners(member, today):
    today(1)
    bath = adopted(strength_g_per_l=285, volume_l=10.5)

    [(_, url, button)] = asked_of_baths(member)

    planned = " ".join(member.get(url).content.decode().split())
    assert button == "Add 1.51 L of water" and re.search(r'name="water_l_0" value="1\.5[01]', planned)
    assert bath.get_absolute_url() in planned


def test_a_bath_nobody_read_for_a_month_needs_a_reading(member, today):
    today(40)
    bath = adopted()

    assert asked_of_baths(member)[0][1:] == (reverse("baths:read_level", args=[bath.pk]), "Read it")


def test_a_material_at_its_level_is_low(member, today):
    today(1)
    jar = stocked("500 g", name="Copper sulfate crystals", reorder_level=500_000)
    Material.objects.create(name="Never stocked", category="x", dimension="mass", shown_unit="g")

    assert needs(member) == {
        "low": (
            "Copper sulfate crystals: 500 g left; you buy at 500 g.",
            reverse("orders:material", args=[jar.material_id]),
        )
    }


def test_a_container_past_its_date_needs_a_decision(member, today):
    jar = stocked("180 mL", name="Lacquer thinner", dimension="volume", shown_unit="mL")
    finished = stocked("1 mL", dimension="volume", shown_unit="mL")
    Container.objects.update(use_by_on=timezone.localdate(day(1)))
    Container.objects.filter(pk=finished.pk).update(on_hand=0)
    today(2)

    sentence, url = needs(member)["past use-by"]

    assert sentence == f"Lacquer thinner {jar.code}: 180 mL, past 3 March 2026."
    assert url == jar.get_absolute_url()


def test_the_smallest_that_is_enough_stands_on_the_button(member, today):
    today(1)
    jar = stocked("500 g", name="Copper sulfate crystals", reorder_level=1_000_000)
    for amount in (500_000, 2_500_000):
        PackFactory(material=jar.material, amount=amount, price_cents=amount)

    assert ">Order 500 g</a>" in fetched(member)


def test_what_must_be_acted_on_comes_first_and_what_is_less_urgent_is_folded_with_its_number(member, today):
    for name in "abcde":
        stocked("100 g", name=f"Wax {name}", reorder_level=500_000)
    jar = stocked("180 mL", name="Lacquer thinner", dimension="volume", shown_unit="mL")
    Container.objects.filter(pk=jar.pk).update(use_by_on=timezone.localdate(day(1)))
    today(2)

    shown = fetched(member)

    assert shown.index("past use-by") < shown.index("Wax a")
    assert shown.index("Wax d") < shown.index("<summary>1 more, less urgent</summary>") < shown.index("Wax e")
    assert 'Needs a hand <span class="count-of">6</span>' in shown


def test_the_latest_lines_of_the_book_stand_beside(member, today):
    today(20)
    for at in range(12):
        entry(at, kind=f"note number {at}")
    book.strike(entry(13, kind="a mistake"), by=signed(13), reason="wrong day")

    shown = bench(member)

    assert shown.count('<li id="entry-') == 6
    assert "note number 11" in shown and "note number 6<" not in shown
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


def test_what_needs_a_hand_costs_the_same_queries_however_much_does(member, django_assert_max_num_queries):
    hung(name="Sheet", bath=adopted()), stocked("100 g", reorder_level=500_000)

    with CaptureQueriesContext(connection) as few:
        fetched(member)
    for number in range(4):
        hung(name=f"Sheet {number}", bath=adopted()), stocked("100 g", reorder_level=500_000)
    with django_assert_max_num_queries(len(few)):
        fetched(member)
    with django_assert_max_num_queries(4):
        fetched(member)


def test_what_is_not_kept_is_fetched_and_then_stands_on_the_bench(member):
    stocked("100 g", name="Wax", reorder_level=500_000)
    url = reverse("bench:needs")
    assert f'hx-get="{url}"' in bench(member) and f'<a href="{url}">' in bench(member)

    piece = member.get(url, headers={"HX-Request": "true"}).content.decode()

    assert "Wax" in piece and "<html" not in piece
    assert "Wax" in bench(member) and f'hx-get="{url}"' not in bench(member)


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
