"""
Where water, salt and copper are after a history, by nothing but mass balance: written apart from the book's own sums.

Salt is counted as blue crystals. Grams everywhere, litres of liquid at 20 °C.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from molmass import Formula

from tests import sources

TABLES = sources.read("copper_sulfate")
COPPER, ANHYDROUS, BLUE = (Formula(formula).mass for formula in ("Cu", "CuSO4", "CuSO4(H2O)5"))
COPPER_PER_BLUE, BLUE_PER_POWDER = COPPER / BLUE, BLUE / ANHYDROUS
COPPER_G_PER_AH = COPPER * 3600 / (2 * 96485.33212)  # Faraday's law; the constant is CODATA's of 2018
WATER_G_PER_L = 998.2
# the density of water, then the handbook's of solutions
DENSITIES = [(0.0, 0.9982), *((row[0], row[3]) for row in TABLES["concentrative_20c"]["rows"])]
SATURATED_PERCENT = dict(TABLES["solubility_mass_percent"]["rows"])[20]
SATURATED_G_PER_G = SATURATED_PERCENT / (100 * ANHYDROUS / BLUE - SATURATED_PERCENT)  # blue crystals to free water
MOST_POURED, LAST_WATER_G = 0.99, 1.0  # the book leaves a last hundredth of what is poured, and a last gram of water
COPPER_IN_POWDER = 0.6  # of loose cathode powder, by the book's own estimate


def grams_in_a_litre(percent: float) -> float:
    """
    By the handbook, between its lines a straight line; percent: anhydrous, by mass.

    >>> round(grams_in_a_litre(10.5), 1)
    1112.8
    """
    for (low, lighter), (high, heavier) in zip(DENSITIES, DENSITIES[1:], strict=False):
        if low <= percent <= high:
            return 1000 * (lighter + (heavier - lighter) * (percent - low) / (high - low))
    raise ValueError(f"the handbook has no density of {percent} %")


def percent(water: float, salt: float) -> float:
    return 100 * ANHYDROUS / BLUE * salt / (water + salt)


@dataclass
class Tank:
    water: float = 0.0
    salt: float = 0.0
    dries_g_per_day: float = 0.0
    cathode: str = ""

    @property
    def dissolved(self) -> float:
        return min(self.salt, SATURATED_G_PER_G * self.water)

    @property
    def liquid_g(self) -> float:
        return self.water + self.dissolved

    @property
    def liquid_l(self) -> float:
        return self.liquid_g / grams_in_a_litre(percent(self.water, self.dissolved))


@dataclass
class Vessel:
    litres: float = 0.0
    copper: float = 0.0


@dataclass
class PlainLedger:
    """
    copper: what went where, under the names of the book's own balance.

    asserted: what a scale or a new look at a bath made appear or vanish; nobody can say where it went.
    """

    tanks: dict[str, Tank] = field(default_factory=lambda: defaultdict(Tank))
    drums: dict[str, Vessel] = field(default_factory=lambda: defaultdict(Vessel))
    cathodes: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    jars: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    copper: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    asserted: float = 0.0
    in_the_tray: float = 0.0
    moved: float = 0.0

    def days_pass(self, days: float) -> None:
        for tank in self.tanks.values():
            tank.water = max(LAST_WATER_G, tank.water - tank.dries_g_per_day * days)

    def mix(self, tank: str, *, water_l: float, jar: str, grams: float, blue_per_g: float, bound_per_g: float) -> None:
        self.copper["given up"] += COPPER_PER_BLUE * self.tanks[tank].salt
        self.tanks[tank].water = self.tanks[tank].salt = 0.0
        self.add(tank, water_l=water_l, jar=jar, grams=grams, blue_per_g=blue_per_g, bound_per_g=bound_per_g)

    def add(
        self,
        tank: str,
        *,
        water_l: float = 0.0,
        jar: str = "",
        grams: float = 0.0,
        blue_per_g: float = 0.0,
        bound_per_g: float = 0.0,
    ) -> None:
        """blue_per_g: blue crystals in a gram of the jar; bound_per_g: water it binds; impurities go for nothing."""
        self.tanks[tank].water += WATER_G_PER_L * water_l
        self.jars[jar] -= grams
        salt = grams * blue_per_g
        self.tanks[tank].salt += salt
        self.tanks[tank].water = max(LAST_WATER_G, self.tanks[tank].water - grams * bound_per_g)
        self.copper["crystals"] += COPPER_PER_BLUE * salt
        self.moved += salt

    def adopt(self, tank: str, *, litres: float, strength: float) -> None:
        """The first time it comes in; from then on it is the same bath, better known."""
        litre = 1200.0
        for _ in range(50):  # until a litre weighs what its salt makes it weigh
            litre = grams_in_a_litre(percent(litre - strength, strength))
        came, before = litres * strength, self.tanks[tank].salt
        if self.tanks[tank].water:
            self.asserted += COPPER_PER_BLUE * (before - came)
        else:
            self.copper["adopted"] += COPPER_PER_BLUE * came
        self.tanks[tank].salt = came
        self.tanks[tank].water = litres * litre - came
        self.moved += came

    def take(self, tank: str, litres: float = 0.0, *, grams: float | None = None, crystals: float = 0.0) -> float:
        """The copper in stirred liquid, saturated at most, and in crystals that were lifted off the floor before."""
        bath = self.tanks[tank]
        crystals = min(crystals, bath.salt)
        bath.salt -= crystals
        share = min(litres / bath.liquid_l if grams is None else grams / bath.liquid_g, MOST_POURED)
        dissolved = share * bath.dissolved
        bath.water = max(LAST_WATER_G, bath.water * (1 - share))
        bath.salt -= dissolved
        self.moved += crystals + dissolved
        return COPPER_PER_BLUE * (crystals + dissolved)

    def take_out(self, tank: str, litres: float, *, name: str, into: str = "", kept_l: float | None = None, **also):
        """name: where it went; into: the drum that took it, or kept_l of it; also: as in `take`."""
        bath = self.tanks[tank]
        if also.get("grams") is not None:
            litres = also["grams"] / bath.liquid_g * bath.liquid_l
        copper = self.take(tank, litres, **also)
        share = 0.0 if not into else 1.0 if kept_l is None else kept_l / litres
        self.copper[name] += (1 - share) * copper
        self.copper["other drums"] += share * copper
        self.drums[into].copper += share * copper
        self.drums[into].litres += litres if kept_l is None else kept_l

    def bite(self, tank: str, *, charge_ah: float, drips_l: float) -> None:
        """Copper goes from the plate to the sheet opposite, and none of it stays in the bath."""
        moved = COPPER_G_PER_AH * charge_ah
        cathode = self.tanks[tank].cathode
        self.copper["off plates"] += moved
        self.copper["unknown sheets"] += 0.0 if cathode else moved
        if cathode:
            self.cathodes[cathode] += moved
        self.moved += moved
        self.drip(tank, drips_l)

    def drip(self, tank: str, litres: float) -> None:
        self.in_the_tray += self.take(tank, litres)

    def empty_the_tray(self, drum: str, litres: float) -> None:
        self.copper["rinse in drums"] += self.in_the_tray
        self.drums[drum].copper += self.in_the_tray
        self.drums[drum].litres += litres
        self.in_the_tray = 0.0

    def pour_over(self, drum: str, into: str, litres: float) -> None:
        # what was poured into it may have been struck since: nothing is poured out of nothing
        share = min(1.0, litres / self.drums[drum].litres) if self.drums[drum].litres else 0.0
        self.drums[into].copper += share * self.drums[drum].copper
        self.drums[into].litres += litres
        self.drums[drum].copper *= 1 - share
        self.drums[drum].litres *= 1 - share

    def hang(self, cathode: str, tank: str = "") -> None:
        for bath in self.tanks.values():
            if bath.cathode == cathode:
                bath.cathode = ""
        if tank:
            self.tanks[tank].cathode = cathode

    def weigh(self, cathode: str, copper: float) -> None:
        self.asserted += self.cathodes[cathode] - copper
        self.cathodes[cathode] = copper

    def strip(self, cathode: str, *, metal: float, powder: float = 0.0, into: str = "") -> None:
        self.weigh(cathode, metal + COPPER_IN_POWDER * powder)
        self.cathodes[cathode] = 0.0
        self.copper["metal in drums" if into else "stripped"] += metal
        self.copper["powder"] += COPPER_IN_POWDER * powder
        self.drums[into].copper += metal

    def count(self, jar: str, grams: float) -> None:
        self.jars[jar] = grams

    @property
    def balance(self) -> dict[str, float]:
        """Under the names of the book's balance; what there is nothing of is left out."""
        found = {
            **self.copper,
            "baths now": COPPER_PER_BLUE * sum(tank.salt for tank in self.tanks.values()),
            "cathodes now": sum(self.cathodes.values()),
            "drips": self.in_the_tray,
        }
        return {name: grams for name, grams in found.items() if grams}


@dataclass(frozen=True)
class Act:
    """One line of a history: when, in which order among those of one moment, and what it does to a ledger."""

    day: float
    number: int
    apply: Callable[[PlainLedger], None]


def replayed(acts: list[Act], until: float) -> PlainLedger:
    ledger, day = PlainLedger(), 0.0
    for act in sorted(acts, key=lambda each: (each.day, each.number)):
        ledger.days_pass(act.day - day)
        act.apply(ledger)
        day = act.day
    ledger.days_pass(until - day)
    return ledger
