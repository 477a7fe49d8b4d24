"""A cathode as its pages draw and say it, in the studio's units, and what the bench says of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.copper import deposition
from chemistry.measured import digits
from chemistry.quantity import quantity, read_in
from chemistry.working import Figure
from inventory.dates import days_ago, near_day
from studio.baths import estimate
from studio.baths.drawings import thinned
from studio.cathodes.deposition import Checked, Interval
from studio.cathodes.models import Cathode
from studio.cathodes.status import FEWEST_BITES, LATELY, ONE_DAY, CathodeStatus, statuses_of_cathodes, unread_bites
from studio.drawing import charts
from studio.drawing.charts import Chart, ChartReading, Point
from studio.pages.action_items import ActionItem, StatusWord
from studio.pages.quantities import DisplayedFigure, Shown, Units, displayed

FAR_AHEAD_DAYS = 730.0  # nobody plans a strip further ahead
LONG_PAST = 1.5  # times what it is to be stripped at
A_YEAR = timedelta(days=365)
MOST_POINTS_A_SPELL = 24


@dataclass(frozen=True)
class CathodeDescription:
    """
    Each part is worked out when a page asks for it.

    unread: bites since it was last weighed whose current nobody read.
    """

    status: CathodeStatus
    units: Units
    unread: int = 0

    @property
    def cathode(self) -> Cathode:
        return self.status.cathode

    @property
    def word(self) -> StatusWord:
        status = self.status
        if status.is_due:
            long_past = status.deposit.value >= LONG_PAST * status.strip_at_g
            return StatusWord("act" if long_past else "look", _("time to strip"))
        if status.bath is None:
            return StatusWord("look", _("out of the bath"))
        return StatusWord("fine", _("strip it soon") if status.is_due_soon else _("gathering"))

    @cached_property
    def on_it(self) -> DisplayedFigure:
        return DisplayedFigure.plain(_("Copper on it"), self.status.deposit)

    @property
    def thickness(self) -> Shown:
        return self.units.depth(self.status.thickness.value, self.status.thickness.sd or None)

    @property
    def hangs(self) -> str:
        stay = self.status.stay
        return (
            _("in %(bath)s since %(near_day)s")
            % {"bath": stay.bath, "near_day": near_day(stay.since.at, self.status.at)}
            if stay
            else _("hangs in no bath")
        )

    @property
    def last(self) -> str:
        last, at = self.status.last, self.status.at
        if last is None:
            return _("bare since it was hung on %(near_day)s") % {
                "near_day": near_day(self.cathode.entry.happened_at, at)
            }
        return f"{'stripped' if last.is_strip else 'weighed'} {days_ago(last.entry.happened_at, at)}"

    @property
    def due(self) -> str:
        """What it carries against what it is set to."""
        reason = _("set to be stripped at %(depth)s") % {"depth": self.units.depth(self.status.sheet.strip_at_um)}
        if self.status.lumps_come_first and self.status.gap_loss:
            reason = _("its lumps may stand across %(value)s %% of the gap") % {
                "value": digits(round(self.status.gap_loss.value))
            }
        return _("%(shown)s of copper by the current, %(thickness)s on average; %(reason)s.") % {
            "shown": self.on_it.shown,
            "thickness": self.thickness,
            "reason": reason,
        }

    @property
    def forecast(self) -> str:
        """When the next strip is due, by the bites of late."""
        status, sheet = self.status, self.status.sheet
        if status.is_due:
            return _("Now: %(due)s") % {"due": self.due}
        if status.bath is None:
            return _("It hangs in no bath, so nothing gathers on it.")
        if status.span is None:
            days = LATELY // ONE_DAY
            few = ngettext(
                "Too few bites ran here in the last %(days)s day; from %(fewest)s on a day is said.",
                "Too few bites ran here in the last %(days)s days; from %(fewest)s on a day is said.",
                days,
            )
            none = ngettext(
                "No bite ran here in the last %(days)s day, so no day is in sight.",
                "No bite ran here in the last %(days)s days, so no day is in sight.",
                days,
            )
            return (few if status.lately else none) % {"fewest": FEWEST_BITES, "days": days}
        goal = _("%(strip_at_g)s, %(depth)s on average,") % {
            "strip_at_g": quantity(status.strip_at_g, "g", 3),
            "depth": self.units.depth(sheet.strip_at_um),
        }
        if status.lumps_come_first and sheet.most_loss_percent:
            percent = digits(sheet.most_loss_percent)
            goal = _("%(strip_at_g)s, whose lumps may take %(percent)s %% of the gap,") % {
                "strip_at_g": quantity(status.strip_at_g, "g", 3),
                "percent": percent,
            }

        def ahead(days: float) -> str:
            return near_day(status.at + days * ONE_DAY, status.at)

        said = _("It comes to %(goal)s about %(ahead)s, at the earliest %(ahead_2)s") % {
            "goal": goal,
            "ahead": ahead(status.span.days),
            "ahead_2": ahead(status.span.earliest),
        }
        latest = status.span.latest
        # a day two years ahead would be read as a promise
        if latest is None or latest > FAR_AHEAD_DAYS:
            return _("%(said)s; the bites of late tell no more.") % {"said": said}
        return _("%(said)s and at the latest %(ahead)s.") % {"said": said, "ahead": ahead(latest)}

    @property
    def not_counted(self) -> str:
        """Bites that the prediction cannot count."""
        if not self.unread:
            return ""
        return ngettext(
            "Nobody read the current of %(number)s bite since then: more copper is on it than this figure has.",
            "Nobody read the current of %(number)s bites since then: more copper is on it than this figure has.",
            self.unread,
        ) % {"number": self.unread}

    @property
    def compared(self) -> str:
        """The last weighing or strip against its prediction, and how the two stand."""
        last = self.status.last
        if last is None:
            return ""
        stripped = _("Last strip: predicted %(predicted)s, weighed %(weighed)s: %(words)s.")
        words = (
            stripped if last.is_strip else _("Last weighing: predicted %(predicted)s, weighed %(weighed)s: %(words)s.")
        )
        return words % {
            "predicted": displayed(last.predicted),
            "weighed": displayed(last.shown),
            "words": last.verdict.words,
        }

    @cached_property
    def chart(self) -> Chart | None:
        return chart(self.status)

    @property
    def checked(self) -> Sequence[Checked]:
        """Each weighing or strip, set against its prediction, the latest first."""
        return self.status.checked[::-1]

    @cached_property
    def most_current(self) -> Figure | None:
        """For a firm deposit at the bath's present strength; None in no bath, or in one that nobody has read."""
        bath, facing_cm2 = self.status.bath, self.status.sheet.facing_cm2
        state = estimate.at_moment(bath, self.status.at) if bath else None
        if state is None:
            return None
        return deposition.most_current(facing_cm2=facing_cm2, strength_g_per_l=state.strength_g_per_l)

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        now = self.status
        days = now.span and Figure(value=now.span.days, unit="days", working=now.span.working)
        over = round(now.lately_days)
        lately = ngettext("Gathered lately, over %(days)s day", "Gathered lately, over %(days)s days", over)
        lately %= {"days": over}
        plain = {
            _("Gap taken by its lumps"): now.gap_loss,
            _("Efficiency at this cathode"): now.efficiency,
            _("Most current for a firm deposit"): self.most_current,
            lately: now.rate if now.rate and now.rate.value else None,
            _("Until it is to be stripped"): days if days and days.value else None,
        }
        thickness = DisplayedFigure(_("Its thickness, as a mean"), self.thickness, now.thickness)
        return [self.on_it, thickness, *(DisplayedFigure.plain(name, each) for name, each in plain.items() if each)]


def descriptions_of_cathodes(statuses: Sequence[CathodeStatus], units: Units) -> list[CathodeDescription]:
    unread = unread_bites(statuses)
    return [CathodeDescription(each, units, unread[each.cathode.pk]) for each in statuses]


def action_items(units: Units) -> Iterator[ActionItem]:
    for each in statuses_of_cathodes():
        if each.is_due:
            described = CathodeDescription(each, units)
            # the page of the waste, which asks with it into which drum the metal goes
            url = reverse("waste:strip", args=[each.cathode.pk])
            yield ActionItem(*described.word, f"{each.cathode}: {described.due}", _("Strip it"), url)


def chart(status: CathodeStatus) -> Chart | None:
    """By the current with its 95 % band, and what the scale said of it; None before its second day."""
    since = status.at - A_YEAR
    points = [point for point in points_by_current(status) if point.at >= since]
    if not points or points[-1].at - points[0].at < ONE_DAY:
        return None
    readings = [reading_of(each) for each in status.checked if each.event.is_dry and each.entry.happened_at >= since]
    unit, size = read_in("g", max(each.value for each in points))
    return charts.line(
        [Point(at, value / size, half_width / size) for at, value, half_width in points],
        title=_("Copper on %(cathode)s, the last twelve months") % {"cathode": status.cathode},
        unit=unit,
        readings=[ChartReading(at, value / size, half_width / size) for at, value, half_width, *_rest in readings],
        decimals=1 if size == 1 else 2,
    )


def points_by_current(status: CathodeStatus) -> Iterator[Point]:
    # a wet weighing ends no stretch of the line
    ended = [each for each in status.checked if each.base_after()]
    for spell, checked in zip(status.growth.ended, ended, strict=True):
        yield from points_of_spell(spell)
        # the top before a strip, without which the line would slope down from the last bite
        yield point_at(checked.entry.happened_at, spell.predicted)
    yield from points_of_spell(status.growth.running)
    yield point_at(status.at, status.deposit)


def points_of_spell(spell: Interval) -> Iterator[Point]:
    """From what lay on it at first, bite after bite."""
    yield point_at(spell.base.since.at, spell.after(0))
    for number in thinned(range(1, len(spell.bites) + 1), MOST_POINTS_A_SPELL):
        yield point_at(spell.bites[number - 1].moment.at, spell.after(number))


def point_at(at, figure: Figure) -> Point:
    return Point(at, figure.value, figure.half_width)


def reading_of(checked: Checked) -> ChartReading:
    return ChartReading(checked.entry.happened_at, checked.shown.value, checked.shown.half_width)
