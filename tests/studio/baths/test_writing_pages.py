"""Every page that writes of a bath: it works, refuses strangers, explains itself and writes a double tap once."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from chemistry.bath import DensityRead, LevelRead
from inventory.models import Entry
from studio.baths import estimate, operations
from studio.baths.models import Answer, Bath, BathEvent
from studio.baths.status import status_of_baths
from tests.factories import BathFactory, PlaceFactory, adopted, day, signed

pytestmark = pytest.mark.django_db

MOST_QUERIES = 10
ASKED = {
    "read_level": {"level_0": "29.7", "level_1": "cm", "temperature_c": "18", "half_width_l": "0.08"},
    "read_hydrometer": {"hydrometer_0": "1.151", "hydrometer_1": "SG", "temperature_c": "19", "reference_c": "20"},
    "titrate": {"copper_0": "0.96", "copper_1": "mol/L", "half_width_percent": "2"},
    "strain": {"found": "powder", "litres_0": "100", "litres_1": "mL"},
    "drips": {"plates": "3", "ml_each": "6"},
    "take_out": {"told": "jug", "litres_0": "2", "litres_1": "L", "where_to": "to the small tank"},
    "add_solution": {"litres_0": "0,5", "litres_1": "L", "strength_g_per_l": "6"},
    "cover": {"lid_on": "off"},
    "adopt": {"level_0": "12", "level_1": "L", "known_by": "about", "strength_g_per_l": "240", "lid_on": "on"},
}
TANK = {
    "name": "Upright tank",
    "new_place": "Back room",
    "rim_l_0": "13",
    "rim_l_1": "L",
    "fill_l_1": "L",
    "surface_cm2": "20 x 20 cm",
    "range_low_g_per_l": "200",
    "range_high_g_per_l": "260",
    "coldest_c": "8",
    "air_c": "18",
    "relative_humidity_percent": "55",
}

LEVELS = {"level_before_0": "12", "level_before_1": "L", "level_after_0": "10", "level_after_1": "L"}
INTO_A_DRUM = ("strain", "take_out")  # pages of a bath and of a drum at once, so the drum's


def url(page, bath=None):
    feature = "waste" if page in INTO_A_DRUM else "baths"
    return reverse(f"{feature}:{page}", args=[bath.pk] if bath else [])


def post(browser, page, bath=None, **typed):
    return browser.post(url(page, bath), {"key": uuid4(), "reference_c": "20"} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


def now(bath):
    bath.refresh_from_db()
    return estimate.at_moment(bath)


def said(response):
    return [str(message) for message in response.wsgi_request._messages]


@pytest.mark.parametrize("page", ASKED)
def test_a_page_writes_one_entry_and_goes_on_to_the_bath(keyholder, page):
    bath = adopted()
    before = Entry.objects.count()

    response = post(keyholder, page, bath, **ASKED[page])

    assert (response.status_code, response.headers.get("Location")) == (302, bath.get_absolute_url())
    assert Entry.objects.count() == before + 1
    assert Entry.objects.latest("pk").done_by == keyholder.person


@pytest.mark.parametrize("page", [*ASKED, "change"])
def test_a_page_opens_with_few_questions_to_the_database(keyholder, django_assert_max_num_queries, page):
    bath = adopted()

    with django_assert_max_num_queries(MOST_QUERIES):
        response = keyholder.get(url(page, bath))

    assert response.status_code == 200


@pytest.mark.parametrize("page", [*ASKED, "change"])
def test_a_stranger_is_led_to_sign_in(stranger, page):
    bath = adopted()
    before = Entry.objects.count()

    response = post(stranger, page, bath, **ASKED.get(page, TANK))

    assert response.status_code == 302
    assert response.headers["Location"].startswith(reverse("people:sign_in"))
    assert Entry.objects.count() == before


@pytest.mark.parametrize("page", ASKED)
def test_a_double_tap_writes_once(keyholder, page):
    bath, key = adopted(), uuid4()
    before = Entry.objects.count()

    for _ in range(2):
        response = keyholder.post(url(page, bath), {"key": key, "reference_c": "20"} | ASKED[page])

    assert response.headers["Location"] == bath.get_absolute_url()
    assert Entry.objects.count() == before + 1


@pytest.mark.parametrize("page", ASKED)
def test_an_empty_form_is_explained_and_nothing_is_written(keyholder, page):
    bath = adopted()
    before = Entry.objects.count()

    response = post(keyholder, page, bath)

    assert response.status_code == 200
    assert "Nothing was written yet" in response.content.decode()
    assert Entry.objects.count() == before


@pytest.mark.parametrize("page", sorted({*ASKED} - {"adopt"}))
def test_a_bath_that_nobody_has_read_is_mixed_or_adopted_first(keyholder, page):
    response = post(keyholder, page, BathFactory(), **ASKED[page])

    assert "was unread then: mix it or adopt it first" in errors(response, "happened_at")


@pytest.mark.parametrize("page", ["set_up", "change", "adopt"])
def test_only_a_keyholder_changes_what_the_book_goes_by(member, page):
    response = post(member, page, None if page == "set_up" else adopted())

    assert response.status_code == 403


def test_a_date_in_the_future_is_refused_and_what_was_typed_is_kept(keyholder):
    response = post(keyholder, "drips", adopted(), plates="3", ml_each="6,5", happened_at="2199-01-01T10:00")

    assert "has not come yet" in errors(response, "happened_at")
    assert 'value="6,5"' in response.content.decode()
    assert 'value="2199-01-01T10:00"' in response.content.decode()


@pytest.mark.parametrize(
    ("page", "typed", "field", "sentence"),
    [
        ("read_level", {"level_0": "1,000"}, "level", "could be 1000 or 1; write one of these"),
        ("read_level", {"level_0": "40", "level_1": "cm"}, "level", "which is 16 L; Tank"),
        ("read_level", {"level_1": "furlong"}, "level", "“furlong” is not a unit known here"),
        ("read_level", {"temperature_c": "68"}, "temperature_c", "68 is outside 0 to 60 °C"),
        ("read_hydrometer", {"hydrometer_0": "15"}, "hydrometer", "did you mean 15 °Bé?"),
        ("read_hydrometer", {"hydrometer_0": "1.9"}, "hydrometer", "heavier than any copper sulfate bath"),
        ("read_hydrometer", {"hydrometer_0": "1155"}, "hydrometer", "Is that 1.155?"),
        ("read_hydrometer", {"hydrometer_0": "1.15", "hydrometer_1": "°Bé"}, "hydrometer", "did you mean SG 1.150?"),
        ("read_hydrometer", {"hydrometer_0": "0.9"}, "hydrometer", "lighter than water"),
        ("read_hydrometer", {"hydrometer_0": "60", "hydrometer_1": "°Bé"}, "hydrometer", "look again at the scale"),
        ("titrate", {"copper_0": "61"}, "copper", "more copper than water can hold"),
        ("strain", {"found": "out"}, "crystals_g", "Weigh what was kept out"),
        ("strain", {"found": "back", "crystals_g": "80"}, "found", "only given for blue crystals that were kept out"),
        ("strain", {"litres_0": "20", "litres_1": "L"}, "litres", "Only 12 L is in the bath"),
        ("drips", {"plates": "2.5"}, "plates", "Give whole plates"),
        ("take_out", {"litres_0": "12"}, "litres", "Only 12 L is in the bath"),
        ("take_out", {"litres_0": "half"}, "litres", "is not an amount"),
        ("take_out", {"litres_0": ""}, "litres", "Give a number"),
        ("take_out", {"told": "scale"}, "weight", "Give a number"),
        ("take_out", {"told": "scale", "weight_0": "15", "weight_1": "kg"}, "weight", "Only 12 L is in the bath"),
        ("take_out", {"told": "scale", "weight_0": "9000", "weight_1": "kg"}, "weight", "look again at the unit"),
        ("take_out", {"told": "levels", "level_before_0": "12", "level_before_1": "L"}, "level_after", "Give a number"),
        ("take_out", {"told": "levels"} | LEVELS | {"level_after_0": "12"}, "level_after", "stands no lower"),
        ("take_out", {"told": "levels"} | LEVELS | {"level_before_0": "99"}, "level_before", "runs over at"),
        (
            "take_out",
            {"told": "levels"} | LEVELS | {"level_before_0": "12.9", "level_after_0": "0.5"},
            "level_after",
            "Only 12 L",
        ),
        ("take_out", {"told": "cup"}, "told", "not one of the available choices"),
        ("add_solution", {"litres_0": "3"}, "litres", "runs over at 13 L"),
        ("adopt", {"level_0": "14"}, "level", "runs over at 13 L"),
        ("adopt", {"known_by": "hydrometer"}, "hydrometer", "say that the strength is known otherwise"),
        (
            "adopt",
            {"known_by": "hydrometer", "hydrometer_0": "1.15", "hydrometer_1": "SG"},
            "temperature_c",
            "a warm bath shows less",
        ),
        ("adopt", {"strength_g_per_l": ""}, "strength_g_per_l", "as far as it is known"),
    ],
)
def test_what_cannot_be_true_has_its_own_sentence(keyholder, page, typed, field, sentence):
    bath = adopted()
    before = Entry.objects.count()

    response = post(keyholder, page, bath, **ASKED[page] | typed)

    assert sentence in errors(response, field)
    assert Entry.objects.count() == before


def test_a_level_is_read_through_the_tanks_own_marks(keyholder):
    bath = adopted()
    bath.marks = [(10, 4.5), (30, 12.3)]
    operations.change(bath, by=signed(1))

    post(keyholder, "read_level", bath, level_0="29", level_1="cm", temperature_c="20", half_width_l="0.05")

    event = BathEvent.objects.get(kind="LevelRead")
    assert event.values["volume_l"] == pytest.approx(11.91)
    assert event.words == "29 cm, which is 11.9 L"


def test_a_baume_hydrometer_was_made_for_60_fahrenheit(keyholder):
    typed = {"hydrometer_0": "19,4", "hydrometer_1": "°Bé", "temperature_c": "18", "reference_c": "20"}

    post(keyholder, "read_hydrometer", adopted(), **typed)

    event = BathEvent.objects.get(kind="DensityRead")
    assert event.values["reference_c"] == 15.56
    assert event.words == "19.4 °Bé at 18 °C"


def test_the_instrument_is_remembered_from_its_last_reading(keyholder):
    bath = adopted()
    operations.read(
        bath, DensityRead(day=0, sg=1.15, temperature_c=20, reference_c=15.56), words="19 °Bé", by=signed(1)
    )

    form = keyholder.get(url("read_hydrometer", bath)).context["form"]

    assert form["reference_c"].value() == "15.56"
    assert form["hydrometer"].value() == (None, "°Bé")


def test_a_fahrenheit_studio_types_fahrenheit(keyholder, studio):
    studio.temperature = "°F"
    studio.save_base()

    post(keyholder, "read_hydrometer", adopted(), **ASKED["read_hydrometer"] | {"temperature_c": "68"})

    assert BathEvent.objects.get(kind="DensityRead").values["temperature_c"] == 20


def test_a_studio_that_reads_baume_types_its_strengths_in_baume(keyholder, studio):
    studio.strength = "°Bé"
    studio.save_base()
    bath = BathFactory()

    post(keyholder, "adopt", bath, **ASKED["adopt"] | {"strength_g_per_l": "19"})

    # 19 °Bé is SG 1.1508 at 60/60 °F (NBS Circular 19): about 241 g/L
    assert now(bath).strength_g_per_l == pytest.approx(241, abs=2)


def test_crystals_put_back_leave_the_salt_where_it_was(keyholder):
    bath = adopted()

    post(keyholder, "strain", bath, found="back", litres_0="100", litres_1="mL")

    assert now(bath).strength_g_per_l == pytest.approx(240)


def test_crystals_kept_out_take_their_salt_with_them(keyholder):
    bath = adopted(coldest_c=0)
    before = now(bath).salt_g

    post(keyholder, "strain", bath, found="out", crystals_g="100", litres_0="0", litres_1="L")

    assert before - now(bath).salt_g == pytest.approx(100, abs=0.1)


def test_a_reading_held_out_says_so_and_leads_to_its_answer(keyholder):
    bath = adopted()

    response = post(keyholder, "read_hydrometer", bath, **ASKED["read_hydrometer"] | {"hydrometer_0": "1.190"})

    event = BathEvent.objects.get(kind="DensityRead")
    held_out, written = said(response)
    assert held_out.startswith("Held out: it reads 30")
    assert f'href="{reverse("baths:answer", args=[event.pk])}"' in held_out
    assert written.startswith("Written: Read")


def far_off(bath):
    words = "SG 1.190 at 20 °C"
    entry = operations.read(
        bath, DensityRead(day=0, sg=1.19, temperature_c=20, reference_c=20), words=words, by=signed(1)
    )
    return entry.bath_events.get()


def answer(browser, event, **typed):
    return browser.post(reverse("baths:answer", args=[event.pk]), {"key": uuid4()} | typed)


def test_a_reading_held_out_is_answered(member):
    bath = adopted()

    response = answer(member, far_off(bath), choice=Answer.Choice.TRUST_READING)

    assert response.headers["Location"] == bath.get_absolute_url()
    assert now(bath).strength_g_per_l > 280


def test_the_question_shows_both_figures_and_what_to_look_for(member, django_assert_max_num_queries):
    event = far_off(adopted())

    with django_assert_max_num_queries(MOST_QUERIES):
        page = member.get(reverse("baths:answer", args=[event.pk])).content.decode()

    assert "307" in page and "240" in page
    assert "crystals on the floor" in page


def test_a_question_without_an_answer_is_asked_again(member):
    response = answer(member, far_off(adopted()))

    assert "Needed" in errors(response, "choice")


def test_a_reading_that_the_book_believes_needs_no_answer(member):
    bath = adopted()
    entry = operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.1), words="", by=signed(1))

    response = answer(member, entry.bath_events.get(), choice=Answer.Choice.TRUST_BOOK)

    assert response.headers["Location"] == bath.get_absolute_url()
    assert not Answer.objects.exists()


def test_a_tank_is_set_up_with_a_new_place(keyholder):
    response = post(keyholder, "set_up", **TANK, marks="10 = 4.1\n12 in = 3 gal")

    bath = Bath.objects.get()
    assert response.headers["Location"] == bath.get_absolute_url()
    assert f"Written: Set up the tank {bath}." in keyholder.get(response.headers["Location"]).content.decode()
    assert (bath.place.name, bath.fill_l, bath.surface_cm2) == ("Back room", pytest.approx(11.7), 400)
    assert [(depth_cm, round(litres, 2)) for depth_cm, litres in bath.marks] == [(10, 4.1), (30.5, 11.36)]


def test_two_marks_tell_the_surface(keyholder):
    post(keyholder, "set_up", **TANK | {"surface_cm2": "", "marks": "10 = 4\n20 = 8,2"})

    assert Bath.objects.get().surface_cm2 == 420


def test_a_place_of_that_name_is_not_made_twice(keyholder):
    place = PlaceFactory(name="back room")

    post(keyholder, "set_up", **TANK)

    assert Bath.objects.get().place == place


def test_a_tank_set_up_by_a_double_tap_is_there_once(keyholder):
    key = uuid4()

    for _ in range(2):
        response = keyholder.post(url("set_up"), TANK | {"key": key})

    assert response.headers["Location"] == Bath.objects.get().get_absolute_url()


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"marks": "10 cm"}, "marks", "is not a mark. Write a mark like 10 cm = 4 L"),
        ({"marks": "10 furlong = 4.1"}, "marks", "“furlong” is not a unit of length"),
        ({"marks": "10 = 4\n10 = 5"}, "marks", "Two marks stand at 10 cm"),
        ({"marks": "10 = 4\n10 = 5", "surface_cm2": ""}, "marks", "Two marks stand at 10 cm"),
        ({"marks": "10 = 4\n20 = 4", "surface_cm2": ""}, "marks", "holds no more than the one at 10 cm"),
        ({"surface_cm2": ""}, "surface_cm2", "Give the surface, or two marks"),
        ({"surface_cm2": "20 L"}, "surface_cm2", "measures volume, and area is asked for"),
        ({"new_place": ""}, "new_place", "name a new place"),
        ({"fill_l_0": "14"}, "fill_l", "runs over at 13 L"),
        ({"rim_l_0": "1,300"}, "rim_l", "write one of these"),
        ({"rim_l_0": "9000"}, "rim_l", "less than or equal to 2000"),
        ({"range_high_g_per_l": "900"}, "range_high_g_per_l", "900 is outside 1 to 400 g/L"),
        ({"coldest_c": "25"}, "coldest_c", "below its usual temperature"),
    ],
)
def test_a_tank_that_cannot_be_is_explained_beside_its_field(keyholder, typed, field, sentence):
    response = post(keyholder, "set_up", **TANK | typed)

    assert sentence in errors(response, field)
    assert not Bath.objects.exists()


def test_a_tank_shows_its_figures_and_takes_new_ones(keyholder):
    bath = adopted(name="Upright tank")
    bath.marks = [(10, 4.1), (20, 8.1)]
    operations.change(bath, by=signed(1))
    shown = keyholder.get(url("change", bath)).context["form"]
    typed = TANK | {"name": shown["name"].value(), "surface_cm2": shown["surface_cm2"].value(), "marks": "10 = 4.2"}

    response = post(keyholder, "change", bath, **typed)

    assert response.headers["Location"] == bath.get_absolute_url()
    assert shown["marks"].value() == "10 = 4.1\n20 = 8.1"
    assert type(bath).objects.get().marks == [[10, 4.2]]


def test_a_studio_adopts_its_tank_and_its_bath_in_one_entry(keyholder):
    response = post(keyholder, "adopt", **TANK | ASKED["adopt"] | {"level_0": "30", "level_1": "cm"})

    bath = Bath.objects.get()
    assert response.headers["Location"] == bath.get_absolute_url()
    assert Entry.objects.count() == 1
    assert (now(bath).volume_l, now(bath).strength_g_per_l) == (pytest.approx(12), pytest.approx(240))


def test_adopting_without_a_tank_is_written_once_by_a_double_tap(keyholder):
    key = uuid4()

    for _ in range(2):
        response = keyholder.post(url("adopt"), TANK | ASKED["adopt"] | {"key": key, "reference_c": "20"})

    assert Entry.objects.count() == 1
    assert response.headers["Location"] == Bath.objects.get().get_absolute_url()


def test_a_bath_is_adopted_by_its_hydrometer(keyholder):
    bath = BathFactory()
    read = {"known_by": "hydrometer", "hydrometer_0": "1.150", "hydrometer_1": "SG", "temperature_c": "20"}

    post(keyholder, "adopt", bath, **ASKED["adopt"] | read)

    # SG 1.150 at 20/20 °C: density 1.1479 g/mL, about 240 g/L
    assert now(bath).strength_g_per_l == pytest.approx(240, abs=2)
    assert now(bath).strength_sd_g_per_l < 6


def test_a_bath_mixed_long_ago_is_adopted_with_a_wide_spread(keyholder):
    bath = BathFactory()

    post(keyholder, "adopt", bath, **ASKED["adopt"] | {"known_by": "unknown", "strength_g_per_l": ""})

    assert now(bath).strength_g_per_l == pytest.approx(230)
    assert 1.96 * now(bath).strength_sd_g_per_l == pytest.approx(80, rel=0.05)


def test_an_open_bath_is_adopted_open(keyholder):
    bath = BathFactory()

    post(keyholder, "adopt", bath, **ASKED["adopt"] | {"lid_on": "off"})

    assert not operations.lid_is_on(bath, timezone.now())


def test_an_entry_can_be_dated_back(member):
    bath = adopted()

    post(member, "drips", bath, plates="200", ml_each="5", happened_at="2026-03-04T10:00")

    assert estimate.at_moment(Bath.objects.get(), day(3)).volume_l == pytest.approx(11)


def test_a_tank_adopted_with_its_bath_has_its_mark_where_the_bath_stands(keyholder):
    post(keyholder, "adopt", None, **TANK | ASKED["adopt"] | {"level_0": "9"})

    bath = Bath.objects.get()
    assert bath.fill_l == 9
    assert not status_of_baths([bath])[0].is_low


def test_a_usual_fill_that_was_given_is_kept(keyholder):
    post(keyholder, "adopt", None, **TANK | ASKED["adopt"] | {"level_0": "9", "fill_l_0": "12"})

    assert Bath.objects.get().fill_l == 12


def test_crystals_out_of_a_bath_that_drops_none_are_questioned(member):
    bath = adopted(strength_g_per_l=220, coldest_c=15)
    out = ASKED["strain"] | {"found": "out", "crystals_g": "50"}

    asked = post(member, "strain", bath, **out)
    insisted = post(member, "strain", bath, **out, crystals_anyway="on")

    assert "At 220 g/L none can be lying in it: the room gets no colder than 15 °C." in errors(asked, "crystals_anyway")
    assert 'name="crystals_anyway"' in asked.content.decode()
    assert insisted.headers["Location"] == bath.get_absolute_url()


def test_crystals_out_of_a_cold_bath_are_written_without_a_question(member):
    bath = adopted(strength_g_per_l=280, coldest_c=5)

    post(member, "strain", bath, **ASKED["strain"] | {"found": "out", "crystals_g": "50"})

    assert Entry.objects.filter(kind="bath strained").exists()


@pytest.mark.parametrize("page", ["read_level", "adopt"])
def test_a_level_above_the_rim_is_given_back_as_it_was_typed(keyholder, page):
    response = post(keyholder, page, adopted(), **ASKED[page] | {"level_0": "35", "level_1": "cm"})

    assert "That would stand at 35 cm, which is 14 L; Tank" in errors(response, "level")


@pytest.mark.parametrize(
    ("typed", "litres", "half_width_l", "says"),
    [
        ({"told": "jug", "litres_0": "2", "litres_1": "L"}, 2.0, 0.43, "2 L out"),
        ({"told": "jug", "litres_0": "2", "litres_1": "L", "half_width_l": "0.05"}, 2.0, 0.05, "2 L out"),
        ({"told": "scale", "weight_0": "2.3", "weight_1": "kg"}, 2.003, 0.0213, "2.3 kg out"),
        ({"told": "scale", "weight_0": "2.3", "weight_1": "kg", "half_width_g": "100"}, 2.003, 0.0871, "2.3 kg out"),
        ({"told": "levels"} | LEVELS, 2.0, 0.113, "2 L, from 12 to 10 L, out"),
        ({"told": "levels", "level_half_width_l": "0.2"} | LEVELS, 2.0, 0.283, "2 L, from 12 to 10 L, out"),
        ({"told": "levels"} | LEVELS | {"level_after_0": "25", "level_after_1": "cm"}, 2.0, 0.113, "from 12 to 10 L"),
    ],
)
def test_what_is_taken_out_is_told_by_the_jug_by_a_scale_or_by_two_levels(member, typed, litres, half_width_l, says):
    bath = adopted(surface_cm2=400)

    response = post(member, "take_out", bath, **({"where_to": "to the small tank"} | typed))

    assert response.status_code == 302
    event = BathEvent.objects.in_order().last()
    assert (event.taken_out.value, event.taken_out.half_width) == pytest.approx((litres, half_width_l), rel=0.02)
    assert says in str(event.entry)
    assert estimate.at_moment(bath).volume_l == pytest.approx(12 - litres, abs=0.001)


def test_what_was_weighed_leaves_the_bath_better_known_than_what_was_poured(member):
    weighed, poured = adopted(name="Weighed", surface_cm2=400), adopted(name="Poured", surface_cm2=400)
    post(member, "take_out", weighed, told="scale", weight_0="2.3", weight_1="kg", where_to="away")
    post(member, "take_out", poured, told="jug", litres_0="2.01", litres_1="L", where_to="away")

    by_scale, by_jug = (estimate.at_moment(bath).volume_sd_l for bath in (weighed, poured))

    assert by_scale < 0.75 * by_jug


@pytest.mark.parametrize(
    ("level_before", "says", "volume_l"),
    [
        ("12", "together 12", 10.0),  # as the book has it
        ("12.1", "Alone it says 12.1", 9.986),  # heard: it stood at 12.086 by both, and 2.1 L went out
        ("11", "Held out: it reads 11", 11.0),  # far off: the question stands, and a litre went out all the same
    ],
)
def test_a_level_told_before_bath_is_taken_out_is_held_against_the_book(member, level_before, says, volume_l):
    bath = adopted(surface_cm2=400)
    typed = {"told": "levels", "where_to": "to the small tank"} | LEVELS | {"level_before_0": level_before}

    post(member, "take_out", bath, **typed)

    assert says in member.get(bath.get_absolute_url()).content.decode()
    reading, taken = BathEvent.objects.in_order().filter(entry__kind="taken from the bath")
    assert (reading.kind, reading.event.volume_l) == ("LevelRead", float(level_before))
    assert reading.is_held_out == (level_before == "11")
    assert taken.taken_out.value == pytest.approx(float(level_before) - 10)
    assert estimate.at_moment(bath).volume_l == pytest.approx(volume_l, abs=0.005)
