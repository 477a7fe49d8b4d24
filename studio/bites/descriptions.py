"""Bites and plates in plain words."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.copper import biting
from chemistry.copper.efficiency import Verdict
from chemistry.measured import plain
from chemistry.working import Figure
from inventory.dates import day_or_clock
from studio.bites.calibration import WeighingPair
from studio.bites.models import Bite
from studio.pages import fragment_cache
from studio.pages.quantities import with_spread

VERDICTS: dict[Verdict, str | Promise] = {
    "too small to judge": gettext_lazy("too small to judge on this scale"),
    "as predicted": gettext_lazy("as predicted; the difference is too small to judge"),
    "less than predicted": gettext_lazy("less than predicted: was the plate dry, and were amps and volts swapped?"),
    "more than predicted": gettext_lazy(
        "more than predicted: was it weighed with its ground before, or did the back bite too?"
    ),
}


def in_use(bite: Bite, now: datetime) -> str:
    """What is said of a bath while a plate hangs in it."""
    by = bite.entry.done_by
    if bite.ends_at is None:
        return _("in use since %(day_or_clock)s by %(by)s") % {
            "day_or_clock": day_or_clock(bite.happened_at, now),
            "by": by,
        }
    if bite.ends_at <= now:
        return _("time was up at %(day_or_clock)s, for %(by)s") % {
            "day_or_clock": day_or_clock(bite.ends_at, now),
            "by": by,
        }
    return _("in use until %(day_or_clock)s by %(by)s") % {"day_or_clock": day_or_clock(bite.ends_at, now), "by": by}


class RunningBite(NamedTuple):
    """A running bite, what is said of it, and how pressing that is."""

    bite: Bite
    words: str
    level: str


def told(bite: Bite, now: datetime) -> RunningBite:
    """A kept page that tells it is made anew when its time is up."""
    if bite.ends_at and bite.ends_at > now:
        fragment_cache.expires_at(bite.ends_at)
    is_over = bite.ends_at is not None and bite.ends_at <= now
    return RunningBite(bite, f"{bite.bath}: {in_use(bite, now)}", "act" if is_over else "look")


def stages(minutes: Sequence[float]) -> str:
    """
    A plate's bites in a row.

    >>> stages([10, 10, 15.2])
    '10 + 10 + 15 min'
    """
    return _("%(minutes)s min") % {"minutes": " + ".join(plain(each, 0) for each in minutes)} if minutes else ""


def weighed(pair: WeighingPair, efficiency: Figure) -> str:
    """What two weighings say of the bites between them, beside what was predicted; empty where they say nothing."""
    seen = pair.weighed
    if seen is None:
        return ""
    copper = seen.charge.times(efficiency, "g") * biting.COPPER_G_PER_AH
    predicted = with_spread(copper.value, copper.sd, "g predicted")
    lost = with_spread(seen.moved.value, seen.moved.sd, "g weighed")
    return f"{predicted}, {lost}: {VERDICTS[seen.verdict(efficiency)]}"
