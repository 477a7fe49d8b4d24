"""
Invented baths whose truth is known, to see how far the book's intervals can be trusted.

The truth follows none of the book's equations: density and saturation are those of handbook tables, water dries off by
the weather and by how strong the bath is, and each bath is lived through day by day with its own room, hydrometer,
jug, cup and scale. Every world draws from all habits: a lid or none, cups or a scale, a hydrometer that is always off,
a room that dries faster or slower than expected, a strong bath in the cold.

    python -m tests.chemistry.bath.simulation      prints the calibration as Markdown tables

Tables: CRC Handbook of Chemistry and Physics, 102nd ed., 2021, "Concentrative Properties of Aqueous Solutions" (density
at 20 °C); 98th ed., 2017, "Aqueous Solubility of Inorganic Compounds at Various Temperatures"; density of water and
vapour pressure (Magnus) from memory.
"""

from bisect import bisect
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from math import exp, pi, sin, sqrt
from random import Random
from statistics import median

from chemistry.bath import (
    AcidAdded,
    AcidTitrated,
    Bitten,
    CrystalsAdded,
    DensityRead,
    DryingRate,
    Event,
    LevelRead,
    Mixed,
    Reading,
    Removed,
    RemovedByLevel,
    RemovedByWeight,
    Titrated,
    WaterAdded,
    forecast,
    forgotten,
    is_far_off,
    replay,
    trust,
)

WORLDS = ("weather", "sloshing", "parallax", "powder", "acid")
FORGETFUL = "forgetful"
EVENTS_IN_A_LOG = 60
TUNED_ON = range(400)  # the spreads in `events` and the odds of `forgetting` were chosen on these seeds
REPORTED_ON = range(5000, 6000)

MASS_PERCENT = (0, 0.5, *range(1, 19))
DENSITY_G_PER_ML = (
    *(0.9982, 1.0033, 1.0085, 1.0190, 1.0296, 1.0403, 1.0511, 1.0620, 1.0730, 1.0842, 1.0955),
    *(1.1070, 1.1186, 1.1304, 1.1424, 1.1545, 1.1669, 1.1796, 1.1926, 1.2059),
)
SATURATION_C = (0, 10, 20, 25, 30, 40)
SATURATED_MASS_PERCENT = (12.4, 14.4, 16.7, 18.0, 19.3, 22.2)
WATER_C = (0, 5, 10, 15, 20, 25, 30, 40)
WATER_G_PER_ML = (0.99984, 0.99997, 0.99970, 0.99910, 0.99821, 0.99705, 0.99565, 0.99222)
SALT_SWELLS_PER_K = 8e-4  # how much more than water, by mass fraction; from memory
ACID_ADDS_PER_G_PER_L = 0.00059  # to the density of a copper bath, g/mL; between a refinery's equation and acid alone

ANHYDROUS_PERCENT = 63.924  # of blue crystals
BLUE_PER_POWDER = 249.686 / 159.609
CRYSTAL_G_PER_ML = 2.286
CRYSTAL_G_PER_MOL = 249.686
SALT_G_PER_AH = 1.1855 / 0.2545  # copper moved by an ampere-hour, as blue crystals

SG_PER_G_PER_L = 0.00062  # what the etcher goes by, not what the bath does
CUP_G = 272
LEVEL_SD_CM = 0.1


def between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight lines through a table, the last ones carried on beyond it."""
    i = min(max(bisect(xs, x), 1), len(xs) - 1)
    return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])


def density(percent: float, temperature_c: float) -> float:
    swelling = between(WATER_C, WATER_G_PER_ML, temperature_c) / between(WATER_C, WATER_G_PER_ML, 20)
    more = 1 - SALT_SWELLS_PER_K * percent / 100 * (temperature_c - 20)
    return between(MASS_PERCENT, DENSITY_G_PER_ML, percent) * swelling * more


def vapour_kpa(temperature_c: float) -> float:
    return 0.6112 * exp(17.62 * temperature_c / (243.12 + temperature_c))


class TrueBath:
    """What is really in the tank, the room it stands in, and the log somebody keeps of it, with the book at hand."""

    def __init__(self, world: str, seed: int) -> None:
        # the same tanks, rooms and habits in every world
        self.luck = draw = Random(seed)
        self.world = world
        self.events: list[Event] = []
        self.truth: list[tuple[float, float]] = []
        self.states = []
        self.day = 0.0
        self.entries = 0

        self.area_cm2 = draw.choice([200, 300, 400, 600])
        self.in_the_cold = draw.random() < 0.15
        self.target_g_per_l = draw.uniform(240, 290) if self.in_the_cold else draw.uniform(80, 280)
        self.expected_g_per_day = 0.18 * self.area_cm2
        self.usually_lidded = draw.random() < 0.5
        self.lidded = self.usually_lidded
        self.factor = draw.lognormvariate(0, 0.35)
        self.season_day = draw.uniform(0, 365)
        self.dampness, self.warmth = draw.gauss(0, 1), draw.gauss(0, 1)
        self.offset_sg = draw.gauss(0, 0.002) if draw.random() < 0.5 else 0.0
        # whatever the shape of its error, a level is as good as its ± says
        self.parallax_cm = draw.gauss(0, 0.05) if world == "parallax" else 0.0
        self.purity = draw.gauss(0.99, 0.004)
        self.cup_g = CUP_G * draw.gauss(1, 0.07)
        self.by_cups = draw.random() < 0.2
        self.net_efficiency = draw.gauss(0.03, 0.03)
        self.acid_g = 0.0
        self.acid_adds = ACID_ADDS_PER_G_PER_L * draw.gauss(1, 0.03)
        self.mix()

    def write(self, event: Event, *, always: bool = False) -> None:
        """Into the log and the book; in a forgetful studio every tenth entry is lost."""
        self.entries += 1
        if self.world == FORGETFUL and not always and self.entries % 10 == 0:
            return
        state = self.states[-1] if self.states else None
        held_out = state is not None and isinstance(event, Reading) and is_far_off(state, event)
        self.events.append(event)
        if held_out:
            # to the very day: what is read again then must not lie a rounding error before it
            self.states.append(replace(forecast(state, days=event.day - state.day), day=event.day))
        else:
            self.states.append(replay([event], start=state)[-1])
        litres = self.litres()
        self.truth.append((self.salt_g / litres, litres))

    def filled(self, dissolved_g: float, temperature_c: float) -> tuple[float, float]:
        """Litres and g/mL with so much salt in it; acid adds to the density of as much copper in a litre."""
        mass_g = self.water_g + dissolved_g + self.acid_g
        litres = mass_g / density(ANHYDROUS_PERCENT * dissolved_g / (mass_g - self.acid_g), temperature_c) / 1000
        percent = 0.0
        for _ in range(12 if self.acid_g else 1):
            for _ in range(3):
                percent = ANHYDROUS_PERCENT * dissolved_g / (1000 * litres * density(percent, temperature_c))
            g_per_ml = density(percent, temperature_c) + self.acid_adds * self.acid_g / litres
            if self.acid_g:
                litres = mass_g / g_per_ml / 1000
        return litres, mass_g / litres / 1000

    def litres(self) -> float:
        """At 20 °C with everything dissolved, as the book quotes it."""
        return self.filled(self.salt_g, 20)[0]

    def liquid(self, temperature_c: float) -> tuple[float, float, float]:
        """Litres and g/mL of the liquid, and the grams of crystals under it."""
        percent = between(SATURATION_C, SATURATED_MASS_PERCENT, temperature_c)
        percent = min(ANHYDROUS_PERCENT * self.salt_g / (self.water_g + self.salt_g), percent)
        dissolved_g = self.water_g * percent / (ANHYDROUS_PERCENT - percent)
        return *self.filled(dissolved_g, temperature_c), self.salt_g - dissolved_g

    def temperature_c(self) -> float:
        """Two weeks of cold in every four in a cold room."""
        if self.in_the_cold and int(self.day / 14) % 2:
            return self.luck.uniform(3, 11)
        return 19 + 2 * sin(2 * pi * (self.season_day + self.day) / 365) + self.luck.gauss(0, 1)

    def wait(self, days: float) -> None:
        """Damp and warm spells last about three days; a strong bath holds its water."""
        while days > 0:
            step = min(days, 1.0)
            kept = exp(-step / 3)
            self.dampness = kept * self.dampness + sqrt(1 - kept * kept) * self.luck.gauss(0, 1)
            self.warmth = kept * self.warmth + sqrt(1 - kept * kept) * self.luck.gauss(0, 1)
            season = sin(2 * pi * (self.season_day + self.day) / 365)
            air_c = 19 + 2 * season + 1.2 * self.warmth
            humidity = min(0.9, max(0.2, 0.5 + 0.05 * season + 0.07 * self.dampness))
            molal = (self.salt_g / CRYSTAL_G_PER_MOL) / (self.water_g / 1000)
            pull = (1 - 0.018 * molal) * vapour_kpa(air_c) - humidity * vapour_kpa(air_c)
            open_g = self.expected_g_per_day * self.factor * max(0.0, pull) / (0.5 * vapour_kpa(20))
            self.water_g -= open_g * (0.01 if self.lidded else 1.0) * step
            self.day += step
            days -= step

    def jug_g(self, litres: float) -> float:
        return 998.2 * (litres + self.luck.gauss(0, 0.02 * litres + 0.010))

    def salted(self, blue_g: float, *, always: bool = False) -> CrystalsAdded:
        """So much salt goes in as anybody weighs it; what the log says of it."""
        if self.world == "powder" and self.luck.random() < 0.5:
            grams = round(blue_g / BLUE_PER_POWDER)
            true_g = (grams + self.luck.gauss(0, 0.005 * grams + 1)) * self.purity
            self.salt_g += true_g * BLUE_PER_POWDER
            self.water_g -= true_g * (BLUE_PER_POWDER - 1)
            return CrystalsAdded(day=self.day, grams=grams, purity=0.99, waters=0)
        if self.by_cups:
            cups = max(0.5, round(2 * blue_g / CUP_G) / 2)
            self.salt_g += cups * self.cup_g * self.luck.gauss(1, 0.05) * self.purity
            return CrystalsAdded(day=self.day, grams=cups * CUP_G, sd_g=0.1 * cups * CUP_G, purity=0.99)
        grams = round(blue_g)
        self.salt_g += (grams + self.luck.gauss(0, 0.005 * grams + 1)) * self.purity
        return CrystalsAdded(day=self.day, grams=grams, purity=0.99)

    def mix(self) -> None:
        litres = round(self.area_cm2 * self.luck.uniform(18, 32) / 1000, 1)
        self.salt_g, self.water_g = 0.0, self.jug_g(litres)
        salt = self.salted(litres * self.target_g_per_l * 1.1)
        mixed = Mixed(
            day=0, water_l=litres, salt_g=salt.grams, salt_sd_g=salt.sd_g, purity=salt.purity, waters=salt.waters
        )
        self.write(mixed, always=True)
        if self.world == "acid":
            grams = round(litres * self.luck.uniform(15, 60))
            true_g = grams + self.luck.gauss(0, 0.005 * grams + 1)
            self.acid_g, self.water_g = 0.96 * true_g, self.water_g + 0.04 * true_g
            self.write(AcidAdded(day=0, grams=grams, percent=96), always=True)
        self.full_l = self.litres()
        self.write(DryingRate(day=0, g_per_day=0 if self.lidded else self.expected_g_per_day), always=True)

    def read(self) -> None:
        """Dipstick and hydrometer, and then what they say is missing."""
        temperature_c = self.temperature_c()
        level_l = self.read_level(temperature_c)
        sg = self.read_hydrometer(temperature_c)
        if self.world == "acid":
            # the etcher knows of it, and takes it off
            sg -= 0.0006 * self.states[-1].acid_g_per_l
        weak_g = self.target_g_per_l * self.full_l - (sg - 1) / SG_PER_G_PER_L * level_l
        short_l = round(self.full_l - level_l, 1)
        if short_l > 0.04 * self.full_l:
            self.water_g += self.jug_g(short_l)
            self.write(WaterAdded(day=self.day, litres=short_l))
        if weak_g > 0.04 * self.target_g_per_l * self.full_l and temperature_c > 15:
            self.write(self.salted(weak_g))

    def read_level(self, temperature_c: float, *, again: bool = False) -> float:
        liquid_l, _, crystals_g = self.liquid(temperature_c)
        level_l = liquid_l + crystals_g / CRYSTAL_G_PER_ML / 1000 + self.level_error_l()
        sd_l = LEVEL_SD_CM * self.area_cm2 / 1000
        self.note(LevelRead(day=self.day, volume_l=max(0.01, level_l), sd_l=sd_l, temperature_c=temperature_c), again)
        return level_l

    def level_error_l(self) -> float:
        """Read while it still moves, now and then; or always from one side."""
        sd_cm = LEVEL_SD_CM
        if self.world == "sloshing":
            sd_cm *= 1.75 if self.luck.random() < 0.2 else 0.7
        elif self.world == "parallax":
            sd_cm *= 0.87
        return self.luck.gauss(self.parallax_cm, sd_cm) * self.area_cm2 / 1000

    def read_hydrometer(self, temperature_c: float, *, again: bool = False) -> float:
        _, g_per_ml, _ = self.liquid(temperature_c)
        sg = g_per_ml / 0.99821 + self.offset_sg + self.luck.gauss(0, 0.0015)
        self.note(DensityRead(day=self.day, sg=sg, temperature_c=temperature_c), again)
        return sg

    def note(self, reading: Reading, again: bool) -> None:
        """A reading that is held out is read again; where both say the same, it is believed."""
        before = self.states[-1]
        self.write(reading)
        if self.events[-1] is not reading or not is_far_off(before, reading):
            return
        if again:
            self.states[-1] = trust(before, reading)
        elif isinstance(reading, LevelRead):
            self.read_level(reading.temperature_c, again=True)
        elif isinstance(reading, DensityRead):
            self.read_hydrometer(reading.temperature_c, again=True)

    def titrate(self) -> None:
        litres, _, crystals_g = self.liquid(20)
        mol_per_l = (self.salt_g - crystals_g) / litres / CRYSTAL_G_PER_MOL
        read = mol_per_l * self.luck.gauss(1, 0.01)
        self.write(Titrated(day=self.day, mol_per_l=read, sd=0.01 * mol_per_l))
        if self.world == "acid":
            acid = self.acid_g / litres
            self.write(AcidTitrated(day=self.day, g_per_l=max(0.0, acid * self.luck.gauss(1, 0.02)), sd=0.02 * acid))

    def take_out(self, litres: float) -> float:
        """Liquid only: crystals stay on the floor; what it weighed."""
        liquid_l, _, crystals_g = self.liquid(self.temperature_c())
        share = max(0.0, litres) / liquid_l
        taken_g = share * (self.water_g + self.salt_g - crystals_g + self.acid_g)
        self.water_g -= share * self.water_g
        self.salt_g -= share * (self.salt_g - crystals_g)
        self.acid_g -= share * self.acid_g
        return taken_g

    def bite(self) -> None:
        charge_ah = self.luck.uniform(0.2, 4)
        self.salt_g += SALT_G_PER_AH * self.net_efficiency * charge_ah
        self.write(Bitten(day=self.day, charge_ah=charge_ah))
        self.take_out(self.luck.gauss(0.006, 0.002))
        self.write(Removed(day=self.day, litres=0.006, sd_l=0.002))

    def pour(self) -> None:
        """Told by the jug, by a scale or by the level."""
        litres = round(self.full_l * self.luck.uniform(0.03, 0.12), 2)
        way = self.luck.choice(["jug", "scale", "level"])
        if way == "jug":
            self.take_out(litres + self.luck.gauss(0, 0.1 * litres + 0.020))
            self.write(Removed(day=self.day, litres=litres))
        elif way == "scale":
            taken_g = self.take_out(litres)
            weighed_g = max(0.0, taken_g + self.luck.gauss(0, 0.005 * taken_g + 1))
            self.write(RemovedByWeight(day=self.day, grams=weighed_g))
        else:
            sd_l = LEVEL_SD_CM * self.area_cm2 / 1000
            before_l = self.litres() + self.level_error_l()
            self.take_out(litres)
            after_l = self.litres() + self.level_error_l()
            removed = RemovedByLevel(day=self.day, before_l=before_l, after_l=max(0.0, after_l), sd_l=sd_l)
            self.write(removed.level_before)
            self.write(removed)

    def turn_lid(self) -> None:
        self.lidded = not self.lidded
        # nobody forgets for long whether a lid is on: it is in plain sight
        rate = 0 if self.lidded else self.expected_g_per_day
        self.write(DryingRate(day=self.day, g_per_day=rate), always=True)

    def forget(self, what: str, share: float) -> None:
        """Something of the bath's volume goes in or out, and nobody writes it down."""
        if what == "water":
            self.water_g += share * self.litres() * 998.2
        else:
            self.take_out(share * self.litres())

    def do_something(self) -> None:
        self.wait(self.luck.expovariate(1 / 2))
        if self.litres() < 0.85 * self.full_l:  # anybody sees that it is low
            self.read()
        else:
            doings = (self.read, self.bite, self.pour, self.titrate, self.turn_lid)
            self.luck.choices(doings, (50, 38, 4, 4, 4))[0]()

    def live(self) -> "TrueBath":
        while len(self.events) < EVENTS_IN_A_LOG:
            self.do_something()
        return self


@dataclass(frozen=True)
class Calibration:
    """How the book's intervals met the truth after every event of many baths; shares and errors in percent."""

    world: str
    baths: int
    strength_covered: float
    volume_covered: float
    median_error: float
    p95_error: float


Met = tuple[bool, bool, float]


def met_by(world_and_seed: tuple[str, int]) -> list[Met]:
    """After every event of one bath: strength covered, volume covered, error of the strength."""
    true = TrueBath(*world_and_seed).live()
    met = []
    for state, (strength_g_per_l, volume_l) in zip(true.states, true.truth, strict=True):
        off = abs(state.strength_g_per_l - strength_g_per_l)
        met.append(
            (
                off <= 1.96 * state.strength_sd_g_per_l,
                abs(state.volume_l - volume_l) <= 1.96 * state.volume_sd_l,
                off / strength_g_per_l,
            )
        )
    return met


def calibration(world: str, met: Sequence[Met], baths: int) -> Calibration:
    errors = sorted(error for _, _, error in met)
    return Calibration(
        world=world,
        baths=baths,
        strength_covered=100 * sum(strength for strength, _, _ in met) / len(met),
        volume_covered=100 * sum(volume for _, volume, _ in met) / len(met),
        median_error=100 * median(errors),
        p95_error=100 * errors[int(0.95 * len(errors))],
    )


def calibrations(seeds: Sequence[int], worlds: Sequence[str] = (*WORLDS, FORGETFUL)) -> list[Calibration]:
    with ProcessPoolExecutor(2) as pool:
        by_world = {
            world: [one for met in pool.map(met_by, [(world, seed) for seed in seeds], chunksize=10) for one in met]
            for world in worlds
        }
    pooled = [one for world in worlds if world != FORGETFUL for one in by_world[world]]
    return [
        calibration("pooled, the forgetful one left out", pooled, len(seeds)),
        *(calibration(world, met, len(seeds)) for world, met in by_world.items()),
    ]


MONTH_DAYS = 30.0
LEARNED_BY_DAY = 60.0
FORGOTTEN_SHARE = 0.05
WINDOW_EVENTS = 25


def flags(true: TrueBath) -> bool:
    """Whether the book asks at the end of the log, as its page does, whether something was forgotten."""
    start = max(0, len(true.events) - WINDOW_EVENTS - 1)
    return forgotten(true.events[start + 1 :], start=true.states[start]) is not None


def false_alarms(world_and_seed: tuple[str, int]) -> tuple[int, int]:
    """Months of a bath of which everything was written down, and those of them in which the book asked all the same."""
    true = TrueBath(*world_and_seed)
    alarmed: set[int] = set()
    while true.day < LEARNED_BY_DAY + 6 * MONTH_DAYS:
        before = len(true.events)
        true.do_something()
        if true.day > LEARNED_BY_DAY and has_read(true, before) and flags(true):
            alarmed.add(int((true.day - LEARNED_BY_DAY) / MONTH_DAYS))
    return 6, len(alarmed - {6})


def found_out(case: tuple[str, int, str]) -> bool:
    """Whether one thing that was forgotten is asked about by the second time that somebody measured."""
    world, seed, what = case
    true = TrueBath(world, seed)
    while true.day < LEARNED_BY_DAY:
        true.do_something()
    true.wait(true.luck.uniform(0, 2))
    true.forget(what, FORGOTTEN_SHARE)
    measured = 0
    while measured < 2:
        before = len(true.events)
        true.do_something()
        if has_read(true, before):
            measured += 1
            if flags(true):
                return True
    return False


def has_read(true: TrueBath, since: int) -> bool:
    return any(isinstance(event, LevelRead | DensityRead) for event in true.events[since:])


@dataclass(frozen=True)
class Watch:
    """How often what was forgotten was asked about, and how often nothing had been; in percent."""

    world: str
    water_found: float
    taken_out_found: float
    false_a_month: float


def watches(seeds: Sequence[int], worlds: Sequence[str] = WORLDS) -> Iterator[Watch]:
    with ProcessPoolExecutor(2) as pool:
        for world in worlds:
            found = {
                what: sum(pool.map(found_out, [(world, seed, what) for seed in seeds], chunksize=10))
                for what in ("water", "taken out")
            }
            months = list(pool.map(false_alarms, [(world, seed) for seed in seeds], chunksize=10))
            yield Watch(
                world=world,
                water_found=100 * found["water"] / len(seeds),
                taken_out_found=100 * found["taken out"] / len(seeds),
                false_a_month=100 * sum(false for _, false in months) / sum(all_of for all_of, _ in months),
            )


def table(rows: Iterable[Calibration]) -> str:
    head = (
        "| world | baths | 95 % interval covers strength / volume | strength error median / p95 |\n|---|---|---|---|\n"
    )
    return head + "".join(
        f"| {row.world} | {row.baths} | {row.strength_covered:.1f} / {row.volume_covered:.1f} % "
        f"| {row.median_error:.2f} / {row.p95_error:.2f} % |\n"
        for row in rows
    )


def watch_table(rows: Iterable[Watch]) -> str:
    head = "| world | forgotten water found | forgotten take-out found | false alarms a month |\n|---|---|---|---|\n"
    return head + "".join(
        f"| {row.world} | {row.water_found:.0f} % | {row.taken_out_found:.0f} % | {row.false_a_month:.1f} % |\n"
        for row in rows
    )


if __name__ == "__main__":
    print(table(calibrations(REPORTED_ON)))
    print(watch_table(watches(REPORTED_ON[:300])), end="")
