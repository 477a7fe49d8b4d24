"""
Where water, salt, acid and copper are after a history, by nothing but mass balance: written apart from the book's sums.

Salt is counted as blue crystals, acid as pure H2SO4. Grams everywhere, litres of liquid at 20 °C.
"""

from bisect import bisect
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from math import exp

from molmass import Formula

from tests import sources

TABLES = sources.read("copper_sulfate")
COPPER, ANHYDROUS, MONOHYDRATE, BLUE, ACID = (
    Formula(formula).mass for formula in ("Cu", "CuSO4", "CuSO4(H2O)", "CuSO4(H2O)5", "H2SO4")
)
COPPER_PER_BLUE, BLUE_PER_POWDER, BLUE_PER_MONOHYDRATE = COPPER / BLUE, BLUE / ANHYDROUS, BLUE / MONOHYDRATE
COPPER_G_PER_AH = COPPER * 3600 / (2 * 96485.33212)  # Faraday's law; the constant is CODATA's of 2018
WATER_G_PER_L, CRYSTALS_G_PER_L = 998.2, 2286.0  # of the crystals the handbook's, from memory
# the density of water, then the handbook's of solutions, by mass percent and by moles in a litre
DENSITIES = [(0.0, 0.9982), *((row[0], row[3]) for row in TABLES["concentrative_20c"]["rows"])]
BY_MOLARITY = [(0.0, 0.9982), *((row[2], row[3]) for row in TABLES["concentrative_20c"]["rows"])]
ACID_ADDS = TABLES["binary_densities"]["H2SO4"]
SATURATED_PERCENT = dict(TABLES["solubility_mass_percent"]["rows"])[20]
SATURATED_G_PER_G = SATURATED_PERCENT / (100 * ANHYDROUS / BLUE - SATURATED_PERCENT)  # blue crystals to free water
MOST_POURED, LAST_WATER_G = 0.99, 1.0  # the book leaves a last hundredth of what is poured, and a last gram of water
SOUREST_G_PER_L = 300.0  # beyond it the book's own sums hold no more either
COPPER_IN_POWDER = 0.6  # of loose cathode powder, by the book's own estimate


def between(table: list[tuple[float, float]], at: float) -> float:
    place = bisect(table, (at, 9.9))
    if at < 0 or place == len(table):
        raise ValueError(f"the handbook has no density at {at}")
    (low, lighter), (high, heavier) = table[place - 1 : place + 1]
    return 1000 * (lighter + (heavier - lighter) * (at - low) / (high - low))


def grams_in_a_litre(percent: float) -> float:
    """
    By the handbook, between its lines a straight line; percent: anhydrous, by mass.

    >>> round(grams_in_a_litre(10.5), 1)
    1112.8
    """
    return between(DENSITIES, percent)


def grams_in_a_sour_litre(strength: float, acid: float) -> float:
    """
    By the handbook for as much copper in a litre, and what acid alone would add to water; 20 °C, grams in a litre.

    >>> round(grams_in_a_sour_litre(200, 50))
    1156
    """
    a, b, c, d, e, f = ACID_ADDS["coefficients"]
    molar = acid / ACID
    added = molar * (a + 20 * b + 400 * c) + molar**1.5 * (d + 20 * e + 400 * f)
    return between(BY_MOLARITY, strength / BLUE) + added


def soluble_beside(acid_per_water: float) -> float:
    """Of what water alone would hold, by the book's own estimate."""
    return max(0.05, exp(-(1.488 + 2.796 * acid_per_water) * acid_per_water))


def percent(water: float, salt: float) -> float:
    return 100 * ANHYDROUS / BLUE * salt / (water + salt)


@dataclass
class Tank:
    water: float = 0.0
    salt: float = 0.0
    acid: float = 0.0
    dries_g_per_day: float = 0.0
    cathode: str = ""

    @property
    def dissolved(self) -> float:
        held = SATURATED_G_PER_G * self.water
        return min(self.salt, held * soluble_beside(self.acid / self.water) if self.acid else held)

    @property
    def liquid_g(self) -> float:
        return self.water + self.dissolved + self.acid

    @property
    def liquid_l(self) -> float:
        """The clear liquid; crystals lie below it."""
        dissolved, mass = self.dissolved, self.liquid_g
        if not self.acid:
            return mass / grams_in_a_litre(percent(self.water, dissolved))
        litres = mass / 1100
        for _ in range(20):  # until a litre weighs what is in it
            litres = mass / grams_in_a_sour_litre(dissolved / litres, self.acid / litres)
        return litres

    @property
    def acid_g_per_l(self) -> float:
        return self.acid / self.liquid_l

    @property
    def level_l(self) -> float:
        return self.liquid_l + (self.salt - self.dissolved) / CRYSTALS_G_PER_L


@dataclass
class Vessel:
    litres: float = 0.0
    copper: float = 0.0


@dataclass
class PlainLedger:
    """
    copper: what went where, under the names of the book's own balance.

    asserted: what a scale or a new look at a bath made appear or vanish; nobody can say where it went.
    moved: salt that went from somewhere to somewhere; moved_sour: out of a bath with acid in it. beyond: something was
    taken out of a tank that had dried down to its acid, of which no table says what a litre weighs.
    """

    tanks: dict[str, Tank] = field(default_factory=lambda: defaultdict(Tank))
    drums: dict[str, Vessel] = field(default_factory=lambda: defaultdict(Vessel))
    cathodes: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    jars: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    stands_in: dict[str, str] = field(default_factory=dict)
    facts: dict[str, object] = field(default_factory=dict)
    copper: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    asserted: float = 0.0
    in_the_tray: float = 0.0
    moved: float = 0.0
    moved_sour: float = 0.0
    beyond: bool = False

    def days_pass(self, days: float) -> None:
        for tank in self.tanks.values():
            tank.water = max(LAST_WATER_G, tank.water - tank.dries_g_per_day * days)

    def mix(self, tank: str, *, water_l: float, jar: str, grams: float, blue_per_g: float, bound_per_g: float) -> None:
        self.copper["given up"] += COPPER_PER_BLUE * self.tanks[tank].salt
        self.tanks[tank].water = self.tanks[tank].salt = self.tanks[tank].acid = 0.0
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

    def add_acid(self, tank: str, *, grams: float, percent: float) -> None:
        self.tanks[tank].acid += grams * percent / 100
        self.tanks[tank].water += grams * (1 - percent / 100)

    def adopt(self, tank: str, *, litres: float, strength: float, acid: float = 0.0) -> None:
        """The first time it comes in; from then on it is the same bath, better known. acid: g/L"""
        litre = grams_in_a_sour_litre(strength, acid)
        for _ in range(0 if acid else 50):  # until a litre weighs what its salt makes it weigh
            litre = grams_in_a_litre(percent(litre - strength, strength))
        came, before = litres * strength, self.tanks[tank].salt
        if self.tanks[tank].water:
            self.asserted += COPPER_PER_BLUE * (before - came)
        else:
            self.copper["adopted"] += COPPER_PER_BLUE * came
        self.tanks[tank].salt, self.tanks[tank].acid = came, litres * acid
        self.tanks[tank].water = litres * (litre - acid) - came
        self.moved += came
        self.moved_sour += came if acid else 0.0

    def take(self, tank: str, litres: float = 0.0, *, grams: float | None = None, crystals: float = 0.0) -> float:
        """The copper in stirred liquid, saturated at most, and in crystals that were lifted off the floor before."""
        bath = self.tanks[tank]
        self.beyond = self.beyond or bool(bath.acid and bath.acid_g_per_l > SOUREST_G_PER_L)
        crystals = min(crystals, bath.salt)
        bath.salt -= crystals
        share = min(litres / bath.liquid_l if grams is None else grams / bath.liquid_g, MOST_POURED)
        dissolved = share * bath.dissolved
        self.moved_sour += dissolved if bath.acid else 0.0
        bath.water = max(LAST_WATER_G, bath.water * (1 - share))
        bath.salt -= dissolved
        bath.acid *= 1 - share
        self.moved += crystals + dissolved
        return COPPER_PER_BLUE * (crystals + dissolved)

    def pour(self, tank: str, into: str, litres: float = 0.0, *, grams: float | None = None) -> None:
        """Out of one bath into another: water and acid go along with the copper."""
        bath, other = self.tanks[tank], self.tanks[into]
        water, acid = bath.water, bath.acid
        copper = self.take(tank, litres, grams=grams)
        other.water += water - bath.water
        other.acid += acid - bath.acid
        other.salt += copper / COPPER_PER_BLUE
        self.copper["poured over"] += copper
        self.copper["poured in"] += copper

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

    def use(self, jar: str, grams: float) -> None:
        self.jars[jar] -= grams

    def carry(self, jar: str, place: str) -> None:
        self.stands_in[jar] = place

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
