"""Hazardous waste month by month: what arose, and what stands here, by what was decided for each kind."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from operator import attrgetter
from typing import NamedTuple

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import waste
from chemistry.measured import Measured, digits, plain, total
from chemistry.quantity import read_in
from chemistry.waste.evaluation import DOES_NOT_APPLY, Flag
from chemistry.waste.rules import RuleSet
from studio.waste import copper, premises
from studio.waste.advice import AdviceInForce
from studio.waste.content import Content
from studio.waste.models import Deposit, DisposalItem, Drum, DrumWeighing
from studio.workshop.models import Workshop

G_PER_KG = 1000
# what fills a drum weighs no more than this, kg in a litre: solid copper; strong ferric chloride, both from memory
METALS, METAL_KG_PER_L, HEAVIEST_KG_PER_L = ("cathode_copper", "cathode_powder", "bath_mud"), 9.0, 1.5
MONTHS_SHOWN = 12
MONTHS_IN_A_YEAR = 12

Kilograms = tuple[float, float] | None


@dataclass(frozen=True)
class Month:
    """
    What arose in one calendar month.

    generated: a day of it and kilograms of what counts, or may count, by drum; both ends of what is known.
    undecided: kinds of which nobody has decided whether they count.
    put_in: how many times something went in; unweighed: how many of them nobody weighed, unweighed_kg: what those can
    weigh at most.
    """

    first: date
    generated: Sequence[tuple[date, Kilograms]]
    undecided: Sequence[str]
    put_in: int = 0
    unweighed: int = 0
    unweighed_kg: float = 0.0

    @cached_property
    def kg(self) -> tuple[float, float]:
        low, high = waste.month_kg(self.bounded, year=self.first.year, month=self.first.month)
        return float(low), float(high)

    @property
    def bounded(self) -> list[tuple[date, Kilograms]]:
        """What nobody weighed is nothing at least, and at most what its drums hold."""
        # any day of the month would do: only whole months are added up
        return [*self.generated, (self.first, (0.0, self.unweighed_kg))]

    @cached_property
    def known_kg(self) -> tuple[float, float]:
        """Without what nobody weighed."""
        weighed = [kg for _, kg in self.generated if kg]
        return sum(low for low, _ in weighed), sum(high for _, high in weighed)

    @property
    def figure(self) -> str:
        return between(*self.known_kg)

    @property
    def words(self) -> str:
        if not self.put_in:
            return _("Nothing that counts, or may count, has gone into a drum yet.")
        if not self.unweighed:
            return _("%(figure)s arose so far.") % {"figure": self.figure}
        return _(
            "%(figure)s arose so far. Not weighed when put in: %(unweighed)s of %(put_in)s; "
            "by what their drums hold those can be %(between)s."
        ) % {
            "figure": self.figure,
            "unweighed": self.unweighed,
            "put_in": self.put_in,
            "between": between(0, self.unweighed_kg),
        }

    def flags(self, sets: Iterable[RuleSet], workshop: Workshop, on_site_kg: Kilograms = None) -> list[Flag]:
        found = waste.month_flags(
            self.bounded,
            year=self.first.year,
            month=self.first.month,
            rule_sets=sets,
            on_site_kg=on_site_kg,
            of_the_studio=premises.properties_of_studio(workshop),
        )
        # to a home every category says the same: that it has none
        return [flag for flag in found if not (workshop.is_household and flag.state == DOES_NOT_APPLY)]


def this_month(now: datetime, told: AdviceInForce) -> Month:
    (month,) = months(now, told, how_many=1)
    return month


def months(now: datetime, told: AdviceInForce, *, how_many: int = MONTHS_SHOWN) -> list[Month]:
    """The last ones, the latest first, in five queries at most."""
    latest = timezone.localdate(now).replace(day=1)
    firsts = [_back(latest, months) for months in range(how_many)]
    # midnight by the studio's clock, or what was put in that night would count to the month before
    since = timezone.make_aware(datetime.combine(firsts[-1], datetime.min.time()))
    read = list(scales_read(now))
    # a scale tells of all that was in by then, and not of the months asked for alone
    wanted = Q(entry__happened_at__gte=since) | Q(drum__in={each.drum for each in read})
    wanted |= Q(from_drum__isnull=False) | Q(source=Deposit.Source.RINSE)
    found = Deposit.objects.standing().filter(wanted).select_related("entry", "strip", "drum")
    trays = [(each.entry.happened_at, each.pk) for each in found if each.source == Deposit.Source.RINSE]
    poured = [each for each in found if each.from_drum_id]
    # a drum that was poured out of or into is left as its deposits tell: what stood on a scale was not theirs alone
    emptied = {each.from_drum_id for each in found if each.from_drum_id}
    scales = [each for each in read if each.drum not in emptied.union(each.drum_id for each in poured)]
    weighed = {each.drum for each in scales}
    # what is poured over arose when it went into its first drum, and would count twice
    put_in = [each for each in found if not each.from_drum_id and each.entry.happened_at <= now]
    deposits = [each for each in put_in if each.entry.happened_at >= since or each.drum_id in weighed]
    masses = masses_of(deposits, scales, trays)
    return [month_of(first, deposits, masses, told, emptied) for first in firsts]


class ScaleRead(NamedTuple):
    """What a scale told of all that was in a drum."""

    drum: int
    at: datetime
    net: Measured


def masses_of(
    deposits: Sequence[Deposit], scales: Iterable[ScaleRead], trays: Iterable[tuple[datetime, int]]
) -> dict[int, Measured | None]:
    """What deposits weigh, by their key; what was weighed with its drum later on is the better known for it."""
    masses = {pk: each.mass_g for pk, each in copper.brought_by(deposits, trays).items()}
    for scale in sorted(scales, key=attrgetter("at")):
        in_it = [each.pk for each in deposits if each.drum_id == scale.drum and each.entry.happened_at <= scale.at]
        parts = [mass for pk in in_it if (mass := masses[pk])]
        if parts and len(parts) == len(in_it) and (whole := total(parts, "g")).is_near(scale.net):
            masses |= {pk: mass.once_known(whole, scale.net) for pk, mass in zip(in_it, parts, strict=True)}
    return masses


def scales_read(now: datetime) -> Iterator[ScaleRead]:
    """Here, and where drums were handed over."""
    for each in weighings(now):
        if net := each.net:
            yield ScaleRead(each.drum_id, each.entry.happened_at, net)
    for item in handed(now):
        if net := item.weighed:
            yield ScaleRead(item.drum_id, item.disposal.handed_over_at, net)


def weighings(now: datetime) -> QuerySet[DrumWeighing]:
    standing = DrumWeighing.objects.standing().filter(entry__happened_at__lte=now)
    return standing.select_related("entry", "drum")


def handed(now: datetime) -> QuerySet[DisposalItem]:
    return DisposalItem.objects.gone().filter(disposal__handed_over_at__lte=now).select_related("disposal")


def on_site_kg(here: Iterable[Content], told: AdviceInForce) -> Kilograms:
    """What stands here and counts, or may count; None where a drum that may count was never weighed."""
    found = dict(masses_on_site(here, told))
    weighed = [kg for kg in found.values() if kg]
    return sum_of_spans(weighed) if len(weighed) == len(found) else None


def on_site_bounds(here: Iterable[Content], told: AdviceInForce) -> tuple[float, float]:
    """What stands here at least and at most: a drum that was never weighed by what it holds."""
    return sum_of_spans(kg or (0.0, most_kg(drum)) for drum, kg in masses_on_site(here, told))


def most_kg(drum: Drum) -> float:
    """What a drum can hold at most, brimful."""
    return drum.capacity_l * (METAL_KG_PER_L if drum.kind in METALS else HEAVIEST_KG_PER_L)


def masses_on_site(here: Iterable[Content], told: AdviceInForce) -> Iterator[tuple[Drum, Kilograms]]:
    for each in here:
        counts = told.counts_as_hazardous(each.drum.kind)
        if counts is not False and each.deposits:
            mass = each.mass
            yield each.drum, None if mass is None else kg_span(mass, counts)


def sum_of_spans(spans: Iterable[tuple[float, float]]) -> tuple[float, float]:
    low, high = 0.0, 0.0
    for least, most in spans:
        low, high = low + least, high + most
    return low, high


def between(low: float, high: float) -> str:
    """
    >>> between(1.234, 1.234), between(0, 12.2)
    ('1.2 kg', '0 to 12 kg')
    """
    unit, size = read_in("kg", high)
    ends = [digits(end, 2) if end < 10 else plain(end, 0) for end in (low / size, high / size)]
    places = {"low": ends[0], "high": ends[1], "unit": unit}
    return f"{ends[0]} {unit}" if ends[0] == ends[1] else _("%(low)s to %(high)s %(unit)s") % places


def month_of(
    first: date,
    deposits: Iterable[Deposit],
    masses: Mapping[int, Measured | None],
    told: AdviceInForce,
    emptied: Collection[int],
) -> Month:
    inside = [each for each in deposits if day_of(each).replace(day=1) == first]
    counting = [each for each in inside if told.counts_as_hazardous(each.kind) is not False]
    unweighed = [each for each in counting if masses[each.pk] is None]
    generated = [(first, kg) for kg in generated_by(counting, masses, told)]
    undecided = dict.fromkeys(each.kind for each in counting if told.counts_as_hazardous(each.kind) is None)
    most = most_kg_unweighed(unweighed, emptied)
    return Month(first, generated, list(undecided), len(counting), len(unweighed), most)


def most_kg_unweighed(unweighed: Iterable[Deposit], emptied: Collection[int]) -> float:
    """A drum is filled once; one that was poured out of may have been filled with every deposit."""
    # else one drum filled ten times without a scale would count as ten full ones
    once = {each.pk if each.drum_id in emptied else (each.drum_id,): most_kg(each.drum) for each in unweighed}
    return sum(once.values())


def generated_by(
    deposits: Iterable[Deposit], masses: Mapping[int, Measured | None], told: AdviceInForce
) -> Iterator[tuple[float, float]]:
    """By drum, because what one scale told of several deposits tells their sum better than any of them."""
    by_drum: dict[tuple[int, bool | None], list[Measured]] = defaultdict(list)
    for each in deposits:
        if mass := masses[each.pk]:
            by_drum[each.drum_id, told.counts_as_hazardous(each.kind)].append(mass)
    for (_drum, counts), parts in by_drum.items():
        yield kg_span(total(parts, "g"), counts)


def kg_span(mass: Measured, counts: bool | None) -> tuple[float, float]:
    """Both ends of its 95 % interval; what nobody has decided may count in full, or not at all."""
    return mass.low / G_PER_KG if counts else 0.0, mass.high / G_PER_KG


def day_of(each: Deposit) -> date:
    return timezone.localdate(each.entry.happened_at)


def _back(first: date, months: int) -> date:
    """
    >>> _back(date(2026, 2, 1), 3)
    datetime.date(2025, 11, 1)
    """
    count = first.year * MONTHS_IN_A_YEAR + first.month - 1 - months
    return date(count // MONTHS_IN_A_YEAR, count % MONTHS_IN_A_YEAR + 1, 1)
