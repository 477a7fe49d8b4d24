"""How a cathode stands, in plain sentences, and what the bench says of it."""

from collections.abc import Iterator
from typing import NamedTuple

from django.urls import reverse

from chemistry.measured import digits
from chemistry.working import Figure
from inventory.dates import days_ago, near_day
from studio.cathodes import standing
from studio.cathodes.deposition import Checked
from studio.cathodes.standing import LATELY, ONE_DAY, Standing
from studio.pages.action_items import ActionItem
from studio.pages.quantities import Shown, Units, with_spread

FAR_AHEAD_DAYS = 730.0  # nobody plans a strip further ahead
LONG_PAST = 1.5  # times what it is to be stripped at


class Status(NamedTuple):
    """A word and its hatch: fine, look or act."""

    level: str
    word: str


def action_items(units: Units) -> Iterator[ActionItem]:
    """What the cathodes ask of the bench."""
    for each in standing.all_of_them():
        status = status_of(each)
        if each.is_due:
            url = reverse("waste:strip", args=[each.cathode.pk])
            yield ActionItem(status.level, status.word, f"{each.cathode}: {due(each, units)}", "Strip it", url)


def status_of(standing: Standing) -> Status:
    if standing.is_due:
        long_past = standing.deposit.value >= LONG_PAST * standing.strip_at_g
        return Status("act" if long_past else "look", "time to strip")
    if standing.bath is None:
        return Status("look", "out of the bath")
    return Status("fine", "strip it soon" if standing.is_due_soon else "gathering")


def grams(figure: Figure) -> Shown:
    """Copper with its ±; a bare sheet has none of either."""
    return with_spread(figure.value, figure.sd, "g") if figure.sd else Shown(digits(figure.value, 3), "g")


def thickness(standing: Standing, units: Units) -> Shown:
    return units.depth(standing.thickness.value, standing.thickness.sd or None)


def due(standing: Standing, units: Units) -> str:
    """What it carries against what it is set to."""
    thick = thickness(standing, units)
    reason = f"set to be stripped at {units.depth(standing.sheet.strip_at_um)}"
    if standing.lumps_come_first and standing.gap_loss:
        reason = f"its lumps may stand across {standing.gap_loss.value:.0f} % of the gap"
    return f"{grams(standing.deposit)} of copper by the current, {thick} on average; {reason}."


def forecast(standing: Standing, units: Units) -> str:
    """When the next strip is due, by the bites of late."""
    if standing.is_due:
        return f"Now: {due(standing, units)}"
    if standing.bath is None:
        return "It hangs in no bath, so nothing gathers on it."
    if standing.span is None:
        return f"No bite ran here in the last {LATELY // ONE_DAY} days, so no day is in sight."
    span, likely = standing.span, _ahead(standing, standing.span.days)
    goal = f"It comes to {_goal(standing, units)} about {likely}, at the earliest {_ahead(standing, span.earliest)}"
    if span.latest is None or span.latest > FAR_AHEAD_DAYS:
        return f"{goal}; the bites of late tell no more."
    return f"{goal} and at the latest {_ahead(standing, span.latest)}."


def _goal(standing: Standing, units: Units) -> str:
    sheet = standing.sheet
    if standing.lumps_come_first and sheet.most_loss_percent:
        return (
            f"{digits(standing.strip_at_g, 3)} g, whose lumps may take {digits(sheet.most_loss_percent)} % of the gap,"
        )
    return f"{digits(standing.strip_at_g, 3)} g, {units.depth(sheet.strip_at_um)} on average,"


def _ahead(standing: Standing, days: float) -> str:
    return near_day(standing.at + days * ONE_DAY, standing.at)


def compared(checked: Checked) -> str:
    """Predicted against weighed, and how the two stand."""
    what = "Last strip" if checked.is_strip else "Last weighing"
    return f"{what}: predicted {grams(checked.predicted)}, weighed {shown(checked)}: {checked.verdict.words}."


def shown(checked: Checked) -> Shown:
    """The copper as the scale has it, with as many digits as that is good to."""
    return with_spread(checked.shown.value, checked.shown.sd, "g")


def last(standing: Standing) -> str:
    """What was done to it last."""
    if standing.last is None:
        return f"bare since it was hung on {near_day(standing.cathode.entry.happened_at, standing.at)}"
    done = "stripped" if standing.last.is_strip else "weighed"
    return f"{done} {days_ago(standing.last.entry.happened_at, standing.at)}"


def hangs(standing: Standing) -> str:
    if standing.stay is None:
        return "hangs in no bath"
    return f"in {standing.stay.bath} since {near_day(standing.stay.since.at, standing.at)}"


def unread(bites: int) -> str:
    """Bites that the prediction cannot count."""
    if not bites:
        return ""
    those = "1 bite" if bites == 1 else f"{bites} bites"
    return f"Nobody read the current of {those} since then: more copper is on it than this figure has."
