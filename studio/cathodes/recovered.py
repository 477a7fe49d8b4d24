"""Copper that came off the cathodes, by the year: solid metal added up, wet metal and loose powder kept apart."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from itertools import groupby

from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.quantity import quantity
from inventory.dates import iso_minute
from studio.cathodes.models import Strip

CSV_HEAD = ("stripped at", "cathode", "solid metal g", "of it weighed wet g", "loose powder, wet g", "running total g")


@dataclass(frozen=True)
class RecoveryLine:
    """One strip, and all the dry metal in the book up to it."""

    strip: Strip
    total_g: float

    @property
    def metal(self) -> str:
        return f"{written(self.strip.mass_g)}{'' if self.strip.is_dry else ', wet'}"

    @property
    def powder(self) -> str:
        return written(self.strip.powder_g) if self.strip.powder_g else ""

    @property
    def total(self) -> str:
        return written(self.total_g)


@dataclass(frozen=True)
class RecoveryYear:
    number: int
    lines: Sequence[RecoveryLine]

    @property
    def metal_g(self) -> float:
        return sum(line.strip.mass_g for line in self.lines if line.strip.is_dry)

    @property
    def metal(self) -> str:
        return written(self.metal_g)

    @property
    def wet_g(self) -> float:
        """Solid metal that nobody weighed dry."""
        return sum(line.strip.mass_g for line in self.lines if not line.strip.is_dry)

    @property
    def powder_g(self) -> float:
        return sum(line.strip.powder_g for line in self.lines)

    def __str__(self) -> str:
        return _("copper recovered %(metal)s in %(number)s") % {"metal": self.metal, "number": self.number}

    @property
    def apart(self) -> str:
        """What is not among the metal."""
        wet = _("%(written)s of metal weighed wet") % {"written": written(self.wet_g)} if self.wet_g else ""
        powder = (
            _("%(written)s of loose powder, kept wet") % {"written": written(self.powder_g)} if self.powder_g else ""
        )
        return " and ".join(filter(None, (wet, powder)))


def years() -> list[RecoveryYear]:
    """Every year in which something was stripped, the latest first; by the studio's own calendar."""
    lines = list(recovery_lines())
    # the lines come by time, so each year is in one piece
    grouped = groupby(lines, key=lambda line: timezone.localtime(line.strip.entry.happened_at).year)
    return [RecoveryYear(number, list(of_it)) for number, of_it in grouped][::-1]


def rows(zone: tzinfo) -> Iterator[Sequence]:
    """Every strip, oldest first, under CSV_HEAD."""
    for line in recovery_lines():
        strip = line.strip
        yield (
            iso_minute(strip.entry.happened_at, zone),
            strip.cathode.name,
            strip.mass_g,
            0 if strip.is_dry else strip.mass_g,
            strip.powder_g,
            # floats added up show digits that no scale has
            round(line.total_g, 3),
        )


def written(mass_g: float) -> str:
    """
    A mass as it was weighed, without digits that adding up made.

    >>> written(22 + 2.8), written(1250)
    ('24.8 g', '1.25 kg')
    """
    return quantity(mass_g / 1000, "kg", 4) if mass_g >= 1000 else quantity(round(mass_g, 2), "g")


def recovery_lines() -> Iterator[RecoveryLine]:
    strips = Strip.objects.standing().select_related("entry__done_by", "cathode")
    total_g = 0.0
    for strip in strips.order_by("entry__happened_at", "entry_id"):
        # wet metal weighs its water too: added up it would be sold as copper
        total_g += strip.mass_g if strip.is_dry else 0.0
        yield RecoveryLine(strip, total_g)
