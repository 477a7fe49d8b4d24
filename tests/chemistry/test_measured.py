import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.measured import Measured, by_scale, decimals_for, digits, plain, total, within

values = st.floats(0.1, 1e4)
sds = st.floats(1e-4, 1)


@given(values, sds)
def test_what_shares_its_error_takes_it_away_again(value, sd):
    bare = Measured(value, sd, "g")

    assert (bare - bare).sd == pytest.approx(0, abs=1e-9)
    assert bare.per(bare, "").sd == pytest.approx(0, abs=1e-9)


@given(values, sds, values)
def test_a_strength_that_was_read_exactly_comes_back_exactly_however_roughly_it_was_poured(litres, sd, grams_per_litre):
    poured = Measured(litres, sd, "L")

    strength = poured.times(grams_per_litre, "g").per(poured, "g/L")

    assert (strength.value, strength.sd) == (pytest.approx(grams_per_litre), 0.0)


@given(st.lists(st.tuples(values, sds), min_size=1, max_size=9))
def test_a_sum_is_as_well_known_as_its_parts_together(parts):
    whole = total((Measured(value, sd, "g") for value, sd in parts), "g")

    assert whole.value == pytest.approx(sum(value for value, _ in parts))
    assert whole.sd == pytest.approx(math.hypot(*(sd for _, sd in parts)))


@given(st.lists(st.tuples(values, sds), min_size=1, max_size=9))
def test_one_guess_for_all_is_wrong_for_all_alike(parts):
    whole = total((Measured(value, sd, "g", error="one guess") for value, sd in parts), "g")

    assert whole.sd == pytest.approx(sum(sd for _, sd in parts))


def test_a_quotient_of_what_was_poured_together_covers_the_truth():
    """500 pours by a bad jug out of a bath that is known well: a litre of it is known as the bath is."""
    chance, inside = random.Random(2), 0
    for _ in range(500):
        litres, strength = 2 * chance.gauss(1, 0.1), 58.3 * chance.gauss(1, 0.01)
        poured = Measured(2.0, 0.2, "L")
        found = poured.times(Measured(58.3, 0.583, "g/L"), "g").per(poured, "g/L")
        inside += abs(litres * strength / litres - found.value) <= found.half_width

    assert 0.92 <= inside / 500 <= 0.98


def test_grams_and_litres_do_not_add_up():
    with pytest.raises(ValueError, match="g and L do not add up"):
        Measured(1, unit="g") + Measured(1, unit="L")


def test_a_scale_and_a_range_say_their_half_width():
    assert by_scale(100, 1).half_width == pytest.approx(1)
    assert (within(90, 110, "g").low, within(90, 110, "g").high) == pytest.approx((90, 110))
    assert within(0, 1, "g").per(0.5, "g").low == pytest.approx(0)


@given(st.floats(-1e9, 1e9), st.integers(1, 6))
def test_a_number_is_written_out_and_never_with_an_exponent(value, most):
    shown = digits(value, most)

    assert "e" not in shown
    assert float(shown) == pytest.approx(float(f"{value:.{most}g}"), abs=1e-15)


@given(st.floats(1e-9, 1e9), st.floats(-1e9, 1e9))
def test_a_spread_earns_one_digit_or_two(half_width, value):
    decimals = decimals_for(half_width)

    shown = plain(half_width, decimals)

    assert "e" not in shown + plain(value, decimals)
    assert 1 <= len(shown.replace(".", "").strip("0") or "0") <= 2
    assert float(shown) == pytest.approx(half_width, rel=0.5)
