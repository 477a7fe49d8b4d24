"""What a bath would come to if its lid stood so until a day, so many bites ran and so much water went in."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from statistics import fmean

from django.utils.translation import gettext as _

from chemistry import bath as bath_model
from chemistry.bath import BathState, WhatIf
from studio.baths import drawings, estimate, operations
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath, BathEvent
from studio.baths.status import BathStatus
from studio.drawing import charts
from studio.drawing.charts import Band, Chart, ChartEvent
from studio.pages.quantities import Units

LATEST_BITES = 20
USUAL_BITE_AH = 1.0  # where none is in the log: 2 A for half an hour, common practice, no source


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """A plan drawn forward; nothing of it is written."""

    bath: Bath
    at: datetime
    plan: WhatIf
    states: list[BathState]
    units: Units

    @property
    def ends(self) -> datetime:
        return self.at + timedelta(days=self.plan.days)

    @cached_property
    def after(self) -> BathDescription:
        return BathDescription(BathStatus(bath=self.bath, at=self.ends, state=self.states[-1]), self.units)

    @property
    def runs_over(self) -> bool:
        return self.states[-1].volume_l > self.bath.rim_l

    @property
    def chart(self) -> Chart:
        low, high = self.bath.range_low_g_per_l, self.bath.range_high_g_per_l
        began = self.states[0].day
        return charts.line(
            [
                drawings.strength_point(self.at + timedelta(days=state.day - began), state, self.units)
                for state in self.states
            ],
            title=_("Strength of %(bath)s, if so") % {"bath": self.bath},
            unit=self.units.strength_unit,
            events=[ChartEvent(self.ends, "top up")] if self.plan.water_l else [],
            bands=[Band(self.units.strength_number(low), self.units.strength_number(high), _("working range"))],
            decimals=self.units.strength_decimals,
        )


def outlook(
    bath: Bath, now: BathState, at: datetime, units: Units, *, until: datetime, lid_on: bool, bites: int, water_l: float
) -> Outlook:
    drip_l = operations.DRIP_ML / 1000
    plan = WhatIf(
        days=(until - at) / estimate.ONE_DAY,
        g_per_day=operations.drying_g_per_day(bath, lid_on=lid_on),
        bites=bites,
        charge_ah=usual_bite_ah(bath),
        drip_l=drip_l,
        drip_sd_l=operations.DRIP_SD_SHARE * drip_l,
        water_l=water_l,
    )
    return Outlook(bath=bath, at=at, plan=plan, states=bath_model.look_ahead(now, plan), units=units)


def usual_bite_ah(bath: Bath) -> float:
    """The charge of the bites of late."""
    latest = estimate.log(bath).filter(kind=BathEvent.Kind.BITTEN).reverse()[:LATEST_BITES]
    return fmean([event.charge_ah for event in latest] or [USUAL_BITE_AH])
