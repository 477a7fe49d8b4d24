"""What was done to one plate: its states with their bites, what it weighed, where it travelled."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from django.utils.translation import gettext as _

from chemistry.copper import biting
from chemistry.quantity import quantity
from chemistry.working import Figure
from studio.bites import calibration, descriptions, lines, plates
from studio.bites.calibration import WeighingPair
from studio.bites.lines import BiteLine
from studio.bites.models import Bite, Parcel, Photograph, Plate, Preparation, roman
from studio.pages.quantities import DisplayedFigure, Units


@dataclass(frozen=True)
class State:
    number: int
    preparations: Sequence[Preparation]
    lines: Sequence[BiteLine]
    units: Units

    @property
    def name(self) -> str:
        return roman(self.number)

    @property
    def stages(self) -> str:
        return descriptions.stages([line.minutes for line in self.lines if line.minutes is not None])

    @cached_property
    def deepest(self) -> DisplayedFigure | None:
        """How deep the lines went that stayed open through all its bites."""
        depths = [line.depth for line in self.lines if line.depth]
        # a single bite says its depth itself, and one of unknown depth would make the sum too shallow
        if len(depths) < 2 or len(depths) < len(self.lines):
            return None
        figure = biting.together(depths)
        return DisplayedFigure(_("Lines open through all of them"), self.units.depth(figure.value, figure.sd), figure)


@dataclass(frozen=True)
class History:
    plate: Plate
    units: Units

    @cached_property
    def efficiency(self) -> Figure:
        return calibration.anode_efficiency()

    @cached_property
    def states(self) -> list[State]:
        """The latest first; within each, its bites as they came."""
        rows = Bite.objects.standing().filter(plate=self.plate).with_stop().select_related("bath", "entry__done_by")
        # by state before time: a bite that was backdated into an earlier state would split a later one in two
        told = lines.bite_lines(rows.order_by("state", "happened_at", "pk"), self.units, self.efficiency)
        bitten = {number: list(group) for number, group in groupby(told, lambda line: line.bite.state)}
        prepared: dict[int, list[Preparation]] = {}
        for preparation in self.preparations:
            prepared.setdefault(preparation.state, []).append(preparation)
        # a ground may be laid and not bitten through yet, or a bite written of whose ground nobody told
        numbers = sorted(bitten.keys() | prepared.keys(), reverse=True)
        return [State(number, prepared.get(number, []), bitten.get(number, []), self.units) for number in numbers]

    @cached_property
    def preparations(self) -> list[Preparation]:
        standing = self.plate.preparations.standing().select_related(
            "entry__done_by", "ground_from", "stop_out_from", "second_stop_out_from"
        )
        return list(standing.order_by("entry__happened_at", "pk"))

    @cached_property
    def weighings(self) -> list:
        standing = self.plate.weighings.standing().select_related("entry__done_by")
        return list(standing.order_by("entry__happened_at", "pk"))

    @cached_property
    def photographs(self) -> list[Photograph]:
        """The latest state first."""
        standing = self.plate.photographs.standing().select_related("entry")
        return list(standing.order_by("-state", "-entry__happened_at", "pk"))

    @cached_property
    def comparisons(self) -> list[tuple[WeighingPair, str]]:
        """What the scale says of the bites between two weighings, in words."""
        # most plates are weighed once or never: for them nothing is asked
        pairs = calibration.between_weighings(self.plate.weighings) if len(self.weighings) > 1 else []
        told = ((pair, descriptions.weighed(pair, self.efficiency)) for pair in pairs)
        return [(pair, words) for pair, words in told if words]

    @cached_property
    def parcels(self) -> list[Parcel]:
        standing = Parcel.objects.standing().filter(travels__plate=self.plate).select_related("entry", "partner")
        return list(standing.order_by("-entry__happened_at", "-pk"))

    @property
    def expected_mass_g(self) -> float | None:
        return plates.expected_mass_g(self.plate)

    @property
    def facts(self) -> list[tuple[str, object]]:
        plate, expected_g = self.plate, self.expected_mass_g
        return [
            (_("Size"), plate.size),
            (_("Thickness"), plate.thickness or None),
            (
                _("Weighs"),
                f"{self.weighings[-1]}"
                if self.weighings
                else (
                    _("about %(expected_g)s") % {"expected_g": quantity(expected_g, "g", decimals=0)}
                    if expected_g
                    else None
                ),
            ),
            (
                _("Whose"),
                plate.owner
                if plate.partner is None
                else _("%(owner)s, with %(partner)s") % {"owner": plate.owner, "partner": plate.partner},
            ),
            (_("Cut from"), plate.cut_from or _("brought along")),
            (_("Where"), where(plate.away_at, is_away=plate.is_away)),  # type: ignore[attr-defined]  # annotated
        ]


def where(partner: str | None, *, is_away: bool) -> str:
    if is_away:
        return _("mailed to %(partner)s") % {"partner": partner}
    return _("here, back from %(partner)s") % {"partner": partner} if partner else _("here")
