import pytest

from chemistry.bath import DensityRead, Titrated
from studio.baths import drawings, operations
from studio.baths.status import status_of_baths
from studio.pages.quantities import Units
from tests.factories import BathFactory, adopted, day, signed

pytestmark = pytest.mark.django_db


def stands(bath, at=1.0):
    return status_of_baths([bath], day(at))[0]


def chart(bath, at, units=None):
    return drawings.chart(stands(bath, at), units or Units())


def test_an_unread_tank_has_an_empty_jug_and_no_chart():
    now = stands(BathFactory())

    assert not drawings.jug(now).is_read
    assert drawings.rule(now, Units()).value is None
    assert drawings.chart(now, Units()) is None


def test_the_rule_shows_the_strength_at_which_the_coldest_night_drops_crystals():
    rule = drawings.rule(stands(adopted(coldest_c=10)), Units())

    assert rule.crystals_from == pytest.approx(262, abs=1)


def test_a_baume_rule_has_everything_in_degrees():
    rule = drawings.rule(stands(adopted(coldest_c=10)), Units(strength_unit="°Bé"))

    assert 16 < rule.working[0] < rule.value < rule.working[1] < 23
    assert rule.half_width < 1


def test_a_top_up_is_drawn_as_a_step():
    bath = adopted(strength_g_per_l=250)
    operations.top_up(bath, water_l=0.5, by=signed(10))

    rows = chart(bath, 20).rows

    assert [row[1] for row in rows if row[0] == "12 Mar 2026"] == ["250 ± 10", "240 ± 9"]


def test_readings_stand_beside_the_line_and_a_held_out_one_says_so():
    bath = adopted()
    operations.read(bath, DensityRead(day=0, sg=1.152, temperature_c=20, reference_c=20), words="", by=signed(5))
    operations.read(bath, DensityRead(day=0, sg=1.195, temperature_c=20, reference_c=20), words="", by=signed(6))
    operations.read(bath, Titrated(day=0, mol_per_l=0.96, sd=0.01), words="", by=signed(7))

    read = [row[2] for row in chart(bath, 8).rows if row[2]]

    assert read == ["240 ± 5", "315 ± 8, held out", "243 ± 8"]


def test_a_reading_that_no_bath_can_show_is_not_drawn():
    bath = adopted()
    operations.read(bath, DensityRead(day=0, sg=0.97, temperature_c=20, reference_c=20), words="", by=signed(1))

    assert not [row for row in chart(bath, 2).rows if row[2]]


def test_a_busy_year_is_thinned():
    bath = adopted(lid_on=False)
    for at in range(1, 120):
        operations.cover(bath, lid_on=at % 2 == 0, by=signed(at))

    assert len(chart(bath, 121).rows) <= drawings.MOST_POINTS


def test_what_is_older_than_a_year_is_left_out():
    bath = adopted()
    operations.top_up(bath, water_l=0.2, by=signed(100))

    assert min(row[0] for row in chart(bath, 400).rows) != "2 Mar 2026"
    assert "topped up" in dict((words, swatch) for swatch, words in chart(bath, 400).legend)


def test_a_spill_a_straining_and_the_lid_are_marked():
    bath = adopted()
    operations.spill(bath, litres=0.2, by=signed(1))
    operations.strain(bath, litres_lost=0.1, crystals_g=0, by=signed(2))
    operations.cover(bath, lid_on=False, by=signed(3))

    words = [words for _, words in chart(bath, 5).legend]

    assert {"spilled", "strained", "lid on or off", "mixed or adopted"} <= set(words)
