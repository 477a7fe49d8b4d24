"""
Invented baths whose truth is known, to see how far the book's intervals can be trusted.

The truth knows nothing of `chemistry.sulfate`: density and saturation follow handbook tables, and each bath is lived
through day by day with its own room, weather, hydrometer, jug, cup and scale.

    python -m tests.chemistry.bath.simulation      prints the calibration as a Markdown table

Tables: CRC Handbook of Chemistry and Physics, 102nd ed., 2021, "Concentrative Properties of Aqueous Solutions" (density
at 20 °C); 98th ed., 2017, "Aqueous Solubility of Inorganic Compounds at Various Temperatures"; density of water from
memory.
"""

from bisect import bisect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, sqrt
from random import Random
from statistics import median

from chemistry.bath import (
    Bitten,
    CrystalsAdded,
    DensityRead,
    DryingRate,
    Event,
    LevelRead,
    Mixed,
    Removed,
    Titrated,
    WaterAdded,
    replay,
)

ROOMS = ("noise-like", "half rate", "double rate", "offset hydrometer", "cups", "lids", "crystals")
EVENTS_IN_A_LOG = 60

TUNED_ON = range(150)  # the spreads in `bath` and `bath_events` were chosen on these seeds
REPORTED_ON = range(1000, 1500)

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

ANHYDROUS_PERCENT = 63.924  # of blue crystals
CRYSTAL_G_PER_ML = 2.286
CRYSTAL_G_PER_MOL = 249.686
SALT_G_PER_AH = 1.1855 / 0.2545  # copper moved by an ampere-hour, as blue crystals

SG_PER_G_PER_L = 0.00062  # what the etcher goes by, not what the bath does
CUP_G = 272


def between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight lines through a table, the last ones carried on beyond it."""
    i = min(max(bisect(xs, x), 1), len(xs) - 1)
    return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])


def density(percent: float, temperature_c: float) -> float:
    swelling = between(WATER_C, WATER_G_PER_ML, temperature_c) / between(WATER_C, WATER_G_PER_ML, 20)
    more = 1 - SALT_SWELLS_PER_K * percent / 100 * (temperature_c - 20)
    return between(MASS_PERCENT, DENSITY_G_PER_ML, percent) * swelling * more


class TrueBath:
    """What is really in the tank, the room it stands in, and the log somebody keeps of it."""

    def __init__(self, room: str, seed: int) -> None:
        self.luck = draw = Random(f"{room} {seed}")
        self.room = room
        self.events: list[Event] = []
        self.truth: list[tuple[float, float]] = []
        self.day = 0.0

        self.area_cm2 = draw.choice([200, 300, 400, 600])
        self.target_g_per_l = draw.uniform(240, 300) if room == "crystals" else draw.uniform(80, 290)
        self.open_g_per_day = 0.18 * self.area_cm2 * draw.uniform(0.6, 1.4)
        self.lidded = False
        self.factor = {"noise-like": 1, "half rate": 0.5, "double rate": 2}.get(room, draw.lognormvariate(0, 0.35))
        self.weather, self.weather_sd = draw.gauss(0, 1), 0.6 if room == "noise-like" else 0.4
        self.offset_sg = draw.gauss(0, 0.002) if room == "offset hydrometer" else 0.0
        self.purity = draw.gauss(0.99, 0.004)
        self.cup_g = CUP_G * draw.gauss(1, 0.07)
        self.net_efficiency = draw.gauss(0.03, 0.03)
        self.mix()

    def write(self, event: Event) -> None:
        self.events.append(event)
        litres = self.litres()
        self.truth.append((self.salt_g / litres, litres))

    def percent(self) -> float:
        return ANHYDROUS_PERCENT * self.salt_g / (self.water_g + self.salt_g)

    def litres(self) -> float:
        """At 20 °C with everything dissolved, as the book quotes it."""
        return (self.water_g + self.salt_g) / density(self.percent(), 20) / 1000

    def liquid(self, temperature_c: float) -> tuple[float, float, float]:
        """Mass percent of the liquid, its litres, and the grams of crystals under it."""
        percent = min(self.percent(), between(SATURATION_C, SATURATED_MASS_PERCENT, temperature_c))
        dissolved_g = self.water_g * percent / (ANHYDROUS_PERCENT - percent)
        return percent, (self.water_g + dissolved_g) / density(percent, temperature_c) / 1000, self.salt_g - dissolved_g

    def temperature_c(self) -> float:
        """Two weeks of cold in every four in the room of crystals."""
        if self.room == "crystals" and int(self.day / 14) % 2:
            return self.luck.uniform(3, 11)
        return self.luck.gauss(20, 2)

    def wait(self, days: float) -> None:
        """Spells of weather last about three days."""
        while days > 0:
            step = min(days, 1.0)
            kept = exp(-step / 3)
            self.weather = kept * self.weather + sqrt(1 - kept * kept) * self.luck.gauss(0, 1)
            uneven = exp(self.weather_sd * (self.weather - self.weather_sd / 2))
            open_share = 0.01 if self.lidded else 1.0
            self.water_g -= self.open_g_per_day * open_share * self.factor * uneven * step
            self.day += step
            days -= step

    def jug_g(self, litres: float) -> float:
        return 998.2 * (litres + self.luck.gauss(0, 0.02 * litres + 0.010))

    def salt(self, grams: float) -> tuple[float, float, float | None]:
        """The blue crystals that really go in, what the log says of them, and how sure it is."""
        if self.room == "cups":
            cups = max(0.5, round(2 * grams / CUP_G) / 2)
            return cups * self.cup_g * self.luck.gauss(1, 0.05) * self.purity, cups * CUP_G, 0.1 * cups * CUP_G
        return (grams + self.luck.gauss(0, 0.005 * grams + 1)) * self.purity, grams, None

    def mix(self) -> None:
        litres = round(self.area_cm2 * self.luck.uniform(18, 32) / 1000, 1)
        self.salt_g, told_g, told_sd_g = self.salt(round(litres * self.target_g_per_l * 1.1))
        self.water_g = self.jug_g(litres)
        self.full_l = self.litres()
        self.write(Mixed(day=0, water_l=litres, salt_g=told_g, salt_sd_g=told_sd_g, purity=0.99))
        self.write(DryingRate(day=0, g_per_day=self.open_g_per_day))

    def read(self) -> None:
        """Dipstick and hydrometer, and then what they say is missing."""
        temperature_c = self.temperature_c()
        percent, liquid_l, crystals_g = self.liquid(temperature_c)
        sd_l = 0.15 * self.area_cm2 / 1000
        level_l = liquid_l + crystals_g / CRYSTAL_G_PER_ML / 1000 + self.luck.gauss(0, sd_l)
        self.write(LevelRead(day=self.day, volume_l=level_l, sd_l=sd_l, temperature_c=temperature_c))
        sg = density(percent, temperature_c) / 0.99821 + self.offset_sg + self.luck.gauss(0, 0.0015)
        self.write(DensityRead(day=self.day, sg=sg, temperature_c=temperature_c))
        weak_g = self.target_g_per_l * self.full_l - (sg - 1) / SG_PER_G_PER_L * level_l
        short_l = round(self.full_l - level_l, 1)
        if short_l > 0.05 * self.full_l:
            self.water_g += self.jug_g(short_l)
            self.write(WaterAdded(day=self.day, litres=short_l))
        if weak_g > 0.04 * self.target_g_per_l * self.full_l and temperature_c > 15:
            true_g, told_g, told_sd_g = self.salt(round(weak_g))
            self.salt_g += true_g
            self.write(CrystalsAdded(day=self.day, grams=told_g, sd_g=told_sd_g, purity=0.99))

    def titrate(self) -> None:
        percent, _, _ = self.liquid(20)
        mol_per_l = 1000 * percent / ANHYDROUS_PERCENT * density(percent, 20) / CRYSTAL_G_PER_MOL
        read = mol_per_l * self.luck.gauss(1, 0.01)
        self.write(Titrated(day=self.day, mol_per_l=read, sd=0.01 * mol_per_l))

    def take_out(self, litres: float) -> None:
        """Liquid only: crystals stay on the floor."""
        _, liquid_l, crystals_g = self.liquid(self.temperature_c())
        share = max(0.0, litres) / liquid_l
        self.water_g -= share * self.water_g
        self.salt_g -= share * (self.salt_g - crystals_g)

    def bite(self) -> None:
        charge_ah = self.luck.uniform(0.2, 4)
        self.salt_g += SALT_G_PER_AH * self.net_efficiency * charge_ah
        self.write(Bitten(day=self.day, charge_ah=charge_ah))
        self.take_out(self.luck.gauss(0.006, 0.002))
        self.write(Removed(day=self.day, litres=0.006, sd_l=0.002))

    def pour(self) -> None:
        litres = round(self.full_l * self.luck.uniform(0.03, 0.12), 2)
        self.take_out(litres + self.luck.gauss(0, 0.1 * litres + 0.020))
        self.write(Removed(day=self.day, litres=litres))

    def turn_lid(self) -> None:
        self.lidded = not self.lidded
        self.write(DryingRate(day=self.day, g_per_day=0 if self.lidded else self.open_g_per_day))

    def live(self) -> "TrueBath":
        doings = (self.read, self.bite, self.pour, self.titrate, self.turn_lid)
        weights = (40, 45, 5, 5, 15 if self.room == "lids" else 0)
        while len(self.events) < EVENTS_IN_A_LOG:
            self.wait(self.luck.expovariate(1 / 4))
            if self.litres() < 0.8 * self.full_l:  # anybody sees that it is low
                self.read()
            else:
                self.luck.choices(doings, weights)[0]()
        return self


@dataclass(frozen=True)
class Calibration:
    """How the book's intervals met the truth after every event of many baths; shares and errors in percent."""

    room: str
    baths: int
    strength_covered: float
    volume_covered: float
    median_error: float
    p95_error: float


def calibrate(room: str, rooms: Iterable[str], seeds: Sequence[int]) -> Calibration:
    """Replay every bath of some rooms; pooled under one name."""
    strengths, volumes, errors = [], [], []
    for true in (TrueBath(each, seed).live() for each in rooms for seed in seeds):
        for state, (strength_g_per_l, volume_l) in zip(replay(true.events), true.truth, strict=True):
            off = abs(state.strength_g_per_l - strength_g_per_l)
            strengths.append(off <= 1.96 * state.strength_sd_g_per_l)
            volumes.append(abs(state.volume_l - volume_l) <= 1.96 * state.volume_sd_l)
            errors.append(off / strength_g_per_l)
    errors.sort()
    return Calibration(
        room=room,
        baths=len(seeds),
        strength_covered=100 * sum(strengths) / len(strengths),
        volume_covered=100 * sum(volumes) / len(volumes),
        median_error=100 * median(errors),
        p95_error=100 * errors[int(0.95 * len(errors))],
    )


def calibrations(seeds: Sequence[int]) -> list[Calibration]:
    return [calibrate("pooled", ROOMS, seeds), *(calibrate(room, [room], seeds) for room in ROOMS)]


def table(rows: Iterable[Calibration]) -> str:
    head = (
        "| room | baths | 95 % interval covers strength / volume | strength error median / p95 |\n|---|---|---|---|\n"
    )
    return head + "".join(
        f"| {row.room} | {row.baths} | {row.strength_covered:.1f} / {row.volume_covered:.1f} % "
        f"| {row.median_error:.2f} / {row.p95_error:.2f} % |\n"
        for row in rows
    )


if __name__ == "__main__":
    print(table(calibrations(REPORTED_ON)), end="")
