"""Published limits, rules and calendars, told to a studio or found on a drum; each with its source."""

from datetime import date

import pytest
from dateutil.rrule import rrulestr
from icalendar import Calendar

from studio.waste import feed
from studio.waste.models import LocalAdvice
from studio.waste.reminders import Reminder
from tests.factories import day
from tests.studio.waste.shop import drum, put, said
from tests.studio.waste.test_flags import measured, state

pytestmark = pytest.mark.django_db

SEWERS = [  # mg of copper in a litre
    ("Johnston County, North Carolina, county code 24-123 (2013)", 0.061),
    ("St. Charles, Illinois, city code 13.12.430", 1.0),
    ("Sellersburg, Indiana, town code of local limits (1994)", 4.0),
    ("San Joaquin County, California, city code 7.089.16 (1991)", 6.0),
]


@pytest.mark.parametrize(("source", "limit"), SEWERS)
def test_a_limit_as_its_sewer_wrote_it_is_judged_on_both_sides(source, limit):
    """All four forbid more than their figure; the figure itself is within it."""
    said(LocalAdvice.Kind.SEWER_LIMIT, asked=source, cu_mg_per_l=limit)
    vessel = drum("rinse")
    put(vessel, 4)

    measured(vessel, "cu_mg_per_l", limit)
    assert state(vessel, "local.sewer_copper") == "does not apply"

    measured(vessel, "cu_mg_per_l", limit * 1.01, at=3)
    assert state(vessel, "local.sewer_copper") == "applies"


@pytest.mark.parametrize(("copper", "expected"), [(24.9, "does not apply"), (25, "applies"), (25.1, "applies")])
def test_soluble_copper_counts_in_the_example_state_from_its_limit_on(copper, expected):
    """22 CCR 66261.24(a)(2), table II: copper, 25 mg/L, "equal or exceed"; read in a copy of the register."""
    vessel = drum("rinse")
    put(vessel, 4)

    measured(vessel, "cu_mg_per_l", copper)

    assert state(vessel, "us-ca.copper.soluble", us_state="CA") == expected


@pytest.mark.parametrize(("copper", "expected"), [(2499, "does not apply"), (2500, "applies")])
def test_total_copper_counts_there_from_its_limit_on(copper, expected):
    """22 CCR 66261.24(a)(2), table II: copper, 2,500 mg/kg wet weight."""
    vessel = drum("rags_copper", vessel="lined_pail")
    put(vessel, grams=1000)

    measured(vessel, "cu_mg_per_kg", copper)

    assert state(vessel, "us-ca.copper.total", us_state="CA") == expected


@pytest.mark.parametrize(
    ("first", "rule", "days"),
    [
        # RFC 5545, 3.8.5.3: "monthly on the first Friday", from 5 September 1997
        (date(1997, 9, 5), "FREQ=MONTHLY;BYDAY=1FR", ["1997-09-05", "1997-10-03", "1997-11-07", "1997-12-05"]),
        # RFC 5545, 3.8.5.3: "monthly on the second-to-last Monday" has no button here; its last Tuesday by dateutil
        (date(1997, 9, 30), "FREQ=MONTHLY;BYDAY=-1TU", ["1997-09-30", "1997-10-28", "1997-11-25", "1997-12-30"]),
    ],
)
def test_a_monthly_collection_falls_on_the_days_that_the_standard_gives(first, rule, days):
    reminder = Reminder(name="collection", on=first, words="Collection", path="/", written_at=day(0), repeats="monthly")

    (event,) = Calendar.from_ical(feed.calendar("Studio", [reminder], address=str)).events

    written = event["rrule"].to_ical().decode()
    assert written == rule
    expanded = rrulestr(written, dtstart=day(0).replace(year=first.year, month=first.month, day=first.day))
    assert [each.date().isoformat() for each in expanded[:4]] == days
