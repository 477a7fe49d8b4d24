"""What a bath is at a moment, as its pages say it: how it stands, what tonight brings, when it needs water."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any, NamedTuple

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from chemistry import bath as bath_model
from chemistry.bath import BathState, figures
from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.bath.figures import Span
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.sentences import Sentence
from chemistry.solution import sulfate
from chemistry.working import Figure
from inventory.asked_often import asked_often
from studio.baths import estimate, kinds
from studio.baths.models import Answer, Bath, BathEvent, Estimate

Kind = BathEvent.Kind

LOW_SHARE = 0.9  # of the usual fill; below it a bath asks for water: common practice, no source
LONG_UNREAD = timedelta(days=30)
NOTICEABLE_SHARE = 0.02  # of the usual fill; a lower level than this is worth a sentence
SOON_DAYS = 7
TRACE_G = 1.0  # less than a kitchen scale shows
FARTHEST_DAYS = 730.0  # nobody plans a top-up further ahead

LATEST = {
    "last": Q(),
    "read": Q(kind__in=BathEvent.READINGS),
    "topped_up": Q(kind__in=(Kind.WATER_ADDED, Kind.CRYSTALS_ADDED)),
    "begun": Q(kind__in=(Kind.MIXED, Kind.ADOPTED)) | Q(kind=Kind.POURED_IN, estimate__brought__kind=Kind.ADOPTED),
    "lid": Q(kind=Kind.DRYING_RATE) & ~Q(entry__kind=kinds.TANK_CHANGED),
}


class Due(NamedTuple):
    """Why a bath will need water if nothing is done to it, and in how many days."""

    why: str
    span: Span


@dataclass(frozen=True, kw_only=True)
class BathStatus:
    """A bath, its state dried on to the moment `at`, and the latest events that a page speaks of."""

    bath: Bath
    at: datetime
    state: BathState | None
    read: BathEvent | None = None
    topped_up: BathEvent | None = None
    begun: BathEvent | None = None
    lid: BathEvent | None = None
    held_out: Sequence[BathEvent] = ()

    @property
    def lid_is_on(self) -> bool:
        return self.lid is not None and self.lid.covers_the_bath

    @property
    def level(self) -> str:
        """The hatch of its word: fine, look or act."""
        return self.level_and_word[0]

    @property
    def word(self) -> str:
        return self.level_and_word[1]

    @cached_property
    def level_and_word(self) -> tuple[str, str]:
        """One of five words. A bath is acted on when it is past its range by more than its ±."""
        if self.state is None:
            return ("look", Sentence("unread"))
        if self.has_crystals_now:
            return ("act", Sentence("crystals"))
        strength, half_width = self.state.strength_g_per_l, self.half_width_g_per_l
        # strong before weak: over-strong drops crystals, weak only bites slowly
        if strength > self.bath.range_high_g_per_l:
            return ("act" if strength - half_width > self.bath.range_high_g_per_l else "look", Sentence("over-strong"))
        if strength < self.bath.range_low_g_per_l:
            return ("look", Sentence("weak"))
        return ("look" if self.is_unsure else "fine", Sentence("in range"))

    @property
    def half_width_g_per_l(self) -> float:
        """The ± of its strength."""
        return HALF_WIDTH_SDS * self.state.strength_sd_g_per_l if self.state else 0.0

    @property
    def strongest_g_per_l(self) -> float | None:
        """The strong end of its ±; None while nobody knows."""
        return self.state.strength_g_per_l + self.half_width_g_per_l if self.state else None

    @property
    def most_acid_g_per_l(self) -> float | None:
        """The high end of its acid as far as it is known; None where nobody has said whether there is any."""
        if self.state is None or not self.state.has_acid:
            return 0.0 if self.acid_is_said else None
        return self.state.acid_g_per_l + HALF_WIDTH_SDS * self.state.acid_sd_g_per_l

    @property
    def acid_is_said(self) -> bool:
        """Whether somebody has said how much there is, or none; acid that goes in later tells of itself alone."""
        return self.state is not None and self.state.acid_is_known

    @property
    def is_unsure(self) -> bool:
        """Whether its ± is wider than half its range, so that even the middle of it may lie outside."""
        width = self.bath.range_high_g_per_l - self.bath.range_low_g_per_l
        return self.half_width_g_per_l > width / 2

    @cached_property
    def has_crystals_now(self) -> bool:
        """Whether crystals lie on the floor at the room's usual temperature."""
        # a room outside what the solubility was fitted to is taken at its nearest end
        usual_c = min(max(self.bath.air_c, sulfate.COLDEST_C), sulfate.WARMEST_C)
        return self.state is not None and figures.crystals_at(self.state, usual_c).value > TRACE_G

    @cached_property
    def below_c(self) -> Figure | None:
        """The temperature below which crystals fall out; None while unread and where ice comes first."""
        return figures.crystals_below(self.state) if self.state else None

    @cached_property
    def ice_c(self) -> float:
        """The temperature at which ice begins to form."""
        if self.state is None or self.below_c:
            return sulfate.COLDEST_C
        return sulfate.freezing_point_c(self.state.mass_fraction)

    @cached_property
    def tonight_c(self) -> float:
        """The coldest the room gets, as far as the bath is still liquid then."""
        return max(self.bath.coldest_c, sulfate.COLDEST_C)

    @property
    def freezes_tonight(self) -> bool:
        return self.state is not None and self.bath.coldest_c < self.ice_c

    @cached_property
    def crystals_tonight(self) -> Figure | None:
        """What falls out at the coldest the room gets; None where nothing does that a scale would show."""
        if self.state is None or self.below_c is None:
            return None
        crystals = figures.crystals_at(self.state, self.tonight_c)
        return crystals if crystals.value > TRACE_G else None

    @property
    def may_drop_crystals_tonight(self) -> bool:
        """Whether the coldest of the room lies inside the ± of the temperature at which crystals fall."""
        return self.state is not None and figures.may_drop_crystals(self.state, self.bath.coldest_c)

    @property
    def missing_l(self) -> float:
        """How far the level stands below the usual fill."""
        return max(0.0, self.bath.fill_l - self.state.volume_l) if self.state else 0.0

    @property
    def is_low(self) -> bool:
        return self.state is not None and self.state.volume_l < LOW_SHARE * self.bath.fill_l

    @property
    def is_long_unread(self) -> bool:
        """Whether nobody has measured it for a month, counted from its beginning where nobody ever did."""
        # whoever mixed or adopted it measured it, so a new bath does not ask at once
        measured = self.read or self.begun
        return measured is not None and self.at - measured.entry.happened_at >= LONG_UNREAD

    @cached_property
    def due(self) -> Due | None:
        """What drying brings about first: past the top of the range, or too low in the tank."""
        if self.state is None:
            return None
        strengths = {
            "over-strong": self.bath.range_high_g_per_l,
            "low": self.state.salt_g / (LOW_SHARE * self.bath.fill_l),
        }
        # outside that range it is no strength of a bath, and none that drying would bring about
        spans = {
            why: figures.span_until(self.state, strength_g_per_l=strength)
            for why, strength in strengths.items()
            if 0.1 <= strength <= STRONGEST_G_PER_L
        }
        dues = [Due(why, span) for why, span in spans.items() if span and span.days < FARTHEST_DAYS]
        return min(dues, key=lambda due: due.span.days, default=None)


def status_of_baths(which: Sequence[Bath] | None = None, at: datetime | None = None) -> list[BathStatus]:
    """What baths are at a moment, all of them where none are named: in two queries however many they are."""
    at, found = at or timezone.now(), []
    for bath, telling in telling_events(which):
        last, held_out = telling.latest.pop("last"), telling.held_out
        state = None
        # an older model's estimates would be read as this one's: then the log itself is replayed
        if last and not bath.estimate_is_current:
            state = estimate.at_moment(bath, at)
            doubted = [step.event for step in estimate.steps(bath) if step.far_off_sd is not None]
            held_out = [reading for reading in doubted if not reading.answers.standing().exists()]
        elif last and last.estimate.bath_state:
            days = max(0.0, (at - last.entry.happened_at) / estimate.ONE_DAY)
            state = bath_model.forecast(last.estimate.bath_state, days=days)
        found.append(BathStatus(bath=bath, at=at, state=state, held_out=held_out, **telling.latest))
    return found


class TellingEvents(NamedTuple):
    """latest: the standing event of each sort; held_out: readings that nobody has answered yet, oldest first."""

    latest: dict[str, BathEvent | None]
    held_out: list[BathEvent]


def telling_events(which: Sequence[Bath] | None) -> Iterator[tuple[Bath, TellingEvents]]:
    """Baths, each with the events that a page speaks of."""
    asked = every_bath() if which is None else which
    if not all(hasattr(bath, "latest_last") for bath in asked):
        asked = some_baths([bath.pk for bath in asked])
    rows: dict[int, Any] = {bath.pk: bath for bath in asked}
    # all baths in one query: the bench shows every one of them on every visit
    wanted = {getattr(bath, f"latest_{sort}") for bath in rows.values() for sort in LATEST} - {None}
    by_pk: dict[int, Any] = {event.pk: event for event in told_of(rows, wanted)} if wanted else {}
    for bath in rows.values() if which is None else which:
        mine = [event for event in by_pk.values() if event.bath_id == bath.pk]
        for event in mine:
            event.bath = bath
        in_turn = (by_pk.get(getattr(rows[bath.pk], f"latest_{sort}")) for sort in LATEST)
        waiting = [event for event in mine if event.is_held_out and not event.is_answered]
        yield bath, TellingEvents(dict(zip(LATEST, in_turn, strict=True)), waiting)


def with_latest(baths: QuerySet[Bath]) -> "QuerySet[Bath, Any]":
    """Each with the keys of its latest events."""
    events = BathEvent.objects.standing().filter(bath=OuterRef("pk")).in_order().reverse().values("pk")
    latest = {f"latest_{sort}": Subquery(events.filter(rows)[:1]) for sort, rows in LATEST.items()}
    return baths.annotate(**latest)


@asked_often
def every_bath() -> "QuerySet[Bath, Any]":
    return with_latest(Bath.objects.select_related("place"))


@asked_often
def some_baths(baths: Collection[int]) -> "QuerySet[Bath, Any]":
    return with_latest(Bath.objects.filter(pk__in=baths))


@asked_often
def told_of(baths: Collection[int], wanted: Collection[int]) -> "QuerySet[BathEvent, Any]":
    """
    Some of their events, and their readings that were held out.

    Each with whether somebody answered it, and with what is kept of the bath before it.
    """
    held_out = Estimate.objects.filter(bath__in=baths, far_off_sd__isnull=False).values("event")
    told = BathEvent.objects.standing().filter(Q(pk__in=wanted) | Q(pk__in=held_out), bath__in=baths)
    told = told.annotate(is_answered=Exists(Answer.objects.standing().filter(reading=OuterRef("pk"))))
    return estimate.with_state_before(told.in_order()).select_related("entry__done_by")
