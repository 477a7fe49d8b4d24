"""The year without one of its lines: each counts."""

from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from functools import partial
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction
from django.utils import timezone

from inventory.book import Signed, strike
from inventory.models import Container, Entry
from studio.baths import estimate
from studio.baths import operations as baths
from studio.baths.models import Bath, Estimate
from studio.cathodes import balance, period
from studio.cathodes import status as cathodes
from studio.demo import load
from studio.server import database
from studio.waste import content
from studio.waste.models import Drum
from studio.workshop import operations as workshop

pytestmark = pytest.mark.django_db

# what happened, and to what: of each the last one is left out
TOPPED_UP = ("topped up", {"bath": "A"})
BITTEN = ("bitten", {"bath": "B"})
USED = ("used", {"material": "M23"})
STRIPPED = ("stripped", {"name": "Upright sheet"})
RINSED = ("into a drum", {"source": "rinse"})
LOOKED_OVER = ("looked over", {"drum": "W3/2"})
HANDED_OVER = ("handed over", {})


@dataclass
class Begun:
    """The year up to the first of the lines that are left out; it goes on as often as it is asked to."""

    year: load.Year
    lines: list[load.Line]
    written: int

    def goes_on_without(self, left_out) -> None:
        place = place_of(left_out, self.lines)
        deepcopy(self.year).write(self.lines[self.written : place] + self.lines[place + 1 :])

    def goes_on(self) -> None:
        deepcopy(self.year).write(self.lines[self.written :])


def place_of(left_out, lines: list[load.Line]) -> int:
    event, of = left_out
    return max(place for place, line in enumerate(lines) if line["event"] == event and of.items() <= line.items())


@pytest.fixture(scope="module")
def year(tallow_street) -> Iterator[Begun]:
    lines, studio = load.lines(), load.print_room()
    first = min(place_of(each, lines) for each in (TOPPED_UP, BITTEN, USED, STRIPPED, RINSED, LOOKED_OVER, HANDED_OVER))
    with transaction.atomic(), timezone.override(ZoneInfo(studio.time_zone)):
        connection.check_constraints()  # PostgreSQL empties no table that it has yet to check
        workshop.empty_the_demo()
        begun = load.Year(studio)
        begun.write(lines[:first])
        database.survey()
        yield Begun(begun, lines, first)
        transaction.set_rollback(True)


def end_state():
    """What a visitor finds: every bath, what lies on every cathode, in every drum, and in every container."""
    strengths = {bath.name: estimate.at_moment(bath).strength_g_per_l for bath in Bath.objects.all()}
    copper = {each.cathode.name: each.deposit.value for each in cathodes.statuses_of_cathodes()}
    drums = {
        each.drum.name: (each.full_percent, each.mass)
        for each in content.contents_of_drums(Drum.objects.standing()).values()
    }
    return strengths, copper, drums, list(Container.objects.order_by("pk").values_list("material__name", "on_hand"))


def state_after(write) -> tuple:
    with transaction.atomic():
        write()
        database.survey()
        state = end_state()
        transaction.set_rollback(True)
    return state


def test_without_one_line_the_year_ends_otherwise(year):
    whole = state_after(year.goes_on)

    for left_out in (TOPPED_UP, BITTEN, USED, STRIPPED, RINSED, LOOKED_OVER):
        assert state_after(partial(year.goes_on_without, left_out)) != whole, left_out


def test_had_nobody_told_of_the_spill_the_readings_would_miss_its_copper(year):
    year.goes_on_without(HANDED_OVER)  # what was taken up is in a drum, and what left is struck no more
    spilled = Entry.objects.get(kind="spill")
    by = Signed(done_by=spilled.done_by)
    for written in (spilled.incident.follow_ups.get().entry, spilled):
        strike(written, by=by, reason="as if nobody had told")
    missed = Estimate.objects.exclude(far_off_sd=None).earliest("event__entry__happened_at").event

    baths.answer(missed, choice="reading", by=by)

    account = balance.account_of(period.last_year(timezone.now()))
    assert not account.balance.closes
    assert account.balance.unexplained.value > 20
