"""What this studio's own bites and weighings have taught: the usual current of a bath, and how much copper it moves."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from django.db.models import QuerySet

from chemistry.copper import cell_current, efficiency
from chemistry.copper.biting import read_by_meter
from chemistry.copper.cell_current import Past
from chemistry.copper.efficiency import ANODE, CATHODE, ExpectedEfficiency, Weighed
from chemistry.measured import HALF_WIDTH_SDS, Measured, total
from chemistry.working import Figure
from inventory.asked_often import asked_often
from inventory.dates import long_day
from studio.baths.event_log import state_from_json
from studio.baths.models import Bath, BathEvent
from studio.bites.models import Bite, OwnEfficiency, Weighing

Electrode = OwnEfficiency.Electrode
USUAL = {Electrode.PLATE: ANODE, Electrode.CATHODE: CATHODE}
LATEST_BITES = 20
LATEST_WEIGHINGS = 200


def usual_density(bath: Bath, strength_g_per_l: float) -> Figure | None:
    """The current density to expect of the next bite of this bath; None before there is enough to learn from."""
    return cell_current.usual_density(list(past_bites(bath)), strength_g_per_l=strength_g_per_l)


def past_bites(bath: Bath) -> Iterator[Past]:
    latest = latest_bites(bath.pk)
    strengths = strengths_at([pk for pk, *_ in latest])
    for pk, charge_ah, minutes, exposed_cm2 in latest:
        if pk in strengths:
            average_a = 60 * charge_ah / minutes
            yield Past(current_a=average_a, exposed_cm2=exposed_cm2, strength_g_per_l=strengths[pk])


@asked_often
def latest_bites(bath: int) -> "QuerySet[Bite, tuple[int, float, float, float]]":
    # the mean is one of logarithms: nought has none, and a bite without area or charge tells of no density
    bites = Bite.objects.ended().filter(bath=bath, exposed_cm2__gt=0, stopped_charge_ah__gt=0, stopped_minutes__gt=0)
    figures = bites.latest_first().values_list("pk", "stopped_charge_ah", "stopped_minutes", "exposed_cm2")
    return figures[:LATEST_BITES]


def strengths_at(bites: Collection[int]) -> dict[int, float]:
    """How strong the bath was when each of these bites was stopped, by the book."""
    # by what is kept beside the log: to ask for each bite's moment would take a query each
    events = BathEvent.objects.standing().filter(kind=BathEvent.Kind.BITTEN, entry__bite_stops__bite__in=bites)
    known = events.filter(estimate__state__isnull=False).values_list("entry__bite_stops__bite", "estimate__state")
    return {bite: state_from_json(state).strength_g_per_l for bite, state in known if state}


@dataclass(frozen=True)
class WeighingPair:
    """Two weighings of a bare plate, and what passed in the bites between them; None where nobody read the current."""

    before: Weighing
    after: Weighing
    charges: Sequence[Measured | None]

    @property
    def weighed(self) -> Weighed | None:
        """What the two say together; None when nothing ran between them, or somebody did not read the current."""
        # copper of a bite that nobody read is weighed with the rest, and the current would seem to have moved too much
        known = [charge for charge in self.charges if charge and charge.value]
        if not known or len(known) < len(self.charges):
            return None
        return Weighed(charge=total(known, "A·h"), moved=self.before.mass - self.after.mass)


def anode_efficiency() -> Figure:
    """What share of the current takes copper off a plate, after every pair of weighings in the book."""
    pairs = between_weighings(Weighing.objects.all())
    return efficiency.efficiency([pair.weighed for pair in pairs if pair.weighed], expected(Electrode.PLATE))


def expected(electrode: Electrode) -> ExpectedEfficiency:
    """What is expected of an electrode before any weighing: as a keyholder said, else the usual estimate."""
    own = own_efficiency(electrode)
    if own is None:
        return USUAL[electrode]
    said = f"{own.entry.done_by}, {long_day(own.entry.happened_at)}: {own.reason}"
    # people say a range that holds 95 times in 100; sums go by the standard deviation
    return ExpectedEfficiency(Measured(own.share, own.half_width / HALF_WIDTH_SDS), said)


def own_efficiency(electrode: Electrode) -> OwnEfficiency | None:
    standing = OwnEfficiency.objects.standing().filter(electrode=electrode).select_related("entry__done_by")
    return standing.order_by("entry__happened_at", "entry_id").last()


def between_weighings(weighings) -> list[WeighingPair]:
    """Each plate's weighings, two by two, as far as it was bare both times; in two queries however many they are."""
    bare = weighings.standing().filter(is_bare=True, plate__entry__struck_at=None).select_related("entry")
    # older ones may have been bitten in another bath and by another supply
    latest = list(bare.order_by("-entry__happened_at", "-pk")[:LATEST_WEIGHINGS])
    # only neighbours are paired, so each plate's weighings must stand together
    in_order = sorted(latest, key=lambda each: (each.plate_id, each.entry.happened_at, each.pk))
    pairs = [pair for _, group in groupby(in_order, lambda each: each.plate_id) for pair in pairwise(group)]
    if not pairs:
        return []
    bites = Bite.objects.ended().filter(plate__in={before.plate_id for before, _ in pairs})
    rows = list(bites.values_list("plate", "happened_at", "stopped_charge_ah", "stopped_charge_sd_ah"))
    return [WeighingPair(before, after, charges_between(before, after, rows)) for before, after in pairs]


def charges_between(before: Weighing, after: Weighing, rows: Sequence[tuple]) -> list[Measured | None]:
    first, last = before.entry.happened_at, after.entry.happened_at
    # a bite counts by its start: a plate is not weighed while it hangs in the bath
    between = [charge for plate, at, *charge in rows if plate == before.plate_id and first <= at < last]
    return [None if ah is None else read_by_meter(ah, "A·h", sd=sd_ah) for ah, sd_ah in between]
