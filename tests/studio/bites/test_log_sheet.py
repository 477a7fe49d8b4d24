"""The log sheet of a bath: printed on one page, typed in row by row, and written whole or not at all."""

from io import BytesIO
from uuid import uuid4
from zoneinfo import ZoneInfo

import pypdf
import pytest
from django.urls import reverse

from inventory.models import Entry
from studio.baths import estimate
from studio.baths.models import BathEvent
from studio.bites.models import Bite
from studio.bites.views.log_sheet import ROWS
from studio.workshop.models import Workshop
from studio.workshop.operations import change
from tests.factories import PersonFactory, adopted, day, signed, stocked

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def ninth_day(today):
    today(9)


def typed(number, at=1.0, **cells):
    # on the clock of the studio, as whoever reads the paper types it
    moment = day(at).astimezone(ZoneInfo(Workshop.objects.get().time_zone)).strftime("%Y-%m-%dT%H:%M")
    row = {"key": uuid4(), "happened_at": moment} | cells
    return {f"row{number}-{name}": value for name, value in row.items()}


def sent(browser, bath, *rows):
    return browser.post(reverse("bites:type_log_sheet", args=[bath.pk]), {k: v for row in rows for k, v in row.items()})


def errors(response, number):
    return {name: " ".join(said) for name, said in response.context["rows"][number].errors.items()}


LEVEL = {"level_0": "11.8", "level_1": "L"}
SG = {"hydrometer_0": "1,145", "hydrometer_1": "SG", "temperature_c": "20"}
WATER = {"water_0": "500", "water_1": "mL"}
BITE = {"minutes": "30", "amps": "2", "exposed_0": "100", "exposed_1": "cm2"}


def test_every_row_becomes_its_acts_in_the_order_of_time(member):
    bath, other = adopted(), PersonFactory(name="Ida")
    jar = stocked("500 g", crystals=True)
    crystals = {"crystals_0": "50", "crystals_1": "g", "jar": jar.pk, "salt_anyway": ""}

    response = sent(
        member,
        bath,
        typed(0, 3, **BITE, done_by=other.pk, note="first proof"),
        typed(4, 2, **LEVEL | SG | WATER),
        typed(7, 4, **crystals),
    )

    assert response.headers["Location"] == bath.get_absolute_url()
    kinds = [event.kind for event in BathEvent.objects.filter(bath=bath).order_by("pk")][2:]
    assert kinds == ["LevelRead", "DensityRead", "WaterAdded", "Bitten", "Removed", "CrystalsAdded"]
    bite = Bite.objects.get()
    assert (bite.entry.done_by, bite.entry.note, bite.happened_at) == (other, "first proof", day(3))
    assert bite.exposed.value == pytest.approx(100)
    jar.refresh_from_db()
    assert jar.on_hand == 450_000
    assert estimate.at_moment(bath, day(5)).volume_l == pytest.approx(12.35, abs=0.15)


def test_one_row_that_is_refused_keeps_all_of_them_out_and_on_the_page(member):
    bath = adopted(volume_l=9, strength_g_per_l=220)
    refusals = [
        (typed(1, 2, **WATER | {"water_0": "9", "water_1": "L"}), "water", "runs over at 13 L"),
        (
            typed(1, 2, water_0="2", water_1="L", level_0="9", level_1="L"),
            "weak_anyway",
            "leaves it weak",
        ),
        (typed(1, 20, **LEVEL), "happened_at", "has not come yet"),
        (typed(1, 2, **LEVEL) | {"row1-happened_at": ""}, "happened_at", "the day and the time"),
        (typed(1, 2, **LEVEL) | {"row1-happened_at": "31.31.2026"}, "happened_at", "valid date/time"),
        (typed(1, 2, level_0="much", level_1="L"), "level", "not an amount"),
        (typed(1, 2, hydrometer_0="1.145", hydrometer_1="SG"), "temperature_c", "without the temperature"),
        (typed(1, 2, minutes="30"), "amps", "minutes and amps"),
        (typed(1, 2, crystals_0="5", crystals_1="g"), "jar", "out of which"),
        (typed(1, 2, note="nothing"), "__all__", "Say what was done"),
        (typed(1, -3, **LEVEL), "happened_at", "was unread then"),
    ]
    before = Entry.objects.count()

    for row, field, sentence in refusals:
        response = sent(member, bath, typed(0, 1, **LEVEL), row)

        assert sentence in errors(response, 1).get(field, ""), (field, errors(response, 1))
        assert not errors(response, 0)
        page = response.content.decode()
        assert "Nothing was written yet" in page and "Look at row 2" in page and 'value="11.8"' in page
        assert Entry.objects.count() == before, field


def test_two_wrong_rows_are_both_told(member):
    bath = adopted()

    response = sent(member, bath, typed(0, 1, level_0="x", level_1="L"), typed(5, 2, minutes="30"))

    assert errors(response, 0) and errors(response, 5)


def test_a_double_tap_writes_once_and_a_changed_row_is_asked_about(member):
    bath, first, second = adopted(), typed(0, 1, **LEVEL), typed(1, 2, **WATER)
    sent(member, bath, first, second)
    count = Entry.objects.count()

    assert sent(member, bath, first, second).status_code == 302
    changed = sent(member, bath, first, second | {"row1-water_0": "300"})

    assert Entry.objects.count() == count
    assert "Written already" in errors(changed, 1)["__all__"]
    again = changed.context["rows"][1]
    sent(member, bath, first, second | {"row1-water_0": "300", "row1-key": again["key"].value()})
    assert Entry.objects.count() == count + 1


def test_an_empty_sheet_is_told_so(member):
    response = sent(member, adopted(), {"row0-note": " "})

    assert "Not one row is filled in" in response.content.decode()


def test_the_page_asks_the_database_little_however_many_people_there_are(member, django_assert_max_num_queries):
    bath = adopted()
    PersonFactory.create_batch(5)

    with django_assert_max_num_queries(10):
        page = member.get(reverse("bites:type_log_sheet", args=[bath.pk])).content.decode()

    assert page.count("<fieldset") >= ROWS


def test_the_paper_is_one_page_in_each_size(member):
    bath, workshop = adopted(name="The upright tank by the window"), Workshop.objects.get()
    for paper in ("A4", "Letter"):
        if workshop.paper != paper:
            change(workshop, paper=paper, by=signed(1))

        answer = member.get(reverse("bites:log_sheet", args=[bath.pk]))

        read = pypdf.PdfReader(BytesIO(answer.content))
        assert len(read.pages) == 1
        words = read.pages[0].extract_text()
        assert "The upright tank by the window" in words and "Level" in words
