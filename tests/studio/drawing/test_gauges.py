import re

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from studio.drawing import hatching
from studio.drawing.gauges import JUG_FLOOR, JUG_RIM, RULE_LEFT, RULE_RIGHT, Jug, RulerScale

strengths = st.floats(min_value=1, max_value=400)
spreads = st.floats(min_value=0, max_value=50)


def jug(**facts):
    return Jug(**{"name": "Upright tank", "rim_l": 10, "volume_l": 5} | facts)


def test_half_a_tank_is_drawn_half_full():
    assert float(jug().surface) == (JUG_RIM + JUG_FLOOR) / 2


def test_no_level_is_drawn_above_the_rim():
    assert float(jug(volume_l=12).surface) == JUG_RIM


def test_the_jug_is_marked_in_round_litres_up_to_the_rim():
    assert jug(rim_l=4.8).graduation.count("M") == 9


def test_an_unread_tank_is_dashed_and_says_so():
    drawing = render_to_string("components/jug.html", {"jug": jug(volume_l=None)})

    assert "stroke-dasharray" in drawing and "Upright tank: not read yet" in drawing
    assert "#cfdde4" not in drawing


def test_crystals_on_the_floor_are_drawn_and_said():
    drawing = render_to_string("components/jug.html", {"jug": jug(crystals=True)})

    assert "50% of the tank, crystals on the floor" in drawing


@given(value=strengths, half_width=spreads, low=strengths, high=strengths, crystals=strengths)
def test_a_rule_is_long_enough_for_everything_on_it(value, half_width, low, high, crystals):
    rule = RulerScale(
        value=value, half_width=half_width, working=(min(low, high), max(low, high)), crystals_from=crystals
    )

    shown = [value - half_width, value + half_width, low, high, crystals]
    assert rule.scale.low <= max(0, min(shown)) + 1e-6 and max(shown) - 1e-6 <= rule.scale.high
    assert all(RULE_LEFT <= rule.x(each) <= RULE_RIGHT for each in shown)
    assert 2 <= len(rule.numbers) <= 7


def test_a_rule_says_in_words_what_it_draws():
    rule = RulerScale(value=251, half_width=6, working=(220, 270), crystals_from=262)

    assert rule.label == "Strength: 251 ± 6 g/L; working range 220–270, crystals from 262"


def test_an_unread_bath_has_no_marker_on_its_rule():
    rule = RulerScale(value=None, working=(220, 270))

    assert (rule.marker, rule.spread, rule.crystals_box) == ("", "", "")
    assert rule.label == "Strength: not read yet; working range 220–270"


def test_a_baume_rule_shows_tenths():
    assert "19.6 ± 0.4 °Bé" in RulerScale(value=19.6, half_width=0.4, working=(17.5, 21), unit="°Bé", decimals=1).label


@pytest.mark.parametrize("name", ["jug", "rulebar"])
def test_what_is_drawn_needs_no_style_and_no_id(name):
    facts = {"jug": jug(), "rule": RulerScale(value=251, half_width=6, working=(220, 270), crystals_from=262)}

    drawing = render_to_string(f"components/{name}.html", facts)

    assert not re.search(r"style|var\(|currentColor| id=", drawing)


@given(width=st.floats(min_value=1, max_value=400), height=st.floats(min_value=2, max_value=60))
def test_the_cross_hatch_stays_inside_its_box(width, height):
    strokes = hatching.crossed(10, 10 + width, 20, 20 + height, every=5)

    for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", strokes):
        assert 9.9 <= float(x) <= 10.1 + width
        assert 19.9 <= float(y) <= 20.1 + height
