"""
Random histories of baths and drums without a database: the book's sums on one side, the plain ledger on the other.

The rows of the book are made as its operations make them and stay in memory; whatever adds them up is the house's own:
`studio.baths.salt`, `event_log` and `estimate.step_from`, `studio.baths.removals`, `studio.waste.content` and `copper`,
`studio.cathodes.balance`. Who measures here measures the truth, which the plain ledger tells.

    python -m pytest -s -m long_histories --histories 100000 tests/studio/test_pure_conservation.py
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from random import Random

from chemistry.bath import (
    AcidAdded,
    AcidTitrated,
    Adopted,
    Bitten,
    DensityRead,
    DryingRate,
    Event,
    LevelRead,
    Removed,
    RemovedByLevel,
    RemovedByWeight,
    TakenOut,
    Titrated,
    WaterAdded,
    forecast,
)
from chemistry.copper import deposition
from chemistry.copper.biting import read_by_meter
from chemistry.copper.removal import Removal
from chemistry.measured import HALF_WIDTH_SDS, Measured
from chemistry.solution.sulfuric import MOST_ACID_G_PER_L
from chemistry.waste.drum import poured
from chemistry.working import Figure, Working
from inventory.models import Container, Entry, Material
from studio.baths import event_log, kinds, removals
from studio.baths.estimate import ONE_DAY, ReplayStep, step_from
from studio.baths.models import BathEvent, Estimate
from studio.baths.operations import SPILL_SD_SHARE, dripped
from studio.baths.salt import Portion, crystals_added, mixed_from
from studio.cathodes.balance import STRIPPED, InDrums, balance_of_tanks, copper_of_tank
from studio.cathodes.period import Period
from studio.waste import copper
from studio.waste.content import Content
from studio.waste.in_drums import shares_put_in
from studio.waste.models import Deposit, Drum
from tests.factories import day
from tests.plain_ledger import BLUE, BLUE_PER_MONOHYDRATE, BLUE_PER_POWDER, MOST_POURED, PlainLedger

TANKS = {"left": 1, "right": 2}
DRUMS = {
    name: Drum(pk=number, name=name, kind=kind, vessel="hdpe", capacity_l=1e6)
    for number, (name, kind) in enumerate(
        {"W1": "bath_spent", "W2": "bath_spent", "rinse": "rinse", "towels": "rags_copper"}.items(), start=1
    )
}
SPENT = ("W1", "W2")
# what a jar holds, its assay, and the blue crystals in a pure gram of it
JARS = {
    "crystals": (Material.BathUse.BLUE_CRYSTALS, 0.99, 1.0),
    "powder": (Material.BathUse.PALE_POWDER, 0.98, BLUE_PER_POWDER),
    "monohydrate": (Material.BathUse.MONOHYDRATE, 0.95, BLUE_PER_MONOHYDRATE),
}
CONTAINERS = {name: Container(material=Material(bath_use=use), purity=assay) for name, (use, assay, _) in JARS.items()}
WATER_20C_G_PER_ML = 0.99820
FILLING = (kinds.ADOPTED, kinds.MIXED, kinds.TOPPED_UP, kinds.LID)
NOTHING = Measured(0.0, unit="g")
ALL_OF_IT = Figure(value=1.0, unit="", working=Working(formula="", inputs=(), source="definition"), sd=0.0)


@dataclass(frozen=True, kw_only=True)
class Deed:
    """One entry: what it writes of a bath, given what the ledger has just before it, and what it does to the ledger."""

    day: float
    number: int
    words: str
    kind: str
    apply: Callable[[PlainLedger], None]
    tank: str = ""
    events: Callable[[PlainLedger], list[Event]] = lambda ledger: []
    deposit: dict = field(default_factory=dict)


@dataclass
class PureBook:
    """What the house makes of a history, row by row, and the ledger beside it."""

    measures: bool = False
    ledger: PlainLedger = field(default_factory=PlainLedger)
    steps: dict[str, list[ReplayStep]] = field(default_factory=lambda: defaultdict(list))
    contents: dict[int, Content] = field(default_factory=lambda: {drum.pk: Content(drum) for drum in DRUMS.values()})
    drips: list[Removal] = field(default_factory=list)
    charges: list[Measured] = field(default_factory=list)
    put_in: list[tuple[int, float | None]] = field(default_factory=list)
    left_l: dict[int, float] = field(default_factory=dict)
    rinsed_until: float | None = None
    keys: Iterator[int] = field(default_factory=lambda: count(1))

    def write(self, deed: Deed) -> None:
        source = deed.deposit.get("from_drum")
        if source and not self.ledger.drums[source.name].litres:
            # nobody pours out of an empty drum: the house refuses it
            return
        if deed.kind not in FILLING and deed.tank and self.ledger.tanks[deed.tank].acid_g_per_l > MOST_ACID_G_PER_L:
            # dried down to its acid it is no bath, and no table says what a litre of it weighs
            return
        entry = Entry(pk=deed.number, kind=deed.kind, happened_at=day(deed.day))
        taken, events = None, deed.events(self.ledger)
        if any(isinstance(event, TakenOut) and self.has_less_than(event, deed, entry) for event in events):
            return
        for event in events:
            taken = self.happens(entry, deed, event) or taken
        if deed.deposit:
            self.deposit(entry, deed, taken)
        deed.apply(self.ledger)

    def has_less_than(self, event: TakenOut, deed: Deed, entry: Entry) -> bool:
        """
        Whether the house refuses it as more than is there.

        Told in litres, where nobody measures, it is written all the same, as what is entered late may come to be: a
        last hundredth is then left, in both books alike.
        """
        if not self.measures and not isinstance(event, RemovedByWeight):
            return False
        last = self.steps[deed.tank][-1]
        state = forecast(last.state, days=(entry.happened_at - last.event.happened_at) / ONE_DAY)
        return event.litres_at(state.liquid_g_per_l)[0] >= MOST_POURED * state.liquid_l

    def happens(self, entry: Entry, deed: Deed, event: Event) -> BathEvent | None:
        """The event when it took something out."""
        row = BathEvent(
            pk=next(self.keys),
            bath_id=TANKS[deed.tank],
            entry=entry,
            happened_at=entry.happened_at,
            kind=type(event).__name__,
            values=event_log.figures_of(event),
            schema=event_log.SCHEMA,
        )
        log = self.steps[deed.tank]
        began = log[0].event.happened_at if log else row.happened_at
        step = step_from(log[-1].state if log else None, row, (row.happened_at - began) / ONE_DAY)
        log.append(step)
        if isinstance(event, Bitten):
            self.charges.append(read_by_meter(event.charge_ah, "A·h"))
        if not isinstance(event, TakenOut):
            return None
        row.estimate = Estimate(event=row, state=event_log.state_to_json(step.state))
        self.left_l[row.pk] = row.taken_out.value
        if entry.kind not in removals.NAMED_WAYS:
            self.drips.append(removals.removal_by(row, log[-2].state, step.state.day))
        return row

    def deposit(self, entry: Entry, deed: Deed, taken: BathEvent | None) -> None:
        what = dict(deed.deposit)
        drum, source = DRUMS[what.pop("drum")], what.get("source")
        litres = what.pop("litres", None)
        if source == Deposit.Source.BATH:
            litres = taken.taken_out
        row = Deposit(
            pk=next(self.keys),
            drum=drum,
            entry=entry,
            event=taken,
            litres=litres and litres.value,
            litres_sd=litres and litres.sd,
            **what,
        )
        rinsed: list[Removal] = []
        if source == Deposit.Source.RINSE:
            rinsed = self.drips
            self.drips, self.rinsed_until = [], deed.day
        removal = None
        if taken:
            # what was taken out was the last that the entry wrote of its bath
            before, after = self.steps[deed.tank][-2:]
            removal = removals.removal_by(taken, before.state, after.state.day)
            self.put_in.append((taken.pk, row.litres))
        known = {row.pk: copper.brought_by_deposit(row, removal, rinsed)}
        self.contents[drum.pk].apply_line(row, known, self.contents)
        if row.from_drum:
            self.contents[row.from_drum_id].apply_line(row, known, self.contents)

    def balance(self, until: float):
        in_drums = InDrums(
            shares=shares_put_in(self.put_in, self.left_l),
            rinsed_until=None if self.rinsed_until is None else day(self.rinsed_until),
        )
        period = Period(since=day(-1), until=day(until))
        tanks = [copper_of_tank(log, period, in_drums) for log in self.steps.values()]
        # without a cathode of the book what leaves a plate is on a sheet that nobody weighs
        moved = [deposition.predicted(NOTHING, self.charges, ALL_OF_IT)]
        nothing = dict.fromkeys(("cathodes before", "cathodes now", *STRIPPED), [NOTHING])
        return balance_of_tanks(tanks, {"off plates": moved, "unknown sheets": moved, **nothing}, self.charges)


class PureHistory:
    """
    A seed is a history: two tanks, four drums, three jars, and so many entries, some late and some struck again.

    Of two seeds one measures nothing, and there the copper balance is held to the last digit. A seed has a size of its
    own, from tanks of 60 mL to those of 450 L.
    """

    def __init__(self, seed: int | None = None, *, size: float = 1.0) -> None:
        self.luck = Random(seed)
        self.deeds: list[Deed] = []
        self.clock, self.numbers = 0.0, count(1)
        self.measures = seed is not None and seed % 2 == 1
        self.size = size if seed is None else self.luck.choice([1.0, 1.0, 1.0, 0.02, 150.0])
        self.seed = seed

    def open_the_studio(self, strengths=(240, 180), acid=(0.0, 0.0), rate=40.0) -> None:
        for tank, strength, sour in zip(TANKS, strengths, acid, strict=True):
            self.adopt(tank, litres=3.0, strength=strength, acid=sour, rate=rate)

    # what can be done

    def adopt(self, tank, *, litres, strength, acid=0.0, rate=0.0, wait=0.0):
        adopted = Adopted(
            day=0,
            volume_l=self.size * litres,
            volume_sd_l=0.02 * self.size * litres,
            strength_g_per_l=strength,
            strength_sd_g_per_l=3,
            acid_g_per_l=acid,
            acid_sd_g_per_l=0.02 * acid,
        )
        apply = partial(PlainLedger.adopt, tank=tank, litres=self.size * litres, strength=strength, acid=acid)
        self.enter(wait, kinds.ADOPTED, apply, tank, adopted, dries=rate)

    def cover(self, tank, *, rate, wait=0.0):
        self.enter(wait, kinds.LID, lambda ledger: None, tank, dries=rate)

    def mix(self, tank, *, water_l, salt, grams, wait=0.0):
        mixed = mixed_from(water_l=self.size * water_l, salt=self.portions(salt, grams))
        apply = partial(PlainLedger.mix, tank=tank, water_l=self.size * water_l, **self.of_jar(salt, grams))
        self.enter(wait, kinds.MIXED, apply, tank, mixed, dries=0.0)

    def top_up(self, tank, *, water_l, salt, grams, wait=0.0):
        events = [WaterAdded(day=0, litres=self.size * water_l)] if water_l else []
        events += [crystals_added(self.portions(salt, grams), by_cups=False)] if grams else []
        apply = partial(PlainLedger.add, tank=tank, water_l=self.size * water_l, **self.of_jar(salt, grams))
        if events:
            self.enter(wait, kinds.TOPPED_UP, apply, tank, *events)

    def add_acid(self, tank, *, grams, percent, wait=0.0):
        grams *= self.size
        apply = partial(PlainLedger.add_acid, tank=tank, grams=grams, percent=percent)
        self.enter(wait, kinds.TOPPED_UP, apply, tank, AcidAdded(day=0, grams=grams, percent=percent))

    def take_out(self, tank, *, litres, into=None, wait=0.0):
        litres *= self.size
        self.taken(tank, Removed(day=0, litres=litres), into, wait, litres=litres)

    def take_out_by_weight(self, tank, *, grams, into=None, wait=0.0):
        grams *= self.size
        self.taken(tank, RemovedByWeight(day=0, grams=grams), into, wait, grams=grams)

    def take_out_by_level(self, tank, *, share, into=None, wait=0.0):
        """share: of what stands in it; the level before is a reading, and a true one."""

        def levels(ledger):
            before_l = ledger.tanks[tank].level_l
            after_l = before_l - share * ledger.tanks[tank].liquid_l
            told = RemovedByLevel(day=0, before_l=before_l, after_l=after_l, sd_l=0.01 * before_l)
            return [told.level_before, told]

        def apply(ledger):
            ledger.take_out(tank, share * ledger.tanks[tank].liquid_l, name="taken out", into=into or "")

        deposit = {"drum": into, "kind": "bath_spent", "source": Deposit.Source.BATH} if into else {}
        self.enter(wait, kinds.TAKEN_OUT, apply, tank, events=levels, deposit=deposit)

    def taken(self, tank, event, into, wait, litres=0.0, **amount):
        deposit = {"drum": into, "kind": "bath_spent", "source": Deposit.Source.BATH} if into else {}
        apply = partial(PlainLedger.take_out, tank=tank, litres=litres, name="taken out", into=into or "", **amount)
        self.enter(wait, kinds.TAKEN_OUT, apply, tank, event, deposit=deposit)

    def strain(self, tank, *, litres, crystals, wait=0.0):
        litres, crystals = self.size * litres, self.size * crystals
        deposit = {"drum": "towels", "kind": "rags_copper", "source": Deposit.Source.STRAINED, "pieces": 1}
        amount = {"litres": litres, "crystals": crystals}
        apply = partial(PlainLedger.take_out, tank=tank, name="strained", into="towels", **amount)
        removed = Removed(day=0, litres=litres, crystals_g=crystals)
        self.enter(wait, kinds.STRAINED, apply, tank, removed, deposit=deposit)

    def spill(self, tank, *, litres, kept, wait=0.0):
        litres *= self.size
        deposit = {"drum": "W1", "kind": "bath_spent", "source": Deposit.Source.SPILL, "litres": poured(kept * litres)}
        into = {"into": "W1", "kept_l": kept * litres} if kept else {}
        apply = partial(PlainLedger.take_out, tank=tank, litres=litres, name="spilled", **into)
        removed = Removed(day=0, litres=litres, sd_l=SPILL_SD_SHARE * litres)
        self.enter(wait, kinds.SPILL, apply, tank, removed, deposit=deposit if kept else {})

    def drips(self, tank, *, plates, wait=0.0):
        ml = 6 * plates * self.size
        apply = partial(PlainLedger.drip, tank=tank, litres=ml / 1000)
        self.enter(wait, kinds.DRIPS, apply, tank, dripped(ml))

    def bite(self, tank, *, charge_ah, drips_ml, wait=0.0):
        drips_ml *= self.size
        apply = partial(PlainLedger.bite, tank=tank, charge_ah=charge_ah, drips_l=drips_ml / 1000)
        events = [Bitten(day=0, charge_ah=charge_ah)] + ([dripped(drips_ml)] if drips_ml else [])
        self.enter(wait, "bitten", apply, tank, *events)

    def read(self, tank, *, how, wait=0.0):
        """The truth, as an instrument without an error shows it."""

        def reads(ledger):
            bath = ledger.tanks[tank]
            strength, acid = bath.dissolved / bath.liquid_l, bath.acid_g_per_l
            if how == "level":
                return [LevelRead(day=0, volume_l=bath.level_l, sd_l=0.01 * bath.level_l)]
            if how == "hydrometer":
                return [DensityRead(day=0, sg=bath.liquid_g / bath.liquid_l / 1000 / WATER_20C_G_PER_ML)]
            if how == "acid":
                return [AcidTitrated(day=0, g_per_l=acid, sd=max(0.5, 0.02 * acid))]
            return [Titrated(day=0, mol_per_l=strength / BLUE, sd=max(0.005, 0.01 * strength / BLUE))]

        self.enter(wait, kinds.READ, lambda ledger: None, tank, events=reads)

    def empty_the_tray(self, *, litres, wait=0.0):
        litres *= self.size
        apply = partial(PlainLedger.empty_the_tray, drum="rinse", litres=litres)
        deposit = {"drum": "rinse", "kind": "rinse", "source": Deposit.Source.RINSE, "litres": poured(litres)}
        self.enter(wait, "filled", apply, deposit=deposit)

    def pour_over(self, *, source, litres, wait=0.0):
        [into] = set(SPENT) - {source}
        litres *= self.size
        apply = partial(PlainLedger.pour_over, drum=source, into=into, litres=litres)
        deposit = {"drum": into, "kind": "bath_spent", "source": Deposit.Source.DRUM, "litres": poured(litres)}
        self.enter(wait, "filled", apply, deposit=deposit | {"from_drum": DRUMS[source]})

    def strike(self):
        later = self.deeds[len(TANKS) :]
        if later:
            self.deeds.remove(self.luck.choice(later))

    # how it is done

    def portions(self, salt, grams):
        return [Portion(CONTAINERS[salt], round(1000 * self.size * grams))]

    def of_jar(self, salt, grams):
        _, assay, blue = JARS[salt]
        weighed = round(1000 * self.size * grams) / 1000
        return {"jar": salt, "grams": weighed, "blue_per_g": assay * blue, "bound_per_g": assay * (blue - 1)}

    def enter(self, wait, kind, apply, tank="", *fixed, events=None, deposit=None, dries=None):
        """dries: the water that goes off in a day from then on; what is entered late stands where it happened."""
        number = next(self.numbers)
        at = max(0.0, self.clock + wait) + 1e-6 * number
        self.clock = max(self.clock, self.clock + wait)
        rate = None if dries is None else DryingRate(day=0, g_per_day=dries * self.size)

        def entered(ledger):
            apply(ledger)
            if rate:
                ledger.tanks[tank].dries_g_per_day = rate.g_per_day

        told = events or (lambda ledger: [*fixed, *([rate] if rate else [])])
        words = f"{at:.6f} {kind} {tank}: {apply} {fixed} {deposit or ''}"
        self.deeds.append(
            Deed(
                day=at, number=number, words=words, kind=str(kind), apply=entered, tank=tank, events=told,
                deposit=deposit or {},
            )
        )  # fmt: skip

    def do_something(self) -> None:
        pick = self.luck.choice
        tank, litres, into = pick(list(TANKS)), pick([0.05, 0.4, 1.0, 2.5]), pick([None, *SPENT])
        salt, grams = pick(list(JARS)), pick([20, 150, 600])
        wait = pick([0, 0, 0, 1, 5, 20, -1, -8])
        doings: list[tuple[int, Callable[[], None]]] = [
            (2, lambda: self.mix(tank, water_l=pick([1.0, 3.0]), salt=salt, grams=grams, wait=wait)),
            (
                1,
                lambda: self.adopt(tank, litres=pick([1.5, 3.0]), strength=pick([3, 150, 320]), acid=pick([0.0, 60.0])),
            ),
            (6, lambda: self.top_up(tank, water_l=pick([0, 0.3, 2.0]), salt=salt, grams=pick([0, grams]), wait=wait)),
            (2, lambda: self.add_acid(tank, grams=pick([20, 150]), percent=pick([96, 37]), wait=wait)),
            (4, lambda: self.take_out(tank, litres=litres, into=into, wait=wait)),
            (3, lambda: self.take_out_by_weight(tank, grams=pick([60, 500, 1200, 3000]), into=into, wait=wait)),
            (2, lambda: self.strain(tank, litres=pick([0.02, 0.3]), crystals=pick([0, 30, 400]), wait=wait)),
            (2, lambda: self.spill(tank, litres=litres, kept=pick([0, 0.5, 1]), wait=wait)),
            (2, lambda: self.drips(tank, plates=pick([1, 20]), wait=wait)),
            (4, lambda: self.bite(tank, charge_ah=pick([0.4, 6.0]), drips_ml=pick([0, 8]), wait=wait)),
            (2, lambda: self.cover(tank, rate=pick([0.0, 40.0]), wait=wait)),
            (2, lambda: self.empty_the_tray(litres=pick([0.5, 3]), wait=wait)),
            (3, lambda: self.pour_over(source=pick(SPENT), litres=litres, wait=wait)),
            (3, self.strike),
        ]
        if self.measures:
            doings += [
                (3, lambda: self.take_out_by_level(tank, share=pick([0.0, 0.02, 0.3, 0.9]), into=into, wait=wait)),
                (4, lambda: self.read(tank, how=pick(["level", "hydrometer", "copper", "acid"]), wait=wait)),
            ]
        [done] = self.luck.choices([what for _, what in doings], [often for often, _ in doings])
        done()

    def live(self, entries: int) -> "PureHistory":
        strengths = [self.luck.choice([0, 3, 180, 240, 300, 330]) for _ in TANKS]
        self.open_the_studio(strengths, [self.luck.choice([0.0, 0.0, 30.0]) for _ in TANKS])
        for _ in range(entries):
            self.do_something()
        return self

    # what must hold

    def book(self) -> PureBook:
        book, at = PureBook(self.measures), 0.0
        for deed in sorted(self.deeds, key=lambda each: (each.day, each.number)):
            book.ledger.days_pass(deed.day - at)
            book.write(deed)
            at = deed.day
        return book

    def apart(self) -> list[str]:
        """Where the book and the ledger do not say the same; none where all of it is conserved."""
        book = self.book()
        ledger, size, found = book.ledger, self.size, []
        # the handbook's densities against the book's formula: a thousandth or two of what was moved, more beside acid
        slack = 0.2 * size + 2e-3 * ledger.moved + 8e-3 * ledger.moved_sour
        # what a true reading may move, where table and formula differ by two kilograms in a cubic metre
        slack += 0.015 * ledger.moved if self.measures else 0.0

        def hold(what: str, said: float, is_: float, within: float) -> None:
            if not abs(said - is_) <= within:
                found.append(f"{what}: the book says {said:.4f} g, the ledger {is_:.4f} g, {within:.4f} g allowed")

        last = max(deed.day for deed in self.deeds)
        for tank, log in book.steps.items():
            truth, state = ledger.tanks[tank], log[-1].state
            # the log of a tank counts from its own beginning
            state = forecast(state, days=max(0.0, last - (log[-1].event.happened_at - day(0)) / ONE_DAY))
            # a book that hears the truth keeps it within its own ±, however it wanders there
            for mass, is_ in zip(state.masses, (truth.water, truth.salt, truth.acid), strict=False):
                own = self.measures * HALF_WIDTH_SDS * (mass.sd or 0.0) + 5 * size * (mass.name == "water")
                hold(f"{mass.name} of {tank}", mass.value, is_, slack + own)
            if not state.has_acid:
                hold(f"acid of {tank}", 0.0, truth.acid, slack)
        in_drums = 0.0
        for drum in DRUMS.values():
            known = book.contents[drum.pk].copper or book.contents[drum.pk].copper_at_least
            held = Measured(known) if known else NOTHING
            in_drums += held.value
            own = self.measures * held.half_width
            hold(f"copper in {drum}", held.value, ledger.drums[drum.name].copper, slack + own)
        balance = book.balance(self.clock + 1)
        said = {each.name: each.copper for each in (*balance.came, *balance.went)}
        for name in said.keys() | ledger.balance.keys():
            copper_g = said.get(name, NOTHING)
            own = self.measures * copper_g.half_width
            hold(name, copper_g.value, ledger.balance.get(name, 0.0), slack + own)
        # to the last microgram, unless somebody measured or put a figure of their own in the place of the book's
        last_digit = 1e-6 * (1 + ledger.moved)
        given = slack if ledger.asserted or self.measures else last_digit
        own = self.measures * balance.unexplained.half_width
        hold("unexplained copper", balance.unexplained.value, ledger.asserted, given + own)
        told = sum(said[name].value for name in ("other drums", "rinse in drums") if name in said)
        hold("copper in all drums", in_drums, told, last_digit)
        return found

    def shortest(self) -> list[Deed]:
        """As few of its entries as still do not hold, for whoever mends it."""
        for deed in list(self.deeds[len(TANKS) :]):
            kept = self.deeds
            self.deeds = [each for each in kept if each is not deed]
            if not self.apart():
                self.deeds = kept
        return self.deeds
