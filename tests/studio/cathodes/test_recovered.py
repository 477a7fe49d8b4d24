from zoneinfo import ZoneInfo

import pytest

from inventory.book import strike
from studio.cathodes import recovered
from tests.factories import adopted, signed
from tests.studio.cathodes.shop import bite, hung, stripped

pytestmark = pytest.mark.django_db

# the book of the tests begins on 2 March 2026
NEXT_YEAR = 320


def stripped_often(cathode):
    for at, grams in [(30, 22), (60, 23), (90, 14), (NEXT_YEAR, 9)]:
        bite(cathode, 20, at=at - 1)
        stripped(cathode, grams, at=at)


def test_copper_adds_up_by_the_year_and_through_all_of_them(today):
    today(NEXT_YEAR + 1)
    cathode = hung()
    stripped_often(cathode)

    latest, first = recovered.years()

    assert (str(first), str(latest)) == ("copper recovered 59 g in 2026", "copper recovered 9 g in 2027")
    assert [line.total for line in first.lines] == ["22 g", "45 g", "59 g"]
    assert latest.lines[-1].total == "68 g"


def test_all_cathodes_fill_one_tin():
    first, second = hung(), hung(name="Small sheet", bath=adopted(name="Small tank"))
    for cathode, grams in [(first, 22), (second, 2.8)]:
        bite(cathode, 20, at=1)
        stripped(cathode, grams, at=2)

    (year,) = recovered.years()

    assert year.metal == "24.8 g"


def test_what_was_struck_is_not_in_the_tin():
    cathode = hung()
    bite(cathode, 20, at=1)
    written = stripped(cathode, 22, at=2)

    strike(written, by=signed(3), reason="weighed with the tin")

    assert recovered.years() == []


def test_loose_powder_and_wet_metal_stand_apart():
    cathode = hung()
    bite(cathode, 20, at=1)
    stripped(cathode, 20, at=2, powder_g=6)
    bite(cathode, 20, at=3)
    stripped(cathode, 25, at=4, is_dry=False)

    (year,) = recovered.years()

    assert year.metal == "20 g"
    assert year.apart == "25 g of metal weighed wet and 6 g of loose powder, kept wet"
    assert [(line.metal, line.powder, line.total) for line in year.lines] == [
        ("20 g", "6 g", "20 g"),
        ("25 g, wet", "", "20 g"),
    ]


def test_the_list_to_take_away_has_a_line_for_each_strip():
    cathode = hung()
    bite(cathode, 20, at=1)
    stripped(cathode, 20, at=2, powder_g=6)

    (row,) = recovered.rows(ZoneInfo("Europe/Berlin"))

    assert row == ("2026-03-04 10:00", "Copper sheet", 20, 0, 6, 20)
