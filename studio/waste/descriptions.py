"""How drums stand, in words, and what the bench says of them."""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from math import floor, log10

from django.urls import reverse

from chemistry import waste
from chemistry.measured import digits
from chemistry.waste import drum as sums
from chemistry.working import Figure
from inventory.dates import day_of_year, said
from studio.bites.rinse import Carried
from studio.cathodes.descriptions import Status
from studio.pages.action_items import ActionItem
from studio.pages.displayed_figure import DisplayedFigure
from studio.pages.quantities import Shown, with_spread
from studio.waste import content as contents
from studio.waste import whereabouts
from studio.waste.content import Content

WRONG = "leaking, bulging, open or without its label"
NEARLY_FULL_PERCENT = 75.0
TRAY_L = 5.0  # a usual first rinse: common practice, no source
WIDE = 100.0  # a half width from here on is rounded
LOOK_EVERY = timedelta(days=31)  # common practice, no source; some rules ask for every week


def action_items(at: datetime) -> Iterator[ActionItem]:
    """What the drums ask of the bench."""
    here = list(contents.contents_of_drums(whereabouts.here().select_related("entry"), at).values())
    for each in here:
        yield from _of_rags(each, at)
        yield from _of_room(each)
        yield from _of_what_is_wrong(each)
    yield from _of_looks(here, at)


def status_of(content: Content) -> Status:
    if content.is_full:
        return Status("act", "full")
    if content.full_percent is not None and content.full_percent >= NEARLY_FULL_PERCENT:
        return Status("look", "nearly full")
    return Status("fine", "open") if content.deposits else Status("fine", "empty")


def seen(content: Content) -> str:
    """When somebody looked it over last."""
    if not content.inspections:
        return "nobody has looked it over yet"
    look = content.inspections[-1]
    return f"looked over {day_of_year(look.entry.happened_at)} by {look.entry.done_by}"


def full(content: Content) -> str:
    """How full it stands, and how much more it takes."""
    percent = content.full_percent
    if percent is None:
        return "nobody has said how full" if content.deposits else "nothing in it yet"
    if content.is_full:
        return f"{percent:.0f} % full"
    return f"{percent:.0f} % full, takes {digits(content.room_left_l, 2)} L more"


def tray(carried: Carried) -> str:
    """What stands in the rinse tray, and why it is not poured away."""
    if not carried.plates:
        return ""
    copper = with_spread(carried.copper.value, carried.copper.sd, "g")
    per_l = sums.MG_PER_G * carried.copper.value / TRAY_L
    limits = sorted(float(limit.cu_mg_per_l) for limit in waste.SEWER_LIMITS)
    plates = "1 plate has" if carried.plates == 1 else f"{carried.plates} plates have"
    since = f"Since the rinse was last emptied {plates} carried about {copper} of copper into it."
    tray = f"In a tray of {digits(TRAY_L)} L that is {per_l:,.0f} mg/L"
    return f"{since} {tray}; limits of sewers that were read run from {digits(limits[0])} to {digits(limits[-1])} mg/L."


def figures(content: Content) -> list[DisplayedFigure]:
    """What is in it, as far as it is known, each with its working."""
    found = [
        ("Volume", content.volume),
        ("Mass", content.mass),
        ("Copper in it", content.copper),
        ("Copper in a litre", content.copper_per_l),
        ("Copper in a kilogram", content.copper_per_kg if content.copper_per_l is None else None),
    ]
    told = [DisplayedFigure(name, _shown(figure), figure) for name, figure in found if figure]
    part = content.copper_at_least
    return [*told, DisplayedFigure("Copper in it, needs info for the rest", at_least(part), part)] if part else told


def at_least(figure: Figure) -> Shown:
    return Shown(f"at least {digits(figure.low, 2)}", figure.unit)


def _shown(figure: Figure) -> Shown:
    """A wide spread leaves two figures of itself, and no finer one of what it belongs to."""
    half_width = figure.half_width or 0.0
    if half_width < WIDE:
        return with_spread(figure.value, figure.sd, figure.unit)
    step = 10.0 ** (floor(log10(half_width)) - 1)
    value, spread = (f"{step * round(number / step):.0f}" for number in (figure.value, half_width))
    return Shown(value, figure.unit, spread)


def _of_rags(content: Content, at: datetime) -> Iterator[ActionItem]:
    since = content.rags_since
    if since:
        when = said(since, "j F, H:i")
        words = (
            f"{content.drum}: rags with drying oil wait there since {when}. They heat up and catch fire by themselves: "
            "wet, lid on, and out of the building overnight."
        )
        yield ActionItem(
            "act", "rags waiting", words, "They are out", reverse("waste:look_over", args=[content.drum.pk])
        )


def _of_room(content: Content) -> Iterator[ActionItem]:
    status = status_of(content)
    if status.level != "fine":
        words = f"{content.drum}, {content.drum.stream}: {full(content)}."
        yield ActionItem(*status, words, "Look", content.drum.get_absolute_url())


def _of_what_is_wrong(content: Content) -> Iterator[ActionItem]:
    if content.is_wrong:
        look = content.inspections[-1]
        when = day_of_year(look.entry.happened_at)
        words = f"{content.drum}, seen by {look.entry.done_by} on {when}: {WRONG}."
        url = reverse("waste:look_over", args=[content.drum.pk])
        yield ActionItem("act", "a drum is not in order", words, "It is put right", url)


def _of_looks(here: Iterable[Content], at: datetime) -> Iterator[ActionItem]:
    """All of them in one sentence: whoever goes there looks at every one."""
    due = [each for each in here if each.deposits and at - each.looked_at > LOOK_EVERY]
    if due:
        names = ", ".join(each.drum.name for each in due)
        words = f"Nobody has looked at {names} for a month: lids, leaks, labels, and how full they stand."
        yield ActionItem("look", "look-over due", words, "Look them over", reverse("waste:drums"))
