import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.copper import gauges
from chemistry.units import NotUnderstood
from tests import sources

SOURCES = sources.read("units")


@pytest.mark.parametrize(("gauge", "inches"), SOURCES["brown_and_sharpe"]["rows"])
def test_brown_and_sharpe_gauges_are_as_thick_as_the_standard_prints(gauge, inches):
    assert gauges.bs_um(gauge) / 25_400 == pytest.approx(inches, abs=0.00005)


@pytest.mark.parametrize(("gauge", "millimetres"), SOURCES["standard_wire_gauge"]["rows"])
def test_standard_wire_gauges_are_as_thick_as_the_standard_prints(gauge, millimetres):
    assert gauges.swg_um(gauge) / 1000 == pytest.approx(millimetres, abs=0.0005)


@given(st.integers(0, gauges.FINEST_GAUGE - 1), st.sampled_from([gauges.bs_um, gauges.swg_um]))
def test_a_higher_gauge_is_thinner(gauge, thickness_um):
    assert thickness_um(gauge + 1) < thickness_um(gauge)


@pytest.mark.parametrize(
    ("text", "thickness_um"),
    [
        ("18 ga B&S", 1024),
        ("18 B&S", 1024),
        ("b&s 18", 1024),
        ("18 awg", 1024),
        ("18 gauge SWG", 1219),
        ("SWG 16", 1626),
        ("16swg", 1626),
        ("1.2 mm", 1200),
        ("0.048 in", 1219),
        ("48 mil", 1219),
        ("0,8 mm", 800),
    ],
)
def test_thickness_is_read_by_unit_or_by_named_gauge(text, thickness_um):
    assert gauges.thickness_um(text) == thickness_um


def test_a_gauge_without_its_system_is_asked_for():
    with pytest.raises(NotUnderstood) as refusal:
        gauges.thickness_um("18 ga")

    assert str(refusal.value) == "Gauge 18 is 1.02 mm by B&S and 1.22 mm by SWG; write 18 B&S or 18 SWG."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("60 SWG", "Gauge 60 is not between 0 and 40; write the thickness, like 1.2 mm."),
        ("18", "The unit is missing; write 18 µm or 18 mm."),
        ("B&S 18 SWG", "“B&S 18 SWG” is not an amount; write it like 1.2 mm or 48 mil."),
        ("1.2 g", "“g” measures mass, and thickness is asked for; write µm, mm, mil or in."),
    ],
)
def test_what_is_no_thickness_is_refused(text, sentence):
    with pytest.raises(NotUnderstood) as refusal:
        gauges.thickness_um(text)

    assert str(refusal.value) == sentence


@given(st.text(max_size=50) | st.from_regex(r"(b&s|swg)? ?[0-9]{1,3} ?(ga|gauge)? ?(b&s|swg)?", fullmatch=True))
def test_no_text_gets_past_as_anything_but_a_thickness(text):
    try:
        thickness_um = gauges.thickness_um(text)
    except NotUnderstood:
        return
    assert thickness_um >= 0
