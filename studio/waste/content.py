"""What is in drums: their standing deposits and measurements replayed to a moment, in a few queries for all of them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from operator import attrgetter

from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format

from chemistry.waste import drum as sums
from chemistry.waste import streams
from chemistry.waste.drum import Known, Part
from chemistry.working import Figure
from inventory.models import Entry
from studio.waste import copper
from studio.waste.copper import Brought
from studio.waste.models import Deposit, Drum, DrumWeighing, Inspection, TestResult

Quantity = TestResult.Quantity
Line = Deposit | Inspection | DrumWeighing | TestResult

DENSITIES: Mapping[str, Known] = {
    "rinse": sums.between(*sums.WATERY_G_PER_ML),
    "cleaner_used": sums.between(*sums.WATERY_G_PER_ML),
    "solvent_spent": sums.between(*sums.SOLVENT_G_PER_ML),
}
GUESSED_ALIKE = (Deposit.Source.RINSE, Deposit.Source.CLEANER, Deposit.Source.TOWELS)
WITH_DEPOSITS = ("entry__done_by", "drum", "strip", "container__material", "from_drum")
IN_ORDER = attrgetter("entry.happened_at", "entry_id", "pk")


@dataclass
class Content:
    """A drum at a place in the book: its lines in order, and what they add up to."""

    drum: Drum
    deposits: list[Deposit] = field(default_factory=list)
    inspections: list[Inspection] = field(default_factory=list)
    weighings: list[DrumWeighing] = field(default_factory=list)
    test_results: list[TestResult] = field(default_factory=list)
    poured_out: list[Deposit] = field(default_factory=list)
    litre_parts: list[Part] = field(default_factory=list)
    mass_parts: list[Part] = field(default_factory=list)
    copper_parts: list[Part] = field(default_factory=list)
    room_l: float | None = None

    @property
    def started_at(self) -> datetime | None:
        """The first drop."""
        return self.deposits[0].entry.happened_at if self.deposits else None

    @property
    def looked_at(self) -> datetime:
        """When somebody last looked it over; else since when it stands there."""
        return self.inspections[-1].entry.happened_at if self.inspections else self.drum.entry.happened_at

    @property
    def is_wrong(self) -> bool:
        """What the last look found, until another finds it put right."""
        return bool(self.inspections) and self.inspections[-1].found == Inspection.Found.WRONG

    @property
    def rags_since(self) -> datetime | None:
        """Since when rags that heat up by themselves lie in it; None once they were put out of the building."""
        put_out = [IN_ORDER(look) for look in self.inspections if look.is_put_out]
        waiting = [
            deposit
            for deposit in self.deposits
            if deposit.stream.self_heats and not (put_out and IN_ORDER(deposit) < put_out[-1])
        ]
        return waiting[0].entry.happened_at if waiting else None

    def is_seen_since(self, entry: Entry) -> bool:
        """Whether somebody saw how full it stands after an entry."""
        at = (entry.happened_at, entry.pk)
        return any(IN_ORDER(look)[:2] > at for look in self.inspections if look.full_percent is not None)

    @property
    def kinds(self) -> list[str]:
        """Its own, and whatever else went in."""
        return list(dict.fromkeys([self.drum.kind, *(deposit.kind for deposit in self.deposits)]))

    @property
    def volume(self) -> Figure | None:
        """Of what is poured; solids are weighed."""
        return sums.volume(self.litre_parts) if self.drum.is_liquid else None

    @property
    def mass(self) -> Figure | None:
        return sums.mass(self.mass_parts)

    @property
    def copper(self) -> Figure | None:
        return sums.copper(self.copper_parts)

    @property
    def copper_at_least(self) -> Figure | None:
        """What is known of the copper, where some of what went in is not; None where all or nothing is known."""
        known = [part for part in self.copper_parts if part.copper_g]
        return sums.copper(known) if known and self.copper is None else None

    @property
    def copper_per_l(self) -> Figure | None:
        copper, volume = self.copper, self.volume
        return sums.per_litre(copper, volume) if copper and volume and volume.value else None

    @property
    def copper_per_kg(self) -> Figure | None:
        copper, mass = self.copper, self.mass
        return sums.per_kilogram(copper, mass) if copper and mass and mass.value else None

    @property
    def full_percent(self) -> float | None:
        """Of the vessel, to the brim; None while nobody has said how much room what is in it takes."""
        return None if self.room_l is None else 100 * self.room_l / self.drum.capacity_l

    @property
    def is_full(self) -> bool:
        return self.full_percent is not None and self.full_percent >= streams.FULL_AT_PERCENT

    @property
    def room_left_l(self) -> float:
        """Up to the stop; what nobody measured takes none."""
        return streams.FULL_AT_PERCENT / 100 * self.drum.capacity_l - (self.room_l or 0.0)


def low_end(figure: Figure) -> float:
    """Of its 95 % interval."""
    return max(figure.value - (figure.half_width or 0.0), 0.0)


def of(drums: Iterable[Drum], at: datetime | None = None, *, before: Entry | None = None) -> dict[int, Content]:
    """By the drum's key, at a moment or just before an entry; in seven queries, and more for what was poured over."""
    contents = {drum.pk: Content(drum) for drum in drums}
    lines = _lines(list(contents), _until(at, before))
    brought = copper.brought_by(line for _, line in lines if isinstance(line, Deposit))
    for pk, line in lines:
        _follow(contents[pk], line, brought)
    return contents


def of_one(drum: Drum, at: datetime | None = None, *, before: Entry | None = None) -> Content:
    return of([drum], at, before=before)[drum.pk]


def _until(at: datetime | None, before: Entry | None) -> Q:
    if before is None:
        return Q(entry__happened_at__lte=at or timezone.now())
    return Q(entry__happened_at__lt=before.happened_at) | Q(
        entry__happened_at=before.happened_at, entry_id__lt=before.pk
    )


def _lines(drums: Sequence[int], until: Q) -> list[tuple[int, Line]]:
    """Every standing line of some drums with the drum it speaks of, in the order of the book."""
    found: list[tuple[int, Line]] = []
    for model in (Inspection, DrumWeighing, TestResult):
        seen = model.objects.standing().filter(until, drum__in=drums).select_related("entry__done_by")
        found += [(line.drum_id, line) for line in seen]
    either = Deposit.objects.standing().filter(until, Q(drum__in=drums) | Q(from_drum__in=drums))
    for deposit in either.select_related(*WITH_DEPOSITS):
        found += [(pk, deposit) for pk in (deposit.drum_id, deposit.from_drum_id) if pk in drums]
    return sorted(found, key=lambda one: IN_ORDER(one[1]))


def _follow(content: Content, line: Line, brought: Mapping[int, Brought]) -> None:
    """One line more."""
    if isinstance(line, Deposit) and line.from_drum_id == content.drum.pk:
        _pour_out(content, line)
    elif isinstance(line, Deposit):
        content.deposits.append(line)
        _put_in(content, _part(line, brought[line.pk]))
    elif isinstance(line, Inspection):
        content.inspections.append(line)
        if line.full_percent is not None:
            content.room_l = line.full_percent / 100 * content.drum.capacity_l
    elif isinstance(line, DrumWeighing):
        content.weighings.append(line)
        if content.drum.tare_g:
            mass_g = sums.net(line.gross_g, content.drum.tare_g, line.half_width_g)
            content.mass_parts = [Part(name=_named("weighed", line), mass_g=mass_g)]
    else:
        content.test_results.append(line)
        _test(content, line)


def _put_in(content: Content, part: Part) -> None:
    for parts in (content.litre_parts, content.mass_parts, content.copper_parts):
        parts.append(part)
    if part.litres:
        content.room_l = (content.room_l or 0.0) + part.litres.value


def _part(deposit: Deposit, brought: Brought) -> Part:
    """A deposit as the sums take it."""
    name = _named(deposit.get_source_display(), deposit)
    if deposit.from_drum:
        return _share_of(of_one(deposit.from_drum, before=deposit.entry), deposit, name)
    litres = _known(deposit.litres, deposit.litres_sd)
    return Part(
        name=name,
        litres=litres,
        mass_g=_known(deposit.mass_g, deposit.mass_sd_g) or _by_density(litres, deposit.kind, brought),
        copper_g=brought.copper_g,
        alike=deposit.source if deposit.source in GUESSED_ALIKE else "",
    )


def _by_density(litres: Known | None, kind: str, brought: Brought) -> Known | None:
    density = brought.density_g_per_ml or DENSITIES.get(kind)
    return sums.mass_of(litres, density) if litres and density else None


def _pour_out(content: Content, deposit: Deposit) -> None:
    """What is poured over takes its share of everything along."""
    content.poured_out.append(deposit)
    left = 1 - _share(content, deposit)
    name = _named("what was left", deposit)
    content.litre_parts = [Part(name=name, litres=_of_figure(content.volume, left))]
    content.mass_parts = [Part(name=name, mass_g=_of_figure(content.mass, left))]
    content.copper_parts = [Part(name=name, copper_g=_of_figure(content.copper, left))]
    content.room_l = None if content.room_l is None else left * content.room_l


def _share_of(source: Content, deposit: Deposit, name: str) -> Part:
    share = _share(source, deposit)
    return Part(
        name=name,
        litres=_known(deposit.litres, deposit.litres_sd),
        mass_g=_of_figure(source.mass, share),
        copper_g=_of_figure(source.copper, share),
    )


def _share(content: Content, deposit: Deposit) -> float:
    """Of what is in a drum, how much was poured over."""
    volume, mass = content.volume, content.mass
    if deposit.litres and volume and volume.value:
        return min(1.0, deposit.litres / volume.value)
    if deposit.mass_g and mass and mass.value:
        return min(1.0, deposit.mass_g / mass.value)
    return 0.0


def _test(content: Content, result: TestResult) -> None:
    """A test of the copper goes before what went in until then."""
    found = sums.between(result.low, result.high)
    by_litre = result.quantity == Quantity.COPPER_PER_L
    amount = content.volume if by_litre else content.mass
    if amount and result.is_of_copper:
        per_unit = sums.G_PER_MG if by_litre else sums.G_PER_MG / sums.MG_PER_G
        copper_g = sums.by_test(found, amount, per_unit=per_unit)
        content.copper_parts = [Part(name=_named("tested", result), copper_g=copper_g)]


def _known(value: float | None, sd: float | None) -> Known | None:
    return None if value is None else Known(value, sd or 0.0)


def _of_figure(figure: Figure | None, share: float) -> Known | None:
    return None if figure is None else sums.of(Known(figure.value, figure.sd or 0.0), share)


def _named(what: str, line: Line) -> str:
    return f"{what}, {date_format(timezone.localtime(line.entry.happened_at), 'j M Y')}"
