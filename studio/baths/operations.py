"""What is done to a bath. Each is one entry in one transaction: stock, log and estimate move together."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from chemistry import bath as bath_model
from chemistry.bath import (
    Adopted,
    BathState,
    Bitten,
    CrystalsAdded,
    DryingRate,
    Event,
    LevelRead,
    Mixed,
    Reading,
    Removed,
    SolutionAdded,
    WaterAdded,
    figures,
)
from chemistry.hazards import substances
from chemistry.measured import digits
from chemistry.solution import evaporation
from inventory import book, ledger
from inventory.book import Signed
from inventory.models import Container, Entry, Material
from inventory.refusals import Refused
from studio.baths import estimate, event_log, kinds, tank
from studio.baths.event_log import UNDATED
from studio.baths.models import Answer, Bath, BathEvent
from studio.pages.quantities import grams, volume_ul

Kind = BathEvent.Kind
FILLING = (Kind.MIXED, Kind.ADOPTED, Kind.WATER_ADDED, Kind.CRYSTALS_ADDED)
CARRYING_SALT = (Kind.BITTEN, Kind.REMOVED, Kind.SOLUTION_ADDED)

DRIP_ML = 6.0  # carried out on one plate: 4 to 8 mL, common practice, no source
DRIP_SD_SHARE = 0.25
SPILL_SD_SHARE = 0.25  # a guess at a puddle: common practice, no source
CUP_G_PER_ML = (1.002, 1.302)  # a US cup of crystals is 237 to 308 g: common practice, no source
CUP_SD_SHARE = 0.065  # a quarter of that span


@dataclass(frozen=True)
class Portion:
    """An amount out of one container, in the base unit of its material."""

    container: Container
    amount: int

    @property
    def salt_g(self) -> float:
        """The portion as blue crystals, impurities taken off. [g]"""
        material = self.container.material
        return grams(self.amount) * material.purity * blue_crystals_per_g(material)


def blue_crystals_per_g(material: Material) -> float:
    """Grams of blue crystals that a gram of a material brings a bath; nought when it is no bath salt."""
    substance = substances.SUBSTANCES.get(material.bath_use)
    return (substance and substance.blue_crystals_per_g) or 0.0


def set_up(bath: Bath, *, by: Signed) -> Entry:
    """A tank gets its page; it stays unread until somebody mixes or adopts a bath in it."""
    with book.entry(kinds.TANK_SET_UP, f"Set up the tank {bath.name}", by) as entry:
        tank.write(bath, entry)
    return entry


def change(bath: Bath, *, by: Signed) -> Entry:
    """The tank's own figures change: its marks, its range, its room; the drying to expect follows."""
    with writing(bath, kinds.TANK_CHANGED, f"Changed the figures of {bath.name}", by) as entry:
        tank.write(bath, entry)
        if estimate.at_moment(bath, entry.happened_at):
            _record_drying(bath, entry, lid_on=lid_is_on(bath))
    return entry


def adopt(
    bath: Bath,
    adopted: Adopted,
    *,
    lid_on: bool,
    by: Signed,
    level: str = "",
) -> Entry:
    """
    A bath that was there before the book comes into it, as well as it is known.

    A tank that was not in the book either comes into it with its bath, in the same entry.
    level: the volume as it was read.
    """
    _refuse_above_the_rim(bath, adopted.volume_l, "level", level)
    words = f"{digits(adopted.volume_l, 3)} L at about {adopted.strength_g_per_l:.0f} g/L"
    with writing(bath, kinds.ADOPTED, f"Adopted {bath}: {words}", by) as entry:
        tank.mark_the_fill(bath, adopted.volume_l, entry)
        record(bath, entry, adopted, words)
        _record_drying(bath, entry, lid_on=lid_on)
    return entry


def mix(
    bath: Bath,
    *,
    water_l: float,
    salt: Sequence[Portion],
    by: Signed,
    water_from: Container | None = None,
    temperature_c: float = 20.0,
    by_cups: bool = False,
    lid_on: bool = True,
) -> Entry:
    """Begin a bath anew from water and crystals; the crystals leave the shelf in the same entry."""
    mixed = mixed_from(water_l=water_l, salt=salt, temperature_c=temperature_c, by_cups=by_cups)
    [after] = bath_model.replay([mixed])
    _refuse_above_the_rim(bath, after.volume_l, "water_l")
    _refuse_undissolved(after, temperature_c, "salt")
    words = f"{_said(salt)} in {digits(water_l, 4)} L of water"
    with writing(bath, kinds.MIXED, f"Mixed {bath}: {words}", by) as entry:
        tank.mark_the_fill(bath, after.volume_l, entry)
        _take(salt, water_from, water_l, entry)
        record(bath, entry, mixed, words)
        _record_drying(bath, entry, lid_on=lid_on)
    return entry


def mixed_from(*, water_l: float, salt: Sequence[Portion], temperature_c: float = 20.0, by_cups: bool = False) -> Mixed:
    """What water and crystals make together, as the log takes it."""
    if not water_l:
        raise Refused("water_l", "Water comes first: say how much.")
    if not salt:
        raise Refused("salt", "Say which crystals go in, and how much of them.")
    added = _crystals(salt, by_cups)
    return Mixed(
        day=UNDATED,
        water_l=water_l,
        temperature_c=temperature_c,
        salt_g=added.grams,
        salt_sd_g=added.sd_g,
        purity=added.purity,
    )


def top_up(
    bath: Bath,
    *,
    water_l: float,
    salt: Sequence[Portion] = (),
    by: Signed,
    water_from: Container | None = None,
    temperature_c: float = 20.0,
    by_cups: bool = False,
    salt_anyway: bool = False,
    weak_anyway: bool = False,
) -> Entry:
    """
    Water, crystals or both go in.

    Crystals are questioned when only water can have left, water when it takes a bath below its range.
    """
    if not water_l and not salt:
        raise Refused("water_l", "Nothing to add yet: give water, crystals or both.")
    if water_l and salt:
        said = f"{digits(water_l, 3)} L of water and {_said(salt)}"
    else:
        said = f"{digits(water_l, 3)} L of water" if water_l else _said(salt)
    with writing(bath, kinds.TOPPED_UP, f"Topped up {bath}: {said}", by) as entry:
        before = state_at(bath, entry.happened_at)
        if salt and not salt_anyway:
            _question_salt(bath, before, water_l, salt, entry)
        _take(salt, water_from, water_l, entry)
        if water_l:
            watered = WaterAdded(day=UNDATED, litres=water_l, temperature_c=temperature_c)
            record(bath, entry, watered, f"{digits(water_l, 3)} L of water")
        if salt:
            record(bath, entry, _crystals(salt, by_cups), _said(salt))
        after = _after_events(bath, before, entry)
        _refuse_above_the_rim(bath, after.volume_l, "water_l")
        if water_l and not weak_anyway:
            _question_water(bath, before, after)
        if salt:
            _refuse_undissolved(after, max(temperature_c, bath.air_c), "salt", holding="this bath")
    return entry


def add_solution(bath: Bath, added: SolutionAdded, *, by: Signed) -> Entry:
    """Ready-made solution, or the first still rinse, goes into the bath."""
    words = f"{digits(added.litres, 3)} L of solution at {added.strength_g_per_l:.0f} g/L"
    with writing(bath, kinds.SOLUTION_ADDED, f"Added to {bath}: {words}", by) as entry:
        before = state_at(bath, entry.happened_at)
        record(bath, entry, added, words)
        _refuse_above_the_rim(bath, _after_events(bath, before, entry).volume_l, "litres")
    return entry


def read(bath: Bath, reading: Reading, *, words: str, by: Signed) -> Entry:
    """
    What was measured: the level on the dipstick or the marks, a hydrometer's own figure, or copper by titration.

    A titration is the one reading that acid and table salt do not mislead.
    """
    if isinstance(reading, LevelRead):
        _refuse_above_the_rim(bath, reading.volume_l, "level", words)
    with writing(bath, kinds.READ, f"Read {bath}: {words}", by) as entry:
        state_at(bath, entry.happened_at)
        record(bath, entry, reading, words)
    return entry


def strain(bath: Bath, *, litres_lost: float, crystals_g: float, by: Signed, crystals_anyway: bool = False) -> Entry:
    """
    Filtering: a little bath stays in the towel, and crystals that were taken out with it.

    Crystals are questioned when the room never gets cold enough for any to be lying there.
    """
    words = f"strained, {digits(litres_lost, 2)} L lost"
    if crystals_g:
        words += f", {digits(crystals_g, 3)} g of crystals taken out"
    with writing(bath, kinds.STRAINED, f"{bath}: {words}", by) as entry:
        before = state_at(bath, entry.happened_at)
        if crystals_g and not crystals_anyway:
            _question_crystals(bath, before)
        removed = Removed(day=UNDATED, litres=litres_lost, crystals_g=crystals_g)
        _remove_in(entry, bath, before, words, removed)
    return entry


def take_out(bath: Bath, *, litres: float, where_to: str, by: Signed) -> Entry:
    """Part of the bath goes elsewhere by the jug."""
    return _remove(
        bath, kinds.TAKEN_OUT, f"{digits(litres, 3)} L out, {where_to}", by, Removed(day=UNDATED, litres=litres)
    )


def spill(bath: Bath, *, litres: float, by: Signed) -> Entry:
    """Bath that ended on the bench or the floor; the amount is a guess."""
    spilled = Removed(day=UNDATED, litres=litres, sd_l=SPILL_SD_SHARE * litres)
    return _remove(bath, kinds.SPILL, f"about {digits(litres, 2)} L spilled", by, spilled)


def drips(bath: Bath, *, plates: int, by: Signed, ml_each: float = DRIP_ML) -> Entry:
    """What plates carried out on their faces."""
    words = f"drips of {plates} plate{'s' if plates != 1 else ''}, {digits(ml_each)} mL each"
    return _remove(bath, kinds.DRIPS, words, by, dripped(plates * ml_each))


def record_bite(bath: Bath, entry: Entry, *, charge_ah: float | None, words: str, drips_ml: float) -> None:
    """
    What a bite did to a bath, inside an entry of `writing`: charge that moved copper, and drips of the plate.

    A charge that nobody read moves copper all the same, but the book cannot say how much.
    """
    before = estimate.at_moment(bath, entry.happened_at)
    if charge_ah is not None:
        record(bath, entry, Bitten(day=UNDATED, charge_ah=charge_ah), words)
    if drips_ml:
        if before:
            _refuse_more_than_is_there(before, drips_ml / 1000, "ml_each")
        record(bath, entry, dripped(drips_ml), f"drips of {digits(drips_ml)} mL")


def cover(bath: Bath, *, lid_on: bool, by: Signed) -> Entry:
    """The lid goes on or comes off; drying stops or begins."""
    with writing(bath, kinds.LID, f"Lid {'on' if lid_on else 'off'}: {bath}", by) as entry:
        state_at(bath, entry.happened_at)
        _record_drying(bath, entry, lid_on=lid_on)
    return entry


def answer(reading: BathEvent, *, choice: str, by: Signed) -> Entry:
    """Say what to make of a reading that was held out: the answer is an entry of its own."""
    said = Answer.Choice(choice).label
    with writing(reading.bath, kinds.ANSWERED, f"{said}: {reading.words}", by) as entry:
        Answer.objects.create(reading=reading, entry=entry, choice=choice)
    return entry


@transaction.atomic
def touch(baths: Iterable[Bath]) -> None:
    """Replay baths whose log changed under them, as a strike does; in one order, so that no two wait on each other."""
    for bath in Bath.objects.select_for_update().filter(pk__in=[bath.pk for bath in baths]).order_by("pk"):
        estimate.refresh(bath)


def lid_is_on(bath: Bath) -> bool:
    last = BathEvent.objects.standing().filter(bath=bath, kind=Kind.DRYING_RATE).in_order().last()
    return last is not None and last.covers_the_bath


def drying_g_per_day(bath: Bath, *, lid_on: bool) -> float:
    """Water an uncovered bath of this surface is expected to lose in this room; under a lid none. [g/day]"""
    if lid_on:
        return 0.0
    return evaporation.water_lost_g_per_day(
        area_cm2=bath.surface_cm2,
        water_c=bath.air_c,
        air_c=bath.air_c,
        relative_humidity=bath.relative_humidity_percent / 100,
        water_activity=evaporation.water_activity((bath.range_low_g_per_l + bath.range_high_g_per_l) / 2),
    )


def only_water_can_have_left(bath: Bath, before: Entry | None = None) -> bool:
    """Whether nothing but drying has touched the bath since its last top-up: no bite, no drips, nothing taken out."""
    telling = estimate.log(bath).filter(kind__in=(*FILLING, *CARRYING_SALT))
    if before:
        telling = telling.filter(happened_at__lte=before.happened_at)
        telling = telling.exclude(happened_at=before.happened_at, entry_id__gte=before.pk)
    last = telling.last()
    return last is not None and last.kind in FILLING


@contextmanager
def writing(bath: Bath, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """One entry that touches one bath: its row locked, its revision raised, its estimate brought up to date."""
    with book.entry(kind, subject, by) as entry:
        if bath._state.adding:
            tank.write(bath, entry)
        _lock(bath)
        yield entry
        estimate.refresh(bath, entry)


@contextmanager
def beside(bath: Bath, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """One entry about a bath that leaves what is in it alone, as when its current goes on: nothing is replayed."""
    with book.entry(kind, subject, by) as entry:
        _lock(bath)
        yield entry
        estimate.carry_on(bath)


def _lock(bath: Bath) -> None:
    locked = Bath.objects.select_for_update(of=("self",)).get(pk=bath.pk)
    bath.revision, bath.estimated_revision, bath.estimated_model = (
        locked.revision,
        locked.estimated_revision,
        locked.estimated_model,
    )


def record(bath: Bath, entry: Entry, event: Event, words: str) -> BathEvent:
    """Write one event into the log of a bath, inside an entry of `writing`."""
    return BathEvent.objects.create(
        bath=bath,
        entry=entry,
        happened_at=entry.happened_at,
        kind=type(event).__name__,
        values=event_log.figures_of(event),
        schema=event_log.SCHEMA,
        words=words[:160],
    )


def _record_drying(bath: Bath, entry: Entry, *, lid_on: bool) -> None:
    rate = drying_g_per_day(bath, lid_on=lid_on)
    words = "lid on" if lid_on else f"lid off, about {rate:.0f} g of water a day expected"
    record(bath, entry, DryingRate(day=UNDATED, g_per_day=rate), words)


def _remove(bath: Bath, kind: str, words: str, by: Signed, removed: Removed) -> Entry:
    with writing(bath, kind, f"{bath}: {words}", by) as entry:
        _remove_in(entry, bath, state_at(bath, entry.happened_at), words, removed)
    return entry


def _remove_in(entry: Entry, bath: Bath, before: BathState, words: str, removed: Removed) -> None:
    _refuse_more_than_is_there(before, removed.litres, "litres")
    record(bath, entry, removed, words)


def state_at(bath: Bath, moment: datetime) -> BathState:
    """What the book says of the bath at a moment; refused while it is unread."""
    state = estimate.at_moment(bath, moment)
    if state is None:
        raise Refused("happened_at", f"{bath} was unread then: mix it or adopt it first.")
    return state


def _after_events(bath: Bath, before: BathState, entry: Entry) -> BathState:
    events = [event.on_day(before.day) for event in entry.bath_events.filter(bath=bath).order_by("pk")]
    return bath_model.replay(events, start=before)[-1]


def _crystals(portions: Sequence[Portion], by_cups: bool) -> CrystalsAdded:
    """Portions as the log takes them: grams of blue crystals with impurities in, and the pure share of them."""
    pure_g = sum(portion.salt_g for portion in portions)
    gross_g = sum(portion.salt_g / portion.container.material.purity for portion in portions)
    return CrystalsAdded(
        day=UNDATED,
        grams=gross_g,
        sd_g=CUP_SD_SHARE * pure_g if by_cups else None,
        purity=pure_g / gross_g if gross_g else 1.0,
    )


def _said(portions: Sequence[Portion]) -> str:
    parts = []
    for portion in portions:
        powder = portion.container.material.bath_use == Material.BathUse.PALE_POWDER
        salt = "pale powder" if powder else "crystals"
        parts.append(f"{portion.container.material.show(portion.amount)} of {salt}")
    return " and ".join(parts)


def _take(salt: Sequence[Portion], water_from: Container | None, water_l: float, entry: Entry) -> None:
    """What goes in leaves the shelf; tap water needs no container."""
    taken = [("salt", portion) for portion in salt]
    for _, portion in taken:
        if not blue_crystals_per_g(portion.container.material):
            name = portion.container.material
            raise Refused("salt", f"{name} is not written down as copper sulfate: blue crystals or pale powder?")
    if water_from and water_l:
        taken.append(("water_l", Portion(water_from, volume_ul(water_l))))
    # in one order for everybody, or two people could each hold the jar or the month that the other waits for
    for field, portion in sorted(taken, key=lambda one: (one[1].container.material_id, one[1].container.pk)):
        try:
            ledger.use(portion.container, portion.amount, entry=entry)
        except Refused as refusal:
            refusal.field = field
            raise


def _question_salt(bath: Bath, before: BathState, water_l: float, salt: Sequence[Portion], entry: Entry) -> None:
    if not only_water_can_have_left(bath, entry):
        return
    watered = bath_model.replay([WaterAdded(day=before.day, litres=water_l)], start=before)[-1] if water_l else before
    if watered.strength_g_per_l < bath.range_low_g_per_l:
        return
    added = CrystalsAdded(day=before.day, grams=sum(portion.salt_g for portion in salt))
    salted = bath_model.replay([added], start=watered)[-1]
    raise Refused(
        "salt_anyway",
        f"No bite ran and nothing was taken out since the last top-up, so only water has left: water alone gives "
        f"{watered.strength_g_per_l:.0f} g/L, with the crystals it becomes {salted.strength_g_per_l:.0f} g/L. "
        f"Tick to add the crystals all the same.",
    )


def _question_water(bath: Bath, before: BathState, after: BathState) -> None:
    low = bath.range_low_g_per_l
    if after.strength_g_per_l < low <= before.strength_g_per_l:
        raise Refused(
            "weak_anyway",
            f"This leaves it weak, at {after.strength_g_per_l:.0f} g/L; its range begins at {low:.0f} g/L. "
            f"Tick to add the water all the same.",
        )


def _question_crystals(bath: Bath, before: BathState) -> None:
    if not figures.may_drop_crystals(before, bath.coldest_c):
        raise Refused(
            "crystals_anyway",
            f"At {before.strength_g_per_l:.0f} g/L none can be lying in it: the room gets no colder than "
            f"{bath.coldest_c:.0f} °C. Look again whether they are blue. Tick to write them all the same.",
        )


def _refuse_above_the_rim(bath: Bath, volume_l: float, field: str, level: str = "") -> None:
    """level: the same volume as it was read, such as in centimetres."""
    if volume_l > bath.rim_l:
        stands = level or f"{digits(volume_l, 3)} L"
        raise Refused(field, f"That would stand at {stands}; {bath} runs over at {digits(bath.rim_l, 3)} L.")


def _refuse_more_than_is_there(state: BathState, litres: float, field: str) -> None:
    if litres >= state.volume_l:
        raise Refused(field, f"Only {digits(state.volume_l, 3)} L is in the bath.")


def _refuse_undissolved(state: BathState, temperature_c: float, field: str, holding: str = "this water") -> None:
    settled = bath_model.settle(state, temperature_c=temperature_c)
    if settled.crystals_g > 1:
        raise Refused(
            field,
            f"At {temperature_c:.0f} °C {holding} can hold only {settled.liquid_strength_g_per_l:.0f} g/L: about "
            f"{settled.crystals_g:.0f} g would stay on the floor. Warm it first, or add less.",
        )


def dripped(ml: float) -> Removed:
    return Removed(day=UNDATED, litres=ml / 1000, sd_l=DRIP_SD_SHARE * ml / 1000)
