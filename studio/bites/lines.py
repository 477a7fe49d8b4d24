"""Bites as lists tell them: how long, how much current, how deep."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from chemistry.copper import biting
from chemistry.working import Figure
from studio.bites.models import Bite
from studio.pages.quantities import Shown, Units


@dataclass(frozen=True)
class BiteLine:
    """A bite of `with_stop`; without an efficiency nothing is said of its depth."""

    bite: Bite
    units: Units
    efficiency: Figure | None
    minutes: float | None
    charge_ah: float | None
    charge_sd_ah: float | None

    @property
    def is_running(self) -> bool:
        return self.minutes is None

    @property
    def amps(self) -> float | None:
        """On average."""
        return 60 * self.charge_ah / self.minutes if self.charge_ah is not None and self.minutes else None

    @property
    def ampere_minutes_per_cm2(self) -> float | None:
        """What carries over from studio to studio."""
        return 60 * self.charge_ah / self.bite.exposed_cm2 if self.charge_ah and self.bite.exposed_cm2 else None

    @cached_property
    def depth(self) -> Figure | None:
        exposed = self.bite.exposed
        if self.charge_ah is None or exposed is None or self.efficiency is None:
            return None
        charge = biting.kept_charge(self.charge_ah, self.charge_sd_ah or 0.0)
        return biting.depth(charge, self.efficiency, exposed=exposed)

    @property
    def shown_depth(self) -> Shown | None:
        return self.units.depth(self.depth.value, self.depth.sd) if self.depth else None


def bite_lines(bites: Iterable, units: Units, efficiency: Figure | None = None) -> list[BiteLine]:
    return [
        BiteLine(bite, units, efficiency, bite.stopped_minutes, bite.stopped_charge_ah, bite.stopped_charge_sd_ah)
        for bite in bites
    ]
