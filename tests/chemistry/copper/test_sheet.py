import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.copper import sheet
from chemistry.copper.gauges import bs_um, swg_um


def test_a_sheet_weighs_what_the_trade_calls_it():
    """Roofers call it 16 ounce copper: a pound to the square foot at 0.0216 in. From memory of the trade's tables."""
    square_foot_cm2 = 30.48**2

    weighed = sheet.mass(area_cm2=square_foot_cm2, thickness_um=0.0216 * 25_400)

    assert weighed.value == pytest.approx(453.6, rel=0.01)


def test_a_scale_that_agrees_says_so():
    agrees, said = sheet.verdict(700, area_cm2=600, thickness_um=1291)

    assert agrees
    assert said == "The scale agrees: 694 g expected, 700 g weighed."


@pytest.mark.parametrize("number", range(8, 23))
def test_a_gauge_of_the_other_system_is_told_by_its_weight(number):
    british, american = swg_um(number), bs_um(number)
    weighed_g = sheet.mass(area_cm2=600, thickness_um=british).value

    agrees, said = sheet.verdict(weighed_g, area_cm2=600, thickness_um=american)

    assert not agrees
    assert "gauge systems are mixed up" in said


def test_any_other_weight_asks_for_a_calliper():
    agrees, said = sheet.verdict(350, area_cm2=600, thickness_um=1291)

    assert not agrees
    assert said.startswith("It weighs like a sheet of 0.65 mm, and the book has 1.29 mm")


@given(area_cm2=st.floats(1, 10_000), thickness_um=st.floats(100, 5_000), share=st.floats(0.1, 0.9))
def test_a_sheet_cut_in_two_weighs_what_it_weighed(area_cm2, thickness_um, share):
    whole = sheet.mass(area_cm2=area_cm2, thickness_um=thickness_um).value
    parts = [sheet.mass(area_cm2=area_cm2 * part, thickness_um=thickness_um).value for part in (share, 1 - share)]

    assert sum(parts) == pytest.approx(whole)


@pytest.mark.parametrize(
    "nonsense",
    [
        {"area_cm2": -1, "thickness_um": 1000},
        {"area_cm2": 10, "thickness_um": 0},
        {"area_cm2": 10, "thickness_um": 1e6},
    ],
)
def test_no_sheet_is_like_that(nonsense):
    with pytest.raises(ValueError, match="must be between"):
        sheet.mass(**nonsense)
