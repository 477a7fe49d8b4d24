"""The pages of plates and bites: they work, refuse strangers, explain a bad form, and ask the database little."""

import time
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.measured import Measured, by_scale
from inventory import book
from inventory.models import Entry
from studio.bites import operations, plates
from studio.bites.models import Bite, BiteReading, BiteStop, Parcel, Plate, Preparation, Weighing
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.workshop.models import Workshop
from tests.factories import BathFactory, PlaceFactory, adopted, bitten, day, plate, signed, started, stocked

pytestmark = pytest.mark.django_db

MOST_QUERIES = 15
MINUTE = 1 / 1440


@pytest.fixture(autouse=True)
def ninth_day(today):
    """The clock stands at the ninth day of the book."""
    today(9)


@pytest.fixture
def shop():
    """A bath, a plate, a bite that is over and one that runs, a parcel on its way."""
    bath, harbour, away = adopted(name="Upright tank"), plate(), plate(name="Reeds")
    over = bitten(bath, at=2, plate=harbour, exposed=Measured(50, 5, "cm²"))
    plates.send([away], partner=PlaceFactory(name="Wrenfield", kind="away"), by=signed(3))
    runs = started(bath, at=9 - 5 * MINUTE, plate=harbour, exposed=Measured(50, 5, "cm²"))
    return {"bath": bath, "plate": harbour, "over": over, "runs": runs, "parcel": Parcel.objects.get()}


def pages(shop):
    one, parcel = {"plate": shop["plate"].pk}, {"parcel": shop["parcel"].pk}
    over, runs = {"bite": shop["over"].pk}, {"bite": shop["runs"].pk}
    return {
        "plates": {},
        "new_plate": {},
        "send": {},
        "bring_back": {},
        "plate": one,
        "prepare": one,
        "weigh": one,
        "add_photographs": one,
        "start": one,
        "bites": {},
        "choose": {},
        "write": {},
        "write_card": {},
        "plan": {},
        "recipe": {},
        "bite": over,
        "put_right": over,
        "read": runs,
        "stop": runs,
        "stopped": runs,
        "clock": runs,
        "alarm": runs,
        "run_card": {},
        "parcel_note": parcel,
    }


def url(page, **arguments):
    return reverse(f"bites:{page}", kwargs=arguments)


def post(browser, page, arguments=None, **typed):
    return browser.post(url(page, **(arguments or {})), {"key": uuid4()} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


def text(response):
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("page", pages({name: Plate() for name in ("plate", "over", "runs", "parcel")}))
def test_a_page_opens_with_few_questions_to_the_database(keyholder, shop, django_assert_max_num_queries, page):
    with django_assert_max_num_queries(MOST_QUERIES):
        response = keyholder.get(url(page, **pages(shop)[page]))

    assert response.status_code == 200


def test_the_page_of_a_running_bite_asks_little_too(member, shop, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        response = member.get(shop["runs"].get_absolute_url())

    assert "Current off: stop the clock" in text(response)


@pytest.mark.parametrize("page", ["plates", "bites", "plate", "bite"])
def test_a_page_seen_again_costs_next_to_nothing(member, shop, django_assert_max_num_queries, page):
    address = url(page, **pages(shop)[page])
    member.get(address)

    with django_assert_max_num_queries(7):
        member.get(address)


@pytest.mark.parametrize("address", ["start", "write", "write_card", "plan"])
def test_without_a_bath_the_way_leads_to_the_baths(member, address):
    shown = text(member.get(url(address)))

    assert "none is in the book yet" in shown
    assert f'href="{reverse("baths:list")}"' in shown


# a new plate

PLATE = {"name": "Harbour at dusk", "size": "6 x 8 in", "scale_g": "1"}


def test_a_plate_is_taken_from_the_shelf_in_one_entry(member):
    rack = stocked("4", category="Copper sheet and plates", dimension="count", shown_unit="piece")
    before = Entry.objects.count()

    response = post(member, "new_plate", **PLATE, cut_from=str(rack.pk), mass_g="283", thickness_mm="1.02")

    made = Plate.objects.get()
    rack.refresh_from_db()
    assert response.headers["Location"] == made.get_absolute_url()
    assert (made.owner, made.size, rack.on_hand) == (member.person, "152 × 203 mm, 6 × 8 in", 3)
    assert Entry.objects.count() == before + 1


def test_a_sheet_that_the_shelf_knows_gives_the_plate_its_thickness(member):
    sheet = stocked(
        "600 cm2", category="Copper sheet and plates", dimension="area", shown_unit="cm2", thickness_um=1020
    )

    post(member, "new_plate", **PLATE, cut_from=str(sheet.pk))

    assert Plate.objects.get().thickness_mm == pytest.approx(1.02)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [("1.02", 1.02), ("1,02 mm", 1.02), ("48 mil", 1.219), ('0.04"', 1.016), ("20 oz/ft²", 0.681), ("18 B&S", 1.024)],
)
def test_a_plate_is_as_thick_as_its_seller_writes(member, typed, mm):
    post(member, "new_plate", **PLATE, thickness_mm=typed)

    assert Plate.objects.get().thickness_mm == pytest.approx(mm, abs=0.001)


def test_gloves_are_no_plates(member):
    stocked("40", category="Gloves, eyes and lungs", dimension="count", shown_unit="piece")

    choices = member.get(url("new_plate")).context["form"].fields["cut_from"].choices

    assert len(choices) == 1


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"size": "6 in"}, "size", "is not an area of two sides"),
        ({"size": "6x8"}, "size", "The unit is missing"),
        ({"name": ""}, "name", "Needed"),
        ({"thickness_mm": "18"}, "thickness_mm", ""),
        ({"thickness_mm": "30 mm"}, "thickness_mm", "30 mm is outside 0.1 to 20 mm"),
        ({"thickness_mm": "18 gauge"}, "thickness_mm", "write 18 B&S or 18 SWG"),
        ({"thickness_mm": "1.02", "mass_g": "28"}, "mass_g", "weighs about 282 g; look again at all three"),
        ({"mass_g": "a lot"}, "mass_g", "is not one number"),
    ],
)
def test_a_bad_plate_is_explained_and_what_was_typed_is_kept(member, typed, field, sentence):
    response = post(member, "new_plate", **PLATE | typed)

    if sentence:
        assert sentence in errors(response, field)
        assert all(value in text(response) for value in typed.values())
        assert not Plate.objects.exists()
    else:
        assert response.status_code == 302  # an unusual plate is still a plate


def test_more_than_the_shelf_has_is_said_beside_the_shelf(member):
    sheet = stocked("100 cm2", category="Copper sheet and plates", dimension="area", shown_unit="cm2")

    response = post(member, "new_plate", **PLATE, cut_from=str(sheet.pk))

    assert "Only 100 cm²" in text(response)
    assert not Plate.objects.exists()


# ground, scale, parcels


def test_ground_and_bare_copper_are_written(member):
    harbour = plate()

    post(
        member,
        "prepare",
        {"plate": harbour.pk},
        state="2",
        ground="Hard ground, liquid",
        protected="the sky",
        exposed_0="10",
        exposed_1="%",
    )

    prepared = Preparation.objects.get()
    assert (prepared.state, prepared.exposed_cm2) == (2, pytest.approx(30.9, abs=0.1))
    assert prepared.exposed_sd_cm2 == pytest.approx(0.25 * prepared.exposed_cm2)


def test_a_ground_is_chosen_from_the_shelf_with_how_much_is_gone(member):
    jar = stocked("250 mL", category="Grounds", dimension="volume", shown_unit="mL")

    post(member, "prepare", {"plate": plate().pk}, state="1", ground_from=str(jar.pk), ground_amount="1,5 mL")

    jar.refresh_from_db()
    assert jar.on_hand == 248_500
    assert f'<a href="{jar.get_absolute_url()}">' in text(member.get(Plate.objects.get().get_absolute_url()))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"ground_amount": "5 mL"}, "Say out of which container"),
        ({"ground_from": "jar", "ground_amount": "5 g"}, "volume"),
        ({"ground_from": "jar", "ground_amount": "300 mL"}, "Only 250 mL"),
    ],
)
def test_a_ground_that_cannot_have_been_taken_is_refused_beside_its_amount(member, typed, said):
    jar = stocked("250 mL", category="Grounds", dimension="volume", shown_unit="mL")
    typed = {name: str(jar.pk) if value == "jar" else value for name, value in typed.items()}

    response = post(member, "prepare", {"plate": plate().pk}, state="1", **typed)

    assert said in errors(response, "ground_amount")
    assert f'value="{typed["ground_amount"]}"' in text(response)


@pytest.mark.parametrize(
    ("amount", "unit", "sentence"),
    [
        ("400", "cm2", "400 cm² is more than the whole face of the plate"),
        ("120", "%", "120 % of a plate is outside 0 to 100 %"),
        ("half", "%", "is not one number"),
        ("40", "acre", "is not a unit known here"),
    ],
)
def test_bare_copper_that_cannot_be_is_explained(member, amount, unit, sentence):
    response = post(member, "prepare", {"plate": plate().pk}, state="1", exposed_0=amount, exposed_1=unit)

    assert sentence in errors(response, "exposed")
    assert not Preparation.objects.exists()


def test_a_plate_is_weighed_as_its_scale_shows(member):
    post(member, "weigh", {"plate": plate().pk}, mass_g="283,4", scale_g="0.1", is_bare="on")

    weighing = Weighing.objects.get()
    assert (weighing.mass_g, weighing.half_width_g, weighing.is_bare) == (283.4, 0.1, True)


def test_the_plates_page_sets_weighed_beside_predicted(member):
    bath, harbour = adopted(), plate()
    for at, mass_g in ((1, 284.0), (3, 283.7)):
        plates.weigh(harbour, weight=by_scale(mass_g, 0.1), by=signed(at))
    bitten(bath, at=2, amps=2.1, minutes=60, plate=harbour)

    shown = text(member.get(harbour.get_absolute_url()))

    assert "2.6 ± 0.5 g predicted, 0.3 ± 0.1 g weighed: less than predicted" in shown
    assert "were amps and volts swapped?" in shown


def test_plates_travel_and_come_back(member):
    harbour, partner = plate(), PlaceFactory(name="Wrenfield", kind="away")

    post(member, "send", plates=[harbour.pk], partner=partner.pk, weight_kg="1.4", next_step="etch it")

    assert "mailed to Wrenfield" in text(member.get(harbour.get_absolute_url()))
    assert (Parcel.objects.get().weight_g, Parcel.objects.get().next_step) == (1400, "etch it")

    post(member, "bring_back", plates=[harbour.pk], partner=partner.pk)

    assert "mailed to" not in text(member.get(harbour.get_absolute_url()))


def test_an_empty_parcel_is_explained(member):
    plate()

    response = post(member, "send", partner=PlaceFactory(kind="away").pk)

    assert "at least one plate" in errors(response, "plates")


# before the current


def test_the_six_lines_stand_before_the_start(member):
    adopted()

    shown = text(member.get(url("start")))

    for line in (
        "Supply <b>off</b> while you clip",
        "The plate is on <b>plus, +</b>",
        "is on <b>minus, −</b>",
        "Back and edges of the plate are covered",
        "no steel clip below the liquid",
        "No solvent and no rags near",
        "A locked phone may stay silent",
        "A kitchen timer will not",
    ):
        assert line in shown


def starting(bath, **typed):
    return {"bath": bath.pk, "planned_min": "30", "state": "1", "checked": "on"} | typed


def test_a_start_writes_one_entry_and_goes_on_to_the_clock(member):
    bath, harbour = adopted(), plate()
    before = Entry.objects.count()

    response = post(
        member,
        "start",
        {"plate": harbour.pk},
        **starting(bath, exposed_0="50", exposed_1="cm2", volts_set="5", cathode="20 x 25 cm", gap_cm="4"),
    )

    bite = Bite.objects.get()
    assert response.headers["Location"] == bite.get_absolute_url()
    assert (bite.plate, bite.planned_min, bite.volts_set, bite.gap_cm) == (harbour, 30, 5, 4)
    assert (bite.exposed_cm2, bite.cathode_cm2) == (50, 500)
    assert Entry.objects.count() == before + 1


def test_a_double_tap_starts_once(member):
    bath, key = adopted(), uuid4()

    for _ in range(2):
        response = post(member, "start", key=key, **starting(bath))

    assert response.headers["Location"] == Bite.objects.get().get_absolute_url()


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"checked": ""}, "checked", "Go through the six lines first"),
        ({"volts_set": "50"}, "volts_set", "50 is outside 0 to 30 V"),
        ({"planned_min": "1,000"}, "planned_min", "could be 1000 or 1;"),
        ({"exposed_0": "5", "exposed_1": "%"}, "exposed", "A share needs a plate whose size is in the book"),
        ({"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
        ({"cathode": "20 cm"}, "cathode", "area is asked for"),
    ],
)
def test_a_bad_start_is_explained(member, typed, field, sentence):
    response = post(member, "start", **starting(adopted(), **typed))

    assert sentence in errors(response, field)
    assert not Bite.objects.exists()


def test_a_plate_called_by_another_metal_is_asked_about_beside_a_tick(member, shop):
    typed = PLATE | {"name": "Zinc plate"}

    response = post(member, "new_plate", **typed)

    assert "Copper plates out on zinc at once" in errors(response, "metal_anyway")
    assert 'name="metal_anyway"' in text(response)
    post(member, "new_plate", **typed, metal_anyway="on")
    zinc = Plate.objects.get(name="Zinc plate")
    started = post(member, "start", {"plate": zinc.pk}, **starting(adopted(name="Second tank")))
    assert "sounds like zinc" in errors(started, "metal_anyway") and 'name="metal_anyway"' in text(started)


def test_a_bite_noted_of_another_metal_is_asked_about_as_before_the_current(member):
    bath, post_new = adopted(), {"name": "Zinc plate", "metal_anyway": "on"}
    post(member, "new_plate", **PLATE | post_new)
    zinc = Plate.objects.get(name="Zinc plate")

    noted = post(member, "write", **noting(bath, plate_pk=zinc.pk))
    carded = member.post(url("write_card"), card(bath, {"happened_at": "2026-03-03T10:05", "plate_pk": zinc.pk}))

    assert "sounds like zinc" in errors(noted, "metal_anyway") and 'name="metal_anyway"' in text(noted)
    assert "sounds like zinc" in text(carded) and 'name="line0-metal_anyway"' in text(carded)
    assert not Bite.objects.exists()
    post(member, "write", **noting(bath, plate_pk=zinc.pk, metal_anyway="on"))
    assert Bite.objects.get().plate == zinc


def test_a_bath_in_use_asks_before_a_second_plate(member, shop):
    response = post(member, "start", **starting(shop["bath"]))

    assert "is in use until" in errors(response, "beside_anyway")
    assert 'name="beside_anyway"' in text(response)

    post(member, "start", **starting(shop["bath"], beside_anyway="on"))

    assert Bite.objects.running().count() == 2


def test_a_start_is_offered_as_it_was_arranged_last(member):
    bath, harbour = adopted(), plate()
    bitten(
        bath, at=2, plate=harbour, exposed=Measured(50, 5, "cm²"), state=2, cathode_cm2=500.0, gap_cm=4.0, volts_set=5.0
    )

    offered = member.get(url("start", plate=harbour.pk) + "?minutes=28").context["form"].initial

    assert (offered["bath"], offered["state"], offered["planned_min"]) == (bath, 2, "28")
    assert (offered["cathode"], offered["gap_cm"], offered["volts_set"]) == (500, 4, 5)
    assert offered["exposed"] == (50, "cm2")


def test_the_page_of_the_bath_and_the_bench_say_who_uses_it_until_when(member, shop):
    for page in ("/", shop["bath"].get_absolute_url()):
        assert "Upright tank: in use until 10:25 by Printer" in text(member.get(page))


def test_a_plate_whose_time_is_up_needs_a_hand(member, shop, today):
    today(9.1)

    shown = text(member.get("/"))

    assert "Stop the clock" in shown and "time was up at 10:25" in shown


def test_kept_pages_say_so_as_soon_as_the_time_is_up(member, shop, today):
    pages, ends, moment = ("/", shop["bath"].get_absolute_url()), 9 + 25 * MINUTE, 0.2 / 86400
    today(ends - moment)
    assert all("in use until 10:25" in text(member.get(page)) for page in pages)

    time.sleep(0.25)
    today(ends + moment)

    assert all("time was up at 10:25" in text(member.get(page)) for page in pages)


# while it runs


def test_the_clock_is_the_servers(member, shop):
    answer = member.get(url("clock", bite=shop["runs"].pk))

    assert answer.json() == {"now": round(day(9).timestamp() * 1000), "runs": True, "written": False}
    assert answer.headers["Cache-Control"] == "no-store"


def test_the_clock_knows_whether_a_form_has_arrived(member, shop):
    key = uuid4()
    post(member, "read", {"bite": shop["runs"].pk}, key=key, amps="1.2")

    asked = {"key": key}

    assert member.get(url("clock", bite=shop["runs"].pk), asked).json()["written"]
    assert not member.get(url("clock", bite=shop["runs"].pk), {"key": "no key"}).json()["written"]


def test_a_reading_counts_from_its_tap_however_late_it_arrives(member, shop):
    post(member, "read", {"bite": shop["runs"].pk}, amps="1,2", volts="0.9", seconds_ago="120")

    reading = BiteReading.objects.latest("pk")
    assert (reading.minutes, reading.amps, reading.volts) == (pytest.approx(3), 1.2, 0.9)


def test_a_stop_counts_from_its_tap_however_late_it_arrives(member, shop):
    response = post(member, "stop", {"bite": shop["runs"].pk}, ml_each="6", seconds_ago="120")

    stop = BiteStop.objects.latest("pk")
    assert response.headers["Location"] == shop["runs"].get_absolute_url()
    assert (stop.minutes, stop.drips_ml) == (pytest.approx(3), 6)
    assert stop.entry.happened_at == day(9) - timedelta(minutes=2)


@pytest.mark.parametrize(
    ("page", "typed", "field", "sentence"),
    [
        ("read", {}, "amps", "Give the amps"),
        ("read", {"amps": "50"}, "amps", "50 is outside 0 to 20 A"),
        ("read", {"amps": "1.2", "happened_at": "2026-03-01T10:00"}, "happened_at", "It began at"),
        ("stop", {"ml_each": "6", "counted_ah": "500"}, "counted_ah", "500 is outside"),
        ("stop", {"ml_each": "6", "happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
        ("stop", {"ml_each": "6", "seconds_ago": "900"}, None, "It began at"),
        ("stopped", {"what": "cut", "ml_each": "6"}, "stopped_at", "Say when, about"),
        ("stopped", {"what": "back", "ml_each": "6", "off_at": "2026-03-11T09:56"}, "back_at", "Say when, about"),
        (
            "stopped",
            {"what": "earlier", "ml_each": "6", "stopped_at": "2026-03-11T09:30"},
            "stopped_at",
            "It began at 09:55",
        ),
        (
            "stopped",
            {"what": "back", "ml_each": "6", "off_at": "2026-03-11T09:58", "back_at": "2026-03-11T09:57"},
            "back_at",
            "it came back after that",
        ),
    ],
)
def test_what_cannot_be_read_or_stopped_is_explained(member, shop, page, typed, field, sentence):
    before = Entry.objects.count()

    response = post(member, page, {"bite": shop["runs"].pk}, **typed)

    found = errors(response, field) if field else str(response.context["form"].errors)
    assert sentence in found
    assert Entry.objects.count() == before


def test_a_power_cut_ends_a_bite_about_then(member, shop):
    post(member, "read", {"bite": shop["runs"].pk}, amps="1.2")

    post(
        member, "stopped", {"bite": shop["runs"].pk}, what="cut", stopped_at="2026-03-11T09:57", ml_each="6", amps="1.2"
    )

    stop = BiteStop.objects.latest("pk")
    assert (stop.minutes, stop.minutes_sd) == (pytest.approx(2), 2)


def test_a_supply_that_came_back_bites_on(member, shop):
    post(
        member,
        "stopped",
        {"bite": shop["runs"].pk},
        what="back",
        off_at="2026-03-11T09:56",
        back_at="2026-03-11T09:58",
        amps="1.2",
        ml_each="6",
    )

    stop = BiteStop.objects.latest("pk")
    assert (stop.minutes, stop.charge_ah) == (pytest.approx(5), pytest.approx(1.2 * 3 / 60))


def test_the_alarm_rings_when_the_time_is_up(member, shop):
    answer = member.get(url("alarm", bite=shop["runs"].pk))

    calendar = answer.content.decode().replace("\r\n", "\n")
    assert answer.headers["Content-Type"].startswith("text/calendar")
    assert "DTSTART:20260311T092500Z" in calendar
    assert "BEGIN:VALARM" in calendar and "TRIGGER:P0D" in calendar
    assert f"UID:{shop['runs'].entry.key}@mordant" in calendar.replace("\n ", "")


def test_without_minutes_there_is_nothing_to_ring_for(member):
    bite = started(adopted(), planned_min=None)

    assert member.get(url("alarm", bite=bite.pk)).status_code == 404


def test_a_bite_that_is_over_has_no_stop_button_any_more(member, shop):
    for page in ("read", "stop", "stopped"):
        response = member.get(url(page, bite=shop["over"].pk))
        assert response.headers["Location"] == shop["over"].get_absolute_url()


# what it did


def test_the_page_of_a_bite_tells_charge_copper_and_depth_with_their_sums(member, shop):
    shown = text(member.get(shop["over"].get_absolute_url()))

    for words in ("Charge: 0.6 ± 0.1 A·h", "Copper moved: 0.7 ± 0.1 g", "Depth, on average: 16 ± 5 µm"):
        assert words in shown
    assert "charge = average current × minutes / 60" in shown


def test_the_drips_are_counted_for_the_rinse(member, shop):
    shown = text(member.get(shop["over"].get_absolute_url()))

    assert "Copper in its drips: 0.4 ± 0.2 g" in shown
    assert "a rinse tray of 5 L to about 70 mg/L of copper" in shown


def test_a_studio_that_reads_mil_sees_mil(member, shop):
    Workshop._base_manager.update(depth="mil")

    assert "Depth, on average: 0.6 ± 0.2 mil" in text(member.get(shop["over"].get_absolute_url()))


def test_what_nobody_read_needs_info(member):
    bath = adopted()
    bite = started(bath, at=2)
    operations.stop(bite, by=signed(2.02))

    shown = text(member.get(bite.get_absolute_url()))

    assert "needs info" in shown and "Nobody wrote down what the current was" in shown


def test_the_stages_of_a_state_stand_in_a_row(member):
    bath, harbour = adopted(), plate()
    for stage, minutes in enumerate((10, 10, 15)):
        bitten(bath, at=1 + stage / 24, minutes=minutes, plate=harbour, exposed=Measured(50 - 10 * stage, 5, "cm²"))

    shown = text(member.get(harbour.get_absolute_url()))

    assert "10 + 10 + 15 min" in shown
    assert "Lines open through all of them" in shown


def test_a_struck_bite_says_so(member, shop):
    book.strike(shop["over"].entry, by=signed(4), reason="the other plate")

    assert "Struck by" in text(member.get(shop["over"].get_absolute_url()))


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ([(1, 2.1), (20, 2.9)], "The current climbs, from 2.1 A to 2.9 A"),
        ([(1, 2.1), (20, 1.2)], "salt may be growing on the plate"),
    ],
)
def test_what_the_current_says_is_said(member, readings, said):
    bath = adopted(strength_g_per_l=285)
    taken = [CurrentReading(minutes=minutes, amps=amps) for minutes, amps in readings]
    entry = operations.note(bath, setting=Setting(), readings=taken, ending=Ending(minutes=30), by=signed(1))

    assert said in text(member.get(entry.bites.get().get_absolute_url()))


def test_a_small_cathode_is_warned_of(member):
    bite = bitten(adopted(), amps=4, cathode_cm2=100.0)

    assert "may come out powdery" in text(member.get(bite.get_absolute_url()))


def test_more_current_than_the_volts_can_drive_went_astray(member):
    readings = [CurrentReading(minutes=1, amps=6, volts=0.5)]
    setting = Setting(plate=plate(), gap_cm=5.0)
    entry = operations.note(adopted(), setting=setting, readings=readings, ending=Ending(minutes=30), by=signed(1))

    assert "more than these volts can drive" in text(member.get(entry.bites.get().get_absolute_url()))


# found again


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, True),
        ({"text": "harb"}, True),
        ({"text": "Upright"}, True),
        ({"text": "dragon"}, False),
        ({"deeper": "10", "shallower": "20"}, True),
        ({"deeper": "25"}, False),
        ({"deeper": "many"}, False),
    ],
)
def test_a_bite_is_found_by_plate_bath_and_depth(member, asked, found):
    bite = bitten(adopted(name="Upright tank"), at=2, plate=plate(), exposed=Measured(50, 5, "cm²"))

    shown = text(member.get(url("bites"), asked))

    assert (bite.get_absolute_url() in shown) is found


def test_the_months_drips_are_added_up_for_the_rinse(member):
    bath = adopted()
    for number in range(3):
        bitten(bath, at=1 + number, ml_each=8)
    book.strike(bitten(bath, at=5, ml_each=8).entry, by=signed(6), reason="slip")

    shown = text(member.get(url("bites")))

    assert "3 plates carried about 0.024 L of bath out, with <b>1.5 ± 0.7 g</b> of copper in it" in shown


def test_a_bite_is_found_by_the_studio_it_was_made_with(member):
    partner = PlaceFactory(name="Wrenfield", kind="away")
    bite = bitten(adopted(), plate=plate(partner=partner))

    assert bite.get_absolute_url() in text(member.get(url("bites"), {"partner": partner.pk}))


def test_many_bites_are_read_a_page_at_a_time(member):
    bath = adopted()
    for number in range(30):
        bitten(bath, at=1 + number / 10)

    first = text(member.get(url("bites")))

    assert first.count(" min at ") == 25 and "Older" in first


# written down, put right


def noting(tank, **typed):
    return {"bath": tank.pk, "state": "1", "minutes": "28", "amps": "0.8", "ml_each": "6"} | typed


def test_a_bite_that_is_over_is_written_down_whole(member):
    bath, harbour = adopted(), plate()
    before = Entry.objects.count()

    response = post(member, "write", **noting(bath, plate_pk=harbour.pk, happened_at="2026-03-04T19:00"))

    bite = Bite.objects.get()
    assert response.headers["Location"] == bite.get_absolute_url()
    assert bite.happened_at == day(2) + timedelta(hours=9)  # seven in the evening in Berlin
    assert BiteStop.objects.get().charge_ah == pytest.approx(0.8 * 28 / 60)
    assert Entry.objects.count() == before + 1


def test_one_that_has_just_ended_began_its_minutes_ago(member):
    post(member, "write", **noting(adopted()))

    assert Bite.objects.get().happened_at == day(9) - timedelta(minutes=28)


def test_several_readings_a_line_each(member):
    post(member, "write", **noting(adopted(), amps="", more="10 = 1.2, 0.9\n1 = 1,0\n20 = 1.4 0.9"))

    taken = [(reading.minutes, reading.amps, reading.volts) for reading in Bite.objects.get().standing_readings()]
    assert taken == [(1, 1.0, None), (10, 1.2, 0.9), (20, 1.4, 0.9)]


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"amps": "50"}, "amps", "50 is outside 0 to 20 A"),
        ({"minutes": ""}, "minutes", "for how many minutes"),
        ({"amps": ""}, "amps", "without one of them the book knows no charge"),
        ({"more": "10 = 1.2"}, "amps", "not both"),
        ({"amps": "", "more": "ten"}, "more", "“ten” is not a reading"),
        ({"amps": "", "more": "10 = 50"}, "more", "50 is outside"),
        ({"amps": "", "more": "40 = 1"}, "more", "over after 28 min"),
        ({"happened_at": "2026-03-11T09:59"}, "minutes", "which has not come yet"),
        ({"bath": ""}, "bath", "Needed"),
    ],
)
def test_a_bad_bite_is_explained_and_kept(member, typed, field, sentence):
    response = post(member, "write", **noting(adopted(), **typed))

    assert sentence in errors(response, field)
    assert not Bite.objects.exists()


def test_a_bath_that_was_unread_then_is_mixed_or_adopted_first(member):
    response = post(member, "write", **noting(BathFactory()))

    assert "was unread then" in errors(response, "happened_at")


def test_a_bite_is_put_right_with_what_was_typed_before(keyholder, shop):
    arguments = {"bite": shop["over"].pk}
    offered = keyholder.get(url("put_right", **arguments)).context["form"].initial
    assert (offered["minutes"], offered["amps"], offered["plate_pk"]) == (30, 1.2, shop["plate"].pk)

    response = post(
        keyholder,
        "put_right",
        arguments,
        **noting(shop["bath"], plate_pk=shop["plate"].pk, amps="1.0", happened_at="2026-03-04T10:00", reason="misread"),
    )

    corrected = Bite.objects.ended().get()
    assert response.headers["Location"] == corrected.get_absolute_url()
    assert corrected.stopped_charge_ah == pytest.approx(28 / 60)
    assert "Struck by" in text(keyholder.get(shop["over"].get_absolute_url()))


def test_a_bite_of_others_is_put_right_by_a_keyholder_only(member, shop):
    assert member.get(url("put_right", bite=shop["over"].pk)).status_code == 403


def test_a_power_cut_is_not_lost_when_a_bite_is_put_right(keyholder):
    bath = adopted()
    bite = started(bath, at=2)
    cut = {"off_at": day(2 + 10 * MINUTE), "back_at": day(2 + 20 * MINUTE)}
    operations.stop(bite, by=signed(2 + 30 * MINUTE), amps=1.2, **cut)

    post(keyholder, "put_right", {"bite": bite.pk}, **noting(bath, minutes="30", amps="1.2", reason="amps"))

    assert Bite.objects.ended().get().stopped_charge_ah == pytest.approx(1.2 * 20 / 60)


# a run card typed in


def card(bath, *lines):
    typed = {}
    for number, line in enumerate(lines):
        typed |= {f"line{number}-{name}": value for name, value in ({"key": uuid4()} | noting(bath) | line).items()}
    return typed


def test_ten_lines_of_a_card_are_ten_bites_each_with_its_own_time(member):
    bath = adopted()
    typed = card(bath, *({"happened_at": f"2026-03-0{3 + n // 3}T{10 + n}:05"} for n in range(10)))
    before = Entry.objects.count()

    response = member.post(url("write_card"), typed)

    assert response.headers["Location"] == url("bites")
    assert Entry.objects.count() == before + 10
    assert Bite.objects.values("happened_at").distinct().count() == 10


def test_a_card_asks_for_everything_that_a_line_needs(member):
    adopted()

    [line, *_] = member.get(url("write_card")).context["forms"]

    needed = {name for name, field in line.fields.items() if field.required} - {"key"}
    assert needed <= {bound.name for bound in line.cells}


def test_lines_that_nobody_filled_in_are_passed_over(member):
    bath = adopted()
    blank = {"minutes": "", "amps": "", "volts": ""}

    member.post(url("write_card"), card(bath, {"happened_at": "2026-03-03T10:05"}, blank, blank))

    assert Bite.objects.count() == 1


def test_a_refused_line_is_put_right_and_the_others_stay_written(member):
    bath = adopted()
    typed = card(bath, {"happened_at": "2026-03-03T10:05"}, {"happened_at": "2026-03-03T11:05", "amps": "50"})

    response = member.post(url("write_card"), typed)

    assert response.status_code == 200 and Bite.objects.count() == 1
    assert '<a href="#line-2"> Line 2 was not written yet</a>' in text(response)
    assert 'id="line-2"' in text(response) and "Line 1 was not written yet" not in text(response)
    assert "50 is outside 0 to 20 A" in text(response)

    response = member.post(url("write_card"), typed | {"line1-amps": "5.0"})

    assert response.status_code == 302 and Bite.objects.count() == 2


def test_an_empty_card_writes_nothing(member):
    bath = adopted()

    response = member.post(url("write_card"), card(bath, {"minutes": "", "amps": ""}))

    assert response.status_code == 200 and not Bite.objects.exists()
    assert "Not one line is filled in." in text(response)
    assert "Nothing was written yet" not in text(member.get(url("write_card")))


# how long


def test_the_minutes_for_a_depth_come_from_this_studios_own_current(member):
    bath, harbour = adopted(), plate()
    for number in range(4):
        bitten(bath, at=1 + number, amps=1.25, minutes=20, plate=harbour, exposed=Measured(50, 5, "cm²"))

    shown = text(member.get(url("plan"), {"bath": bath.pk, "depth": "20"}))

    assert "35&nbsp;<small>min" in shown
    assert "over 4 bites" in shown


def test_without_bites_to_learn_from_the_amps_are_asked_for(member):
    bath = adopted()

    assert "Fewer than three bites" in text(member.get(url("plan"), {"bath": bath.pk, "depth": "20"}))

    told = {"bath": bath.pk, "depth": "20", "amps": "1.25", "exposed_0": "50", "exposed_1": "cm2"}
    assert "35&nbsp;<small>min" in text(member.get(url("plan"), told))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"depth": "deep"}, "is not one number"),
        ({"amps": "1.2"}, "Amps say nothing of a depth without the bare copper"),
        ({"amps": "1.2", "exposed_0": "5", "exposed_1": "%"}, "A share needs the plate"),
    ],
)
def test_a_plan_that_is_not_understood_says_why(member, typed, sentence):
    bath = adopted()

    assert sentence in text(member.get(url("plan"), {"bath": bath.pk, "depth": "20"} | typed))


def test_an_unread_bath_has_no_plan(member):
    assert "is unread" in text(member.get(url("plan"), {"bath": BathFactory().pk, "depth": "20"}))


def test_a_partners_recipe_is_carried_over_by_ampere_minutes(member):
    theirs = {"their_minutes": "30", "their_amps": "0.78", "their_cm2": "40 cm2", "our_amps": "1.3"}

    shown = text(member.get(url("recipe"), theirs))

    assert "18 <small>min" in shown


def test_a_part_of_a_page_answers_a_live_browser(member):
    bath = adopted()

    part = text(member.get(url("plan"), {"bath": bath.pk, "depth": "20"}, headers={"HX-Request": "true"}))

    assert "<html" not in part and "Fewer than three bites" in part


def test_a_plan_beyond_what_a_bite_can_be_is_refused_beside_what_was_typed(member):
    bath = adopted()
    for amps, exposed in (("20", "0.01"), ("20", "9000000"), ("0.01", "100000")):
        asked = {"bath": bath.pk, "depth": "20", "amps": amps, "exposed_0": exposed, "exposed_1": "cm2"}

        page = member.get(reverse("bites:plan"), asked)

        [said] = page.context["asked"].errors["exposed"]
        assert said.endswith("; look again at the number and its unit."), said


def test_a_partners_bite_beyond_what_one_can_be_is_refused_beside_the_area_that_is_too_large(member):
    for theirs, ours, blamed in (("900000 cm2", "40 cm2", "their_cm2"), ("40 cm2", "900000 cm2", "our_cm2")):
        asked = {"their_minutes": "10", "their_amps": "1", "their_cm2": theirs, "our_amps": "1", "our_cm2": ours}

        page = member.get(reverse("bites:recipe"), asked)

        assert list(page.context["asked"].errors) == [blamed]


@pytest.mark.parametrize("tanks", [1, 2])
def test_a_bath_is_chosen_beforehand_only_where_there_is_no_other(member, tanks):
    bath, harbour = adopted(name="Upright tank"), plate()
    bitten(bath, at=2, plate=harbour, exposed=Measured(50, 5, "cm²"))
    if tanks == 2:
        adopted(name="Left tank")
    only = bath if tanks == 1 else None

    for name, about in (("start", {"plate": harbour.pk}), ("write", {}), ("plan", {})):
        response = member.get(reverse(f"bites:{name}", kwargs=about))
        form = response.context["asked" if name == "plan" else "form"]
        assert form["bath"].value() in ((bath, bath.pk) if only else (None, "")), name
    card = member.get(reverse("bites:write_card")).context["forms"][0]
    assert card["bath"].value() == (only and only.pk)
    # the page of a bath says which
    asked = member.get(reverse("bites:start", args=[harbour.pk]), {"bath": bath.pk}).context["form"]
    assert asked["bath"].value() == bath.pk


def test_a_bite_without_a_bath_asks_for_one(member):
    adopted(name="Upright tank"), adopted(name="Left tank")

    response = member.post(reverse("bites:write"), {"key": uuid4(), "minutes": "30", "amps": "1.2", "state": "1"})

    assert "bath" in response.context["form"].errors


def test_of_few_baths_one_tap_chooses_one_and_starts_the_clock(member, studio):
    held, first, second = plate(), adopted(name="Tall tank"), adopted(name="Flat tank")
    address = reverse("bites:start", args=[held.pk])

    asked, preset = (member.get(address, {"bath": bath} if bath else {}).content.decode() for bath in ("", first.pk))

    assert f'name="bath" value="{first.pk}">Current on in Tall tank' in asked
    assert f'name="bath" value="{second.pk}">Current on in Flat tank' in asked
    assert "Current on in" not in preset and "Current on: start the clock" in preset
