from datetime import UTC, datetime, timedelta
from math import log10
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from hypothesis import assume, given
from hypothesis import strategies as st

from chemistry import locale
from chemistry.locale import Locale
from inventory.dates import short_day
from studio.drawing import scales

measured = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


@given(low=measured, span=st.floats(min_value=1e-3, max_value=1e6))
def test_a_scale_holds_what_it_was_made_for_in_few_round_steps(low, span):
    assume(low + span > low)
    scale = scales.holding(low, low + span)

    hair = 1e-6 * (abs(low) + span)
    assert scale.low <= low + hair and scale.high >= low + span - hair
    assert 2 <= len(scale.marks) <= 6
    assert round(10 ** (log10(scale.step) % 1), 6) in {1, 2, 5, 10}


def test_a_scale_of_a_single_value_still_has_two_ends():
    scale = scales.holding(250, 250)

    assert scale.low <= 250 <= scale.high
    assert scale.low < scale.high


@pytest.mark.parametrize(("step", "printed"), [(20, "1,240"), (1, "1,240"), (0.5, "1,240.0"), (0.05, "1,240.00")])
def test_a_mark_is_printed_with_the_decimals_its_step_needs(step, printed):
    with locale.override(Locale("12,345.6")):
        assert scales.Scale(0, 2000, step).label(1240) == printed


def test_a_year_is_marked_by_first_days_of_months_and_says_its_years():
    marked = scales.dates_between(datetime(2024, 9, 2, tzinfo=UTC), datetime(2025, 8, 25, tzinfo=UTC))

    assert [label for _, label in marked] == ["Nov 2024", "Jan 2025", "Mar", "May", "Jul"]
    assert {at.day for at, _ in marked} == {1}


def test_a_fortnight_is_marked_by_days():
    marked = scales.dates_between(datetime(2025, 8, 11, 9, tzinfo=UTC), datetime(2025, 8, 25, 9, tzinfo=UTC))

    assert [label for _, label in marked] == ["12 Aug", "16 Aug", "20 Aug", "24 Aug"]


@given(
    start=st.datetimes(datetime(1990, 1, 1), datetime(2050, 1, 1), timezones=st.just(UTC)),
    days=st.integers(min_value=2, max_value=20_000),
)
def test_few_dates_are_printed_and_all_of_them_lie_on_the_chart(start, days):
    end = start + timedelta(days=days)

    marked = [at for at, _ in scales.dates_between(start, end)]

    assert len(marked) <= 8
    assert all(start <= at <= end for at in marked)


def test_days_are_those_of_the_studios_own_clock():
    late_in_london = datetime(2025, 8, 31, 23, 30, tzinfo=UTC)

    with timezone.override(ZoneInfo("Pacific/Auckland")):
        assert short_day(late_in_london) == "1 Sep 2025"
