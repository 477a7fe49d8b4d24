"""A bite as its page tells it: what was read, what that makes, and what to look at."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.bath import BathState
from chemistry.copper import biting, cell_current
from chemistry.measured import digits, plain
from chemistry.quantity import quantity
from chemistry.solution import sulfate
from chemistry.working import Figure
from studio.baths import estimate
from studio.baths.removals import removals_of, taken_in
from studio.bites import calibration, operations
from studio.bites.models import Bite, BiteReading, BiteStop
from studio.pages.quantities import DisplayedFigure, Shown, Units

MM_PER_CM = 10
MG_PER_G = 1000
TRAY_L = 5.0  # a usual rinse tray: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Facing:
    """
    The face of the cathode, immersed and towards the plate, and its gap to it; None needs info.

    hung: the name of the cathode, where a figure is its own.
    """

    cm2: float | None
    gap_cm: float | None
    hung: str = ""

    @property
    def words(self) -> str:
        """
        >>> Facing(cm2=1050, gap_cm=4.5, hung="Copper sheet").words
        '1050 cm², 4.5 cm away; as Copper sheet hung'
        """
        figures = [
            _("%(cm2)s") % {"cm2": quantity(self.cm2, "cm²", 4)} if self.cm2 else "",
            _("%(gap_cm)s away") % {"gap_cm": quantity(self.gap_cm, "cm")} if self.gap_cm else "",
        ]
        return ", ".join(filter(None, figures)) + (_("; as %(hung)s hung") % {"hung": self.hung} if self.hung else "")


def cathode_facing(bite: Bite) -> Facing:
    """What hangs opposite a plate: as it was typed, else the cathode that hung in the bath at that moment."""
    typed = Facing(cm2=bite.cathode_cm2, gap_cm=bite.gap_cm)
    # whoever typed both looked at this very bite; the book knows only what was measured when the sheet came
    if typed.cm2 and typed.gap_cm:
        return typed
    sheet = bite.bath.hangings.sheet_at(bite.happened_at)
    if sheet is None:
        return typed
    gap_cm = sheet.gap_mm / MM_PER_CM if sheet.gap_mm else None
    return Facing(cm2=typed.cm2 or sheet.facing_cm2, gap_cm=typed.gap_cm or gap_cm, hung=sheet.cathode.name)


@dataclass(frozen=True)
class BiteAccount:
    bite: Bite
    units: Units

    @cached_property
    def readings(self) -> Sequence[BiteReading]:
        return self.bite.standing_readings()

    @cached_property
    def stop(self) -> BiteStop | None:
        stop = self.bite.standing_stop()
        if stop:
            stop.bite = self.bite
        return stop

    @property
    def taken(self) -> list[biting.Reading]:
        return [(reading.minutes, reading.amps) for reading in self.readings]

    @cached_property
    def bath_then(self) -> BathState | None:
        """The bath at the end of the bite, or as it is now."""
        return estimate.at_moment(self.bite.bath, self.stop.stopped_at if self.stop else timezone.now())

    @cached_property
    def efficiency(self) -> Figure:
        return calibration.anode_efficiency()

    @cached_property
    def charge(self) -> Figure | None:
        """None while it runs, and where nobody read the current."""
        return operations.charge_of(self.readings, self.stop) if self.stop else None

    @cached_property
    def copper(self) -> Figure | None:
        return biting.copper(self.charge, self.efficiency) if self.charge else None

    @cached_property
    def depth(self) -> Figure | None:
        """None where nobody said how much copper was bare."""
        exposed = self.bite.exposed
        return biting.depth(self.charge, self.efficiency, exposed=exposed) if self.charge and exposed else None

    @property
    def shown_depth(self) -> Shown | None:
        return self.units.depth(self.depth.value, self.depth.sd) if self.depth else None

    @cached_property
    def current_a(self) -> float | None:
        """As it was read last; on average once it is over."""
        # a bite that was stopped in its first moment has no time to take the average over
        if self.charge and self.stop and self.stop.minutes:
            return 60 * self.charge.value / self.stop.minutes
        return self.readings[-1].amps if self.readings else None

    @cached_property
    def density(self) -> Figure | None:
        exposed = self.bite.exposed
        if self.current_a is None or exposed is None:
            return None
        current = biting.read_by_meter(self.current_a, "A", sd=self.current_a * biting.METER_SD_SHARE)
        return biting.density(current, exposed)

    @cached_property
    def usual_density(self) -> Figure | None:
        return calibration.usual_density(self.bite.bath, self.bath_then.strength_g_per_l) if self.bath_then else None

    @cached_property
    def facing(self) -> Facing:
        return cathode_facing(self.bite)

    @cached_property
    def cathode_share(self) -> Figure | None:
        if self.bath_then is None or not self.readings or not self.facing.cm2:
            return None
        return cell_current.cathode_share(
            # powder grows in the worst minute and stays, whatever the current was afterwards
            current_a=max(reading.amps for reading in self.readings),
            cathode_cm2=self.facing.cm2,
            # in plain water the limit is nought, of which nothing is a share; above 400 g/L there is no bath
            strength_g_per_l=min(max(self.bath_then.strength_g_per_l, 1.0), 400.0),
        )

    @cached_property
    def most_current(self) -> Figure | None:
        """What the voltage could drive to the whole face of the plate; None where volts, gap or plate are not known."""
        volts = [reading.volts for reading in self.readings if reading.volts]
        if self.bath_then is None or not volts or not self.bite.plate or not self.facing.gap_cm:
            return None
        return cell_current.most_current_a(
            # by the highest volts, so that a current is called impossible only where no reading explains it
            volts=max(volts),
            gap_cm=self.facing.gap_cm,
            plate_cm2=self.bite.plate.area_cm2,
            strength_g_per_l=self.bath_then.strength_g_per_l,
        )

    @cached_property
    def copper_in_drips(self) -> Figure | None:
        if self.stop is None or not self.stop.drips_ml:
            return None
        dripped = [removal for _, removal in removals_of(taken_in(self.stop.entry_id))]
        return next((biting.copper_in_drips(each.litres, each.strength) for each in dripped), None)

    @property
    def in_a_tray(self) -> str:
        if self.copper_in_drips is None:
            return ""
        mg_per_l = MG_PER_G * self.copper_in_drips.value / TRAY_L
        return _(
            "Its drips bring a rinse tray of %(TRAY_L)s to about %(mg_per_l)s mg/L of copper: "
            "keep the rinse, it is not for the sink."
        ) % {"TRAY_L": quantity(TRAY_L, "L", 2), "mg_per_l": digits(mg_per_l, 1)}

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        return list(self.told())

    def told(self) -> Iterator[DisplayedFigure]:
        for name, figure in ((_("Charge"), self.charge), (_("Copper moved"), self.copper)):
            if figure:
                yield DisplayedFigure.plain(name, figure)
        if self.depth and self.shown_depth:
            yield DisplayedFigure(_("Depth, on average"), self.shown_depth, self.depth)
        for name, figure in (
            (_("Current on bare copper"), self.density),
            (_("Usual here"), self.usual_density),
            (_("Most by Ohm’s law"), self.most_current),
            (_("Copper in its drips"), self.copper_in_drips),
            (_("Efficiency at the plate"), self.efficiency if self.charge else None),
        ):
            if figure:
                yield DisplayedFigure.plain(name, figure)
        if self.cathode_share:
            shown = Shown(plain(100 * self.cathode_share.value, 0), _("% of what a still bath can bring it"))
            yield DisplayedFigure(_("At the cathode"), shown, self.cathode_share)

    @property
    def is_near_saturation(self) -> bool:
        # a room outside the solubility tables would be refused, and with it the whole page of the bite
        room_c = min(max(self.bite.bath.air_c, sulfate.COLDEST_C), sulfate.WARMEST_C)
        then = self.bath_then
        return then is not None and cell_current.is_near_saturation(then.strength_g_per_l, room_c)

    @cached_property
    def notes(self) -> list[tuple[str, str]]:
        """What to look at, each with its level: look or act."""
        return list(self.worth_a_look())

    def worth_a_look(self) -> Iterator[tuple[str, str]]:
        if cell_current.climbed(self.taken):
            first, last = self.readings[0], self.readings[-1]
            yield (
                "act",
                _(
                    "The current climbs, from %(amps)s A to %(amps_2)s A: a ground that lifts, a back or an "
                    "edge laid bare, a clip below the liquid. Current off, then look."
                )
                % {"amps": digits(first.amps), "amps_2": digits(last.amps)},
            )
        # a current falls for many harmless reasons; salt on the plate is one only in a bath that is nearly full of it
        if cell_current.fell(self.taken) and self.is_near_saturation:
            yield (
                "look",
                _(
                    "The current falls by itself and the bath is near saturation: salt may be growing on the plate. "
                    "Lift it, rinse it in the bath’s own water, and add water to the bath."
                ),
            )
        if self.cathode_share and cell_current.is_powdery(self.cathode_share):
            yield (
                "look",
                _(
                    "The cathode takes %(value)s %% of what a still bath can bring it; from a third on the "
                    "deposit may come out powdery. A larger cathode or less current keeps it firm."
                )
                % {"value": plain(100 * self.cathode_share.value, 0)},
            )
        if self.most_current and self.current_a and self.current_a > self.most_current.value:
            yield (
                "act",
                _(
                    "%(current_a)s A is more than these volts can drive through the bath to the whole plate "
                    "(%(value)s A): a clip or a hook in the liquid, or amps and volts swapped?"
                )
                % {"current_a": digits(self.current_a, 2), "value": digits(self.most_current.value, 2)},
            )
        if self.density and self.usual_density and self.is_far_from_usual:
            expected = self.usual_density.value * (self.bite.exposed_cm2 or 0.0) / 100
            yield (
                "look",
                _("Far from usual here: about %(expected)s A was to be expected. Bare back or edges take current too.")
                % {"expected": plain(expected, 1)},
            )

    @property
    def is_far_from_usual(self) -> bool:
        assert self.density and self.usual_density
        return cell_current.is_far_from_usual(self.density.value, self.usual_density)
