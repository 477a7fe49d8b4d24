"""Mixing and topping up: what the planner says, shows and writes."""

import re
from html import unescape
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Entry, Material
from studio.baths import estimate, operations
from studio.baths.models import BathEvent
from studio.pages.quantities import NO_BREAK
from tests.factories import BathFactory, adopted, bitten, signed, stocked

pytestmark = pytest.mark.django_db

MOST_QUERIES = 10
LIVE = {"HX-Request": "true"}


def url(page, bath):
    return reverse(f"{'waste' if page == 'take_out' else 'baths'}:{page}", args=[bath.pk])


def words(response):
    """A page without its tags, as it is read."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", response.content.decode())))


def wanted(browser, bath, **asked):
    return browser.get(url("top_up", bath), {"level_1": "L"} | asked)


def weighed(jar, amount, unit="g"):
    return {f"salt_{jar.pk}_0": amount, f"salt_{jar.pk}_1": unit}


def mixing(*jars, water="3", **typed):
    """A mix as it is typed: each jar with its amount."""
    form = {"key": uuid4(), "water_l_0": water, "water_l_1": "L", "temperature_c": "20", "lid_on": "on"}
    for jar, amount, *unit in jars:
        form |= weighed(jar, amount, *unit)
    return form | typed


def topping_up(water="0.5", **typed):
    return {"key": uuid4(), "water_l_0": water, "water_l_1": "L", "temperature_c": "18"} | typed


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


def after_a_bite(**bath):
    bath = adopted(**bath)
    bitten(bath)
    return bath


@pytest.fixture
def jar():
    return stocked("4600 g", crystals=True)


@pytest.mark.parametrize("page", ["mix", "top_up"])
def test_a_page_opens_with_few_questions_to_the_database(member, jar, django_assert_max_num_queries, page):
    bath = adopted()

    with django_assert_max_num_queries(MOST_QUERIES):
        response = member.get(url(page, bath))

    assert response.status_code == 200


@pytest.mark.parametrize("page", ["mix", "top_up"])
def test_a_stranger_is_led_to_sign_in(stranger, page):
    response = stranger.post(url(page, adopted()), topping_up())

    assert response.headers["Location"].startswith(reverse("people:sign_in"))


def test_the_usual_plan_is_water_alone_up_to_the_usual_fill(member):
    bath = adopted(volume_l=11.5, strength_g_per_l=250)

    plan = member.get(url("top_up", bath)).context["plan"]

    # salt stays: 11.5 L × 250 g/L = 12 L × 239.6 g/L
    assert plan.salt_g == plan.remove_l == 0
    assert plan.water_l == pytest.approx(0.5, abs=0.01)
    assert plan.after.strength_g_per_l == pytest.approx(239.6, abs=0.1)


def test_a_weak_bath_that_bit_plates_is_offered_crystals_to_the_middle_of_its_range(member):
    bath = after_a_bite(volume_l=11.5, strength_g_per_l=190)

    plan = member.get(url("top_up", bath)).context["plan"]

    assert plan.water_l > 0 and plan.salt_g > 500
    assert plan.after.strength_g_per_l == pytest.approx(230, abs=0.1)
    assert plan.after.volume_l == pytest.approx(12, abs=0.01)


def test_crystals_are_not_offered_where_only_water_can_have_left(member):
    bath = adopted(volume_l=11.5, strength_g_per_l=300, air_c=30)

    assert member.get(url("top_up", bath)).context["plan"].salt_g == 0


def test_crystals_are_offered_where_water_alone_would_leave_a_bath_weak(member, jar):
    bath = adopted(volume_l=10, strength_g_per_l=205)

    page = member.get(url("top_up", bath))
    written = member.post(url("top_up", bath), topping_up("1.8", **weighed(jar, "700")))

    assert page.context["plan"].after.strength_g_per_l == pytest.approx(230, abs=0.1)
    assert written.headers["Location"] == bath.get_absolute_url()


def test_water_that_leaves_a_bath_weak_is_questioned_and_taken_when_somebody_insists(member):
    bath = adopted(volume_l=10, strength_g_per_l=205)

    asked = member.post(url("top_up", bath), topping_up("2"))
    insisted = member.post(url("top_up", bath), topping_up("2", weak_anyway="on"))

    assert "This leaves it weak, at 171 g/L; its range begins at 200 g/L." in errors(asked, "weak_anyway")
    assert 'name="weak_anyway"' in asked.content.decode()
    assert insisted.headers["Location"] == bath.get_absolute_url()


def test_crystals_that_a_bath_cannot_hold_are_refused_in_its_name(member, jar):
    bath = after_a_bite(volume_l=11)

    response = member.post(url("top_up", bath), topping_up("0.1", **weighed(jar, "2000")))

    assert "°C this bath can hold only" in errors(response, f"salt_{jar.pk}")


def test_crystals_alone_raise_the_strength_and_say_how_far_the_amount_can_be_trusted(member):
    bath = after_a_bite(volume_l=11.5, strength_g_per_l=230)

    response = wanted(member, bath, way="crystals", level_0="12", strength="245")

    plan = response.context["plan"]
    assert plan.water_l == 0
    assert plan.after.strength_g_per_l == pytest.approx(245, abs=0.1)
    assert f"Add {plan.crystals} of blue crystals".replace(NO_BREAK, " ") in words(response)
    assert "±" in str(plan.crystals)


def test_an_over_strong_bath_at_its_mark_has_some_taken_out_first(member):
    bath = adopted(volume_l=12, strength_g_per_l=280)

    response = wanted(member, bath, way="both", level_0="12", strength="240")

    litres = response.context["plan"].take_out_l
    assert float(litres) == pytest.approx(12 * (1 - 240 / 280), abs=0.02)
    assert f"{url('take_out', bath)}?litres={litres}" in response.content.decode()
    assert member.get(url("take_out", bath), {"litres": litres}).context["form"]["litres"].value() == (
        float(litres),
        "L",
    )


def test_a_bath_that_was_mixed_too_strong_is_never_led_to_a_plan_of_nothing(member):
    bath = adopted(volume_l=12, strength_g_per_l=280)

    plan = member.get(url("top_up", bath)).context["plan"]

    # the middle of 200 to 260 g/L, to the same mark
    assert plan.remove_l == pytest.approx(12 * (1 - plan.after.strength_g_per_l / 280), abs=0.03)
    assert plan.water_l > 0
    assert bath.range_low_g_per_l < plan.after.strength_g_per_l < bath.range_high_g_per_l


def test_a_change_of_the_usual_fill_has_no_digits_that_nobody_measured():
    assert BathFactory.build().shown_fact("fill_l", 5.02849) == "5.028 L"


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"way": "water", "level_0": "11"}, "It stands at 12 L already; water only lifts it. To weaken it with water,"),
        ({"way": "crystals", "level_0": "12", "strength": "200"}, "as strong as that already"),
    ],
)
def test_a_plan_that_needs_nothing_says_so(member, asked, sentence):
    response = wanted(member, adopted(), **asked)

    assert "Nothing to add" in words(response)
    assert sentence in words(response)


def test_a_strength_that_the_cold_would_undo_is_lowered_and_said(member):
    bath = adopted(volume_l=11, strength_g_per_l=250, coldest_c=5)

    response = wanted(member, bath, way="both", level_0="12", strength="300")

    assert "a bath holds only 240 g/L" in words(response)


def test_a_level_wanted_in_centimetres_goes_through_the_marks(member):
    bath = adopted(volume_l=11)
    bath.marks = [(10, 4), (30, 12)]
    operations.change(bath, by=signed(1))

    plan = wanted(member, bath, way="water", level_0="30", level_1="cm").context["plan"]

    assert plan.after.volume_l == pytest.approx(12, abs=0.01)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"way": "water", "level_0": "14"}, "That would stand at 14 L; Tank"),
        ({"way": "water", "level_0": "35", "level_1": "cm"}, "That would stand at 35 cm, which is 14 L; Tank"),
        ({"way": "water", "level_0": "1,000"}, "write one of these"),
        ({"way": "both", "level_0": "12", "strength": "900"}, "900 is outside 1 to 400 g/L"),
    ],
)
@pytest.mark.parametrize("headers", [{}, LIVE])
def test_a_wish_that_cannot_be_is_explained(member, asked, sentence, headers):
    response = member.get(url("top_up", adopted()), {"level_1": "L"} | asked, headers=headers)

    assert response.context["plan"] is None
    assert sentence in words(response)


def test_the_live_plan_is_only_the_plan(member, jar):
    response = member.get(
        url("top_up", adopted(volume_l=11.5)), {"way": "water", "level_0": "12", "level_1": "L"}, headers=LIVE
    )

    page = response.content.decode()
    assert "<html" not in page
    assert "Add 0.5" in words(response)
    assert {"HX-Request", "Cookie"} <= set(response.headers["Vary"].split(", "))


def test_every_amount_of_a_plan_can_be_opened_to_its_working(member):
    page = words(wanted(member, adopted(volume_l=11.5), way="both", level_0="12", strength="250"))

    assert "How is the water worked out?" in page
    assert "How are the crystals worked out?" in page


def test_an_unread_bath_has_nothing_to_plan(member):
    bath = BathFactory()

    response = member.get(url("top_up", bath))

    assert response.headers["Location"] == bath.get_absolute_url()


def test_what_was_really_added_is_written_whatever_the_plan_said(member, jar):
    bath = after_a_bite(volume_l=11)

    response = member.post(url("top_up", bath), topping_up("0,75", **weighed(jar, "120")))

    jar.refresh_from_db()
    assert response.headers["Location"] == bath.get_absolute_url()
    assert jar.on_hand == 4_480_000
    assert [event.kind for event in BathEvent.objects.order_by("-pk")[:2]] == ["CrystalsAdded", "WaterAdded"]


def test_salt_is_questioned_with_both_strengths_and_taken_when_somebody_insists(member, jar):
    bath = adopted(volume_l=11.5, strength_g_per_l=240)
    typed = topping_up(**weighed(jar, "120"))

    asked = member.post(url("top_up", bath), typed)
    insisted = member.post(url("top_up", bath), typed | {"salt_anyway": "on"})

    assert "water alone gives 230 g/L, with the crystals it becomes 239 g/L" in errors(asked, "salt_anyway")
    assert 'name="salt_anyway"' in asked.content.decode()
    assert insisted.headers["Location"] == bath.get_absolute_url()


def test_the_question_about_salt_is_not_asked_before_there_is_reason(member, jar):
    assert 'name="salt_anyway"' not in member.get(url("top_up", adopted())).content.decode()


def test_distilled_water_leaves_its_container(member):
    bath, can = adopted(volume_l=11), stocked("20 L", water=True)

    member.post(url("top_up", bath), topping_up(water_from=str(can.pk)))

    can.refresh_from_db()
    assert can.on_hand == 19_500_000


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"water_l_0": "0"}, "water_l", "Nothing to add yet"),
        ({"water_l_0": "5"}, "water_l", "runs over at 13 L"),
        ({"water_l_0": "1oo"}, "water_l", "“1oo” is not an amount"),
        ({"temperature_c": "-9"}, "temperature_c", "is below zero"),
        ({"water_from": "99"}, "water_from", "Select a valid choice"),
    ],
)
def test_a_top_up_that_cannot_be_is_explained_and_nothing_is_written(member, typed, field, sentence):
    bath = adopted()
    before = Entry.objects.count()

    response = member.post(url("top_up", bath), topping_up() | typed)

    assert sentence in errors(response, field)
    assert Entry.objects.count() == before


def test_more_than_the_jar_holds_is_refused_beside_that_jar(member):
    bath, jar = after_a_bite(volume_l=11), stocked("100 g", crystals=True)

    response = member.post(url("top_up", bath), topping_up(**weighed(jar, "120")))

    assert "Only 100 g" in errors(response, f"salt_{jar.pk}")
    assert 'value="120"' in response.content.decode()


def test_a_double_tap_that_emptied_the_jar_writes_once(member):
    bath, jar = after_a_bite(volume_l=11), stocked("120 g", crystals=True)
    typed = topping_up(water="", **weighed(jar, "120"))

    member.post(url("top_up", bath), typed)
    again = member.post(url("top_up", bath), typed)

    assert again.headers["Location"] == bath.get_absolute_url()
    assert Entry.objects.filter(kind="bath topped up").count() == 1


def test_the_amounts_of_the_plan_are_spread_over_the_jars_oldest_first(member):
    bath = after_a_bite(volume_l=11.5, strength_g_per_l=190)
    rest, sack = stocked("100 g", at=0, crystals=True), stocked("5 kg", at=1, crystals=True)

    form = member.get(url("top_up", bath)).context["form"]

    assert form[f"salt_{rest.pk}"].value() == (100, "g")
    assert float(form[f"salt_{sack.pk}"].value()[0]) > 400


def test_the_first_bath_is_reckoned_for_the_tank(member):
    bath = BathFactory(rim_l=3.5, fill_l=3.3)

    response = member.get(url("mix", bath), {"volume_0": "3.31", "volume_1": "L", "strength": "245"})

    # 3 L of water and 810 g make 3.31 L at 245 g/L by the density of Laliberté and Cooper 2004
    shown = words(response)
    assert "3.00 L of water and 811 g of blue crystals; or 3.30 L of water and 518 g of pale powder" in shown
    assert "293 mL (1.2 cups) more, which the powder takes up. Powder heats up as it gets wet" in shown


def test_a_recipe_above_the_rim_is_warned_of_at_once(member):
    bath = BathFactory(rim_l=3.5, fill_l=3.3)

    over, fits = (words(member.get(url("mix", bath), asked("3.6" if over else "3.5"))) for over in (True, False))

    assert "runs over at 3.5 L: mix less" in over
    assert "runs over" not in fits
    assert "1.00 L of water and 3 g of blue crystals" in words(member.get(url("mix", bath), asked("1", strength="3")))


def asked(volume, strength="245"):
    return {"volume_0": volume, "volume_1": "L", "strength": strength}


def test_the_mix_is_filled_in_only_when_it_was_asked_for(member, jar):
    bath = BathFactory()
    asked = {"volume_0": "12", "volume_1": "L", "strength": "245"}

    assert member.get(url("mix", bath)).context["form"]["water_l"].value() is None
    assert member.get(url("mix", bath), asked).context["form"][f"salt_{jar.pk}"].value() == (2940, "g")


def test_a_mix_is_shown_by_the_litre_of_water_and_of_bath_before_it_can_be_written(member, jar):
    bath = BathFactory(rim_l=3.5, fill_l=3.3)
    before = Entry.objects.count()

    shown = member.post(url("mix", bath), mixing((jar, "810")) | {"work_out": "1"})

    page = words(shown)
    assert "in the bath 245" in page
    assert "by the water 270" in page
    assert "It fits" in page
    assert "At 20 °C this water holds at most" in page
    assert "write it and take it from the shelf" in page
    assert Entry.objects.count() == before


def test_the_button_that_writes_a_mix_comes_with_what_it_writes(member, jar):
    assert "write it and take it from the shelf" not in words(member.get(url("mix", BathFactory())))


def test_a_mix_is_written_and_taken_from_several_jars(member):
    bath = BathFactory()
    rest, sack = stocked("500 g", crystals=True), stocked("5 kg", crystals=True)

    response = member.post(url("mix", bath), mixing((rest, "500"), (sack, "2.5", "kg"), water="11"))

    rest.refresh_from_db(), sack.refresh_from_db()
    assert response.headers["Location"] == bath.get_absolute_url()
    assert (rest.on_hand, sack.on_hand) == (0, 2_500_000)
    assert estimate.at_moment(bath).strength_g_per_l == pytest.approx(247, abs=1)


def test_a_mix_is_written_once_by_a_double_tap(member, jar):
    bath, typed = BathFactory(), mixing((jar, "4600"), water="16", temperature_c="25")
    bath.rim_l = 20
    bath.save_base()

    for _ in range(2):
        response = member.post(url("mix", bath), typed)

    assert response.headers["Location"] == bath.get_absolute_url()
    assert Entry.objects.filter(kind="bath mixed").count() == 1


def test_pale_powder_is_shown_as_the_blue_crystals_it_counts_for(member):
    bath, powder = BathFactory(), stocked("2 kg", powder=True)

    shown = member.post(url("mix", bath), mixing((powder, "640"), water="4") | {"work_out": "1"})

    # molar masses, IUPAC 2021: 640 × 249.686 / 159.609
    assert "640 g of pale powder counts as 1001 g of blue crystals" in words(shown)


def test_pale_powder_weighed_out_as_if_it_were_blue_crystals_is_found_out(member):
    bath, powder = BathFactory(), stocked("4 kg", powder=True)

    shown = member.post(url("mix", bath), mixing((powder, "3000"), water="11"))

    assert "At 20 °C this water can hold only 311 g/L" in errors(shown, f"salt_{powder.pk}")


def test_cups_are_weighed_by_bulk_density_with_their_spread(member, jar):
    bath = BathFactory()

    shown = member.post(url("mix", bath), mixing((jar, "3", "cup")) | {"work_out": "1"})

    # three metric cups at 1.15 g/mL
    assert "By the cup that is 860 ± 110 g" in words(shown)
    assert shown.context["form"].mix.state.strength_sd_g_per_l > 10


def test_a_cup_that_the_studio_has_weighed_goes_before_a_handbooks(member):
    jar = stocked("4 kg", crystals=True, bulk_density_g_per_ml=1.2)

    shown = member.post(url("mix", BathFactory()), mixing((jar, "1", "cup")) | {"work_out": "1"})

    assert shown.context["form"].portions[0].amount == 300_000


def test_cups_of_what_nobody_has_weighed_are_refused(member):
    powder = stocked("2 kg", powder=True)

    shown = member.post(url("mix", BathFactory()), mixing((powder, "1", "cup")))

    assert "Nobody has weighed a cup" in errors(shown, f"salt_{powder.pk}")


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"water_l_0": ""}, "water_l", "Water comes first"),
        ({"water_l_0": "14"}, "water_l", "runs over at 13 L"),
        ({"water_l_0": "1,000"}, "water_l", "write one of these"),
        ({"temperature_c": "95"}, "temperature_c", "95 is outside 0 to 60 °C"),
        ({"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
        ({"lid_on": "ajar"}, "lid_on", "Select a valid choice"),
    ],
)
def test_a_mix_that_cannot_be_is_explained_and_nothing_is_written(member, jar, typed, field, sentence):
    response = member.post(url("mix", BathFactory()), mixing((jar, "800")) | typed)

    assert sentence in errors(response, field)
    assert not BathEvent.objects.exists()


def test_a_mix_without_crystals_is_only_water(member, jar):
    response = member.post(url("mix", BathFactory()), mixing())

    assert "Say which crystals go in" in errors(response, f"salt_{jar.pk}")


def test_in_the_cold_a_mix_shows_what_would_stay_on_the_floor(member, jar):
    shown = member.post(url("mix", BathFactory()), mixing((jar, "1200"), temperature_c="8") | {"work_out": "1"})

    assert "would stay on the floor: warm it first, or add less" in words(shown)


def test_a_mix_shows_that_a_jar_holds_less_than_was_weighed(member):
    jar = stocked("400 g", crystals=True)

    shown = member.post(url("mix", BathFactory()), mixing((jar, "810")) | {"work_out": "1"})

    assert f"Only 400 g is in {jar.code}." in words(shown)


def test_the_live_mix_says_what_it_does_not_understand(member, jar):
    shown = member.post(url("mix", BathFactory()), mixing((jar, "8oo")) | {"work_out": "1"}, headers=LIVE)

    assert "<html" not in shown.content.decode()
    assert "8oo" in words(shown)


def test_an_empty_shelf_leads_to_receiving(member):
    stocked("1 kg", bath_use=Material.BathUse.NONE)

    page = member.get(url("mix", BathFactory()))

    assert "No copper sulfate stands on the shelf" in words(page)
    assert reverse("shelf:receive") in page.content.decode()


def test_a_fourth_jar_is_folded_away_until_salt_is_taken_from_it(member):
    bath, jars = BathFactory(), [stocked("1 kg", crystals=True) for _ in range(4)]
    last = f"salt_{jars[-1].pk}"

    opened = member.get(url("mix", bath)).context["form"]
    typed = member.post(url("mix", bath), mixing((jars[-1], "8oo"))).context["form"]

    assert [field.name for field in opened.other_jars] == [last]
    assert last in [field.name for field in typed.jars_at_hand]


def test_a_dose_from_an_unsure_figure_asks_for_a_hydrometer_and_fills_nothing_in(member, jar):
    bath = after_a_bite(volume_l=11.5, strength_g_per_l=230)

    response = wanted(member, bath, way="crystals", level_0="12", strength="245")

    crystals = str(response.context["plan"].crystals).replace(NO_BREAK, " ")
    assert f"Read a hydrometer first : {crystals} is too unsure" in words(response)
    assert response.context["form"][f"salt_{jar.pk}"].value() is None


def test_a_jug_that_nobody_would_notice_is_nothing_to_add(member):
    bath = adopted(volume_l=11.95)

    response = wanted(member, bath, way="water", level_0="12")

    assert "Nothing to add." in words(response)
    assert "already, as near as the book can tell." in words(response)


def test_a_plan_that_takes_out_first_folds_away_what_cannot_be_written_yet(member):
    bath = adopted(volume_l=12, strength_g_per_l=280)

    response = wanted(member, bath, way="both", level_0="12", strength="240")

    assert "Something was added all the same" in words(response)
    assert "What was really added" not in words(response)


@pytest.mark.parametrize("typed", [{"water": "14"}, {"temperature_c": "2", "water": "2"}])
def test_a_mix_that_cannot_be_has_no_button_that_writes_it(member, jar, typed):
    shown = member.post(url("mix", BathFactory()), mixing((jar, "1200"), **typed) | {"work_out": "1"})

    assert shown.context["form"].mix
    assert "write it and take it from the shelf" not in words(shown)


@pytest.mark.parametrize(("strength_g_per_l", "wanted_g_per_l"), [(210, 230), (240, 260)])
def test_crystals_alone_begin_with_a_strength_they_can_reach(member, strength_g_per_l, wanted_g_per_l):
    bath = after_a_bite(volume_l=11.5, strength_g_per_l=strength_g_per_l)

    plan = wanted(member, bath, way="crystals", level_0="12").context["plan"]

    assert plan.after.strength_g_per_l == pytest.approx(wanted_g_per_l, abs=0.1)


def test_a_plan_that_was_asked_for_is_led_to(member):
    bath = adopted(volume_l=11.5)

    asked, opened = wanted(member, bath, way="water", level_0="12"), member.get(url("top_up", bath))

    assert 'action="#plan"' in opened.content.decode()
    assert '<div id="plan" tabindex="-1" data-focus>' in asked.content.decode()
    assert '<div id="plan">' in opened.content.decode()


def test_a_mix_that_was_worked_out_is_led_to(member, jar):
    shown = member.post(url("mix", BathFactory()), mixing((jar, "800")) | {"work_out": "1"})

    assert '<div id="worked-out" tabindex="-1" data-focus' in shown.content.decode()


def test_a_mix_in_a_full_tank_says_what_becomes_of_the_bath_in_it(member):
    full, empty = adopted(), BathFactory()

    assert "In it stands 12.0 ± 0.2 L at 240 ± 10 g/L." in words(member.get(url("mix", full)))
    assert url("take_out", full) in member.get(url("mix", full)).content.decode()
    assert "In it stands" not in words(member.get(url("mix", empty)))
