"""
What can happen to a bath, and what each happening does to the book's estimate of it.

Three losses are kept apart: drying takes water and leaves the salt, pouring and drips take both, biting moves copper
and leaves the salt a little vaguer. Every sd is one standard deviation; None stands for the measure a workshop
usually has. `day` is fractional days since the log began.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cache
from math import hypot, inf, sqrt
from typing import ClassVar

from chemistry.bath.kalman_filter import FilterState, Model, Variances
from chemistry.measured import digits
from chemistry.quantity import quantity
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.solution import sulfate, sulfuric, water_and_salt

STANDARD_C = 20.0

JUG_SHARE, JUG_L = 0.02, 0.010  # water by jug; common practice, no source
POUR_SHARE, POUR_L = 0.10, 0.020  # bath taken out by jug; common practice, no source
SCALE_SHARE, SCALE_G = 0.005, 1.0  # kitchen scale; common practice, no source
PURITY_SD = 0.004  # technical crystals, 0.99 ± 0.004; common practice, no source
WET_SHARE = 0.10  # crystals lifted off the floor are weighed wet; own estimate
SALT_G_PER_SQRT_AH = 1.5  # anode and cathode efficiencies differ by a few hundredths; own simulation
ACID_PER_SALT = sulfuric.ACID_G_PER_MOL / sulfate.BLUE_CRYSTALS_G_PER_MOL  # what copper takes up as it goes into acid
LEVEL_ALIKE_SHARE = 0.55  # of a level's sd: where the eye stands, how the marks were set; own simulation
ACID_UNASKED_G_PER_L = 50.0  # sd of the acid in a bath of which nobody said anything; own estimate

FACTOR_SD_PER_SQRT_DAY = 0.02  # heating and seasons; own simulation, as the next
DRYING_SHARE_PER_SQRT_DAY = 0.5  # weather comes in spells of days
OFFSET_SD_PER_SQRT_DAY = 0.0001  # residue on the glass, another pair of eyes; own estimate
FACTOR_VARIANCE_PER_DAY = FACTOR_SD_PER_SQRT_DAY**2
DRYING_VARIANCE_DAYS = DRYING_SHARE_PER_SQRT_DAY**2
OFFSET_VARIANCE_PER_DAY = OFFSET_SD_PER_SQRT_DAY**2

LAST_WATER_G = 1.0  # a bath never dries up or pours out altogether, so that it keeps a strength
MOST_POURED = 0.99
LEAST_BATH_L = 0.01
CLEARLY_BELOW_SD = 3.0  # a liquid read this far below saturation has no crystals under it

MOST_DAYS, MOST_LITRES, MOST_GRAMS, MOST_AMPERE_HOURS = 1e5, 1e4, 1e7, 1e5
STRONGEST_G_PER_L = sulfate.strength_g_per_l(sulfate.HIGHEST_MASS_FRACTION, STANDARD_C)


class RunningBath(FilterState):
    """The estimate while the log is read: where it stands in time and what dries off in an average room."""

    __slots__ = ("acid_is_known", "day", "prior_g_per_day")

    def __init__(
        self,
        *,
        day: float,
        water_g: float,
        salt_g: float,
        factor: float,
        offset: float,
        acid_g: float,
        acid_is_known: bool,
        prior_g_per_day: float,
        variances: Variances,
    ) -> None:
        super().__init__(water_g, salt_g, factor, offset, acid_g, variances)
        self.day, self.prior_g_per_day, self.acid_is_known = day, prior_g_per_day, acid_is_known

    @property
    def has_acid(self) -> bool:
        """Whether there may be any: of a bath without it the sums of copper sulfate alone are the same, and shorter."""
        return self.acid_g > 0.0 or self.aa > 0.0

    def volume(self, salt_g: float, temperature_c: float) -> tuple[float, float, float, float]:
        """Of its water, its acid and so much salt, with the slopes by all three. [L, L/g, L/g, L/g]"""
        if self.has_acid:
            return water_and_salt.volume_with_acid(self.water_g, salt_g, self.acid_g, temperature_c)
        return (*water_and_salt.volume(self.water_g, salt_g, temperature_c), 0.0)

    def held_g(self, temperature_c: float = STANDARD_C) -> float:
        """The salt in its clear liquid; the rest of it lies on the floor."""
        return dissolved_g(self.water_g, self.salt_g, self.acid_g, temperature_c)

    def liquid(self) -> tuple[float, float, float, float]:
        """Volume of its clear liquid at 20 °C, with the slopes by water, salt and acid. [L, L/g, L/g, L/g]"""
        held_g = self.held_g()
        volume_l, by_water, by_salt, by_acid = self.volume(held_g, STANDARD_C)
        if held_g == self.salt_g:
            return volume_l, by_water, by_salt, by_acid
        # over crystals a gram of water more holds its salt as well, and more salt only lies on the floor
        return volume_l, by_water + held_g / self.water_g * by_salt, 0.0, by_acid

    def wait_until(self, day: float) -> None:
        """
        Water dries off; the noise is that of a factor that wanders and of days that differ from each other.

        Waiting twice is the same as waiting once for as long.
        """
        days = day - self.day
        if days == 0:
            return
        if days < 0:
            raise ValueError(f"the log never goes back: day must be at least {digits(self.day)}, not {digits(day)}")
        self.day = day
        wander = FACTOR_VARIANCE_PER_DAY * days
        rate = self.prior_g_per_day
        if rate:
            loss_g, factor = rate * days, self.factor
            self.water_g -= loss_g * factor
            if self.water_g < LAST_WATER_G:
                self.water_g = LAST_WATER_G
            # in this order: each line needs what the lines below it still change; of a random walk t³/3 of its variance
            # is in the water, t²/2 is shared with the factor
            uneven = factor * factor * DRYING_VARIANCE_DAYS * days + wander * days * days / 3
            self.ww += loss_g * (loss_g * self.ff - 2 * self.wf) + rate * rate * uneven
            self.ws -= loss_g * self.sf
            self.wf -= loss_g * (self.ff + wander / 2)
            self.wo -= loss_g * self.fo
            self.wa -= loss_g * self.fa
        # a covered bath dries nothing: what is known of the room still grows vaguer
        self.ff += wander
        self.offset_variance += OFFSET_VARIANCE_PER_DAY * days

    def add_water(self, litres: float, sd_l: float | None, temperature_c: float = STANDARD_C) -> None:
        grams_per_litre = 1000 * sulfate.water_density_g_per_ml(temperature_c)
        sd_l = JUG_SHARE * litres + JUG_L if sd_l is None else sd_l
        self.add(litres * grams_per_litre, 0.0, ww=(sd_l * grams_per_litre) ** 2)

    def add_salt(self, grams: float, sd_g: float | None, purity: float, waters: float) -> None:
        sd_g = hypot(SCALE_SHARE * grams + SCALE_G, PURITY_SD * grams) if sd_g is None else sd_g
        if waters == sulfate.BLUE_WATERS:
            self.add(0.0, grams * purity, ss=sd_g * sd_g)
            return
        # a gram of powder counts as more than one of crystals, and the rest of them is water that the bath had
        blue = sulfate.blue_per_gram(waters)
        taken_up, variance = blue - 1, sd_g * sd_g
        self.add(
            -grams * purity * taken_up,
            grams * purity * blue,
            ww=taken_up * taken_up * variance,
            ws=-taken_up * blue * variance,
            ss=blue * blue * variance,
        )
        self.keep_possible()

    def add_acid(self, grams: float, percent: float, sd_g: float | None) -> None:
        sd_g = SCALE_SHARE * grams + SCALE_G if sd_g is None else sd_g
        share = percent / 100
        self.water_g += grams * (1 - share)
        self.acid_g += grams * share
        # one weighing for both: if the scale is off, acid and water are off together
        variance = sd_g * sd_g
        self.ww += (1 - share) * (1 - share) * variance
        self.wa += (1 - share) * share * variance
        self.aa += share * share * variance

    def add_acid_solution(
        self, litres: float, strength_g_per_l: float, sd_l: float, strength_sd_g_per_l: float, acid: tuple[float, float]
    ) -> None:
        """acid: of a litre of it, and its sd. [g/L, g/L]"""
        acid_g_per_l, acid_sd_g_per_l = acid
        water_g_per_l, _ = water_and_salt.water_for(1.0, strength_g_per_l, acid_g_per_l, STANDARD_C)
        volume = water_and_salt.volume_with_acid(water_g_per_l, strength_g_per_l, acid_g_per_l, STANDARD_C)
        _, by_water, by_salt, by_acid = volume
        # a gram more of salt or of acid in the litre is so much less water
        ways = (
            (sd_l * water_g_per_l, sd_l * strength_g_per_l, sd_l * acid_g_per_l),
            (-litres * strength_sd_g_per_l * by_salt / by_water, litres * strength_sd_g_per_l, 0.0),
            (-litres * acid_sd_g_per_l * by_acid / by_water, 0.0, litres * acid_sd_g_per_l),
        )
        self.acid_g += litres * acid_g_per_l
        self.add(
            litres * water_g_per_l,
            litres * strength_g_per_l,
            ww=sum(water * water for water, _, _ in ways),
            ws=sum(water * salt for water, salt, _ in ways),
            ss=sum(salt * salt for _, salt, _ in ways),
        )
        self.wa += sum(water * acid for water, _, acid in ways)
        self.sa += sum(salt * acid for _, salt, acid in ways)
        self.aa += sum(acid * acid for _, _, acid in ways)

    def add_solution(self, litres: float, strength_g_per_l: float, sd_l: float, strength_sd_g_per_l: float) -> None:
        water_g_per_l, by_strength = water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)
        # one jug and one strength for both masses: if the jug is off, water and salt are off together
        of_volume, of_strength = sd_l * sd_l, (strength_sd_g_per_l * litres) ** 2
        self.add(
            litres * water_g_per_l,
            litres * strength_g_per_l,
            ww=water_g_per_l**2 * of_volume + by_strength**2 * of_strength,
            ws=water_g_per_l * strength_g_per_l * of_volume + by_strength * of_strength,
            ss=strength_g_per_l**2 * of_volume + of_strength,
        )

    def pour(self, litres: float, sd_l: float) -> None:
        """Take liquid out; how much water and salt that is depends on what the book thinks the liquid is."""
        held_g = self.held_g()
        volume_l, *slopes = self.volume(held_g, STANDARD_C)
        self.draw_off(litres, sd_l, held_g, volume_l, slopes)

    def pour_by_weight(self, grams: float, sd_g: float) -> None:
        """Take liquid out that was weighed: whatever its density, it is the same share of the bath."""
        held_g = self.held_g()
        self.draw_off(grams, sd_g, held_g, self.water_g + held_g + self.acid_g, (1.0, 1.0, 1.0))

    def draw_off(self, amount: float, sd: float, held_g: float, whole: float, slopes: Sequence[float]) -> None:
        """whole: all the liquid in the unit of the amount, with its slopes by water, salt and acid."""
        amount = min(amount, MOST_POURED * whole)
        # the liquid over crystals is saturated: each litre of it is the same, however much salt lies below
        if held_g == self.salt_g:
            self.draw(amount, whole, slopes, held_g, sd * sd)
        else:
            self.draw_saturated(amount, whole, held_g, sd * sd)
        self.keep_possible()

    def open_acid(self) -> None:
        """Nobody said whether there is any: what speaks of it first is listened to."""
        if not self.acid_is_known:
            self.aa += (ACID_UNASKED_G_PER_L * self.liquid()[0]) ** 2

    def keep_possible(self) -> None:
        """No mass falls below nothing, and no room waters its bath."""
        if self.acid_g < 0.0:
            self.acid_g = 0.0
        if self.water_g < LAST_WATER_G:
            self.water_g = LAST_WATER_G
        if self.salt_g < 0.0:
            self.salt_g = 0.0
        if self.factor < 0.0:
            self.factor = 0.0


Limits = dict[str, tuple[float, float]]
VOLUMES, MASSES, STRENGTHS = (0.0, MOST_LITRES), (0.0, MOST_GRAMS), (0.0, STRONGEST_G_PER_L)
LIMITS: Limits = {
    "day": (0.0, MOST_DAYS),
    "water_l": (LEAST_BATH_L, MOST_LITRES),
    **dict.fromkeys(("litres", "volume_l", "sd_l", "water_sd_l", "volume_sd_l", "before_l", "after_l"), VOLUMES),
    **dict.fromkeys(("grams", "salt_g", "crystals_g", "sd_g", "salt_sd_g", "g_per_day"), MASSES),
    **dict.fromkeys(("strength_g_per_l", "strength_sd_g_per_l"), STRENGTHS),
    **dict.fromkeys(("acid_g_per_l", "acid_sd_g_per_l", "g_per_l"), (0.0, sulfuric.MOST_ACID_G_PER_L)),
    "percent": (1.0, 100.0),
    "ph": (0.0, 14.0),
    "purity": (0.01, 1.0),
    "waters": (0.0, sulfate.BLUE_WATERS),
    "temperature_c": (sulfate.COLDEST_C, sulfate.WARMEST_C),
    "reference_c": (4.0, 30.0),
    "sg": (0.95, 1.5),
    "mol_per_l": (0.0, STRONGEST_G_PER_L / sulfate.BLUE_CRYSTALS_G_PER_MOL),
    "charge_ah": (0.0, MOST_AMPERE_HOURS),
}
LEAST_SD = 1e-6  # a reading without a spread would leave the filter nothing to divide by


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happened to the bath."""

    begins: ClassVar[bool] = False
    LIMITS: ClassVar[Limits] = {}  # where they are narrower than those of every event

    day: float

    def __post_init__(self) -> None:
        """Refuse nonsense; a spread left at None is the one a workshop usually has."""
        for name, low, high, is_optional in self.limits():
            value = getattr(self, name)
            if value is not None or not is_optional:
                check_range(name, value, low, high)

    @classmethod
    @cache
    def limits(cls) -> list[tuple[str, float, float, bool]]:
        """What each of its figures lies between, and whether it may be left at None."""
        narrowed = LIMITS | cls.LIMITS
        return [(field.name, *narrowed[field.name], field.default is None) for field in fields(cls)]

    def apply(self, bath: RunningBath) -> None:
        """Move the estimate on; its day is already this event's."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixed(Event):
    """
    A bath mixed from water and salt; the log begins anew.

    salt_g: as weighed. waters: of crystallisation in it, 5 in blue crystals, 0 in pale powder, which takes up the rest.
    purity: share of the weighed salt that is copper sulfate with those waters; the rest counts as nothing.
    salt_sd_g: with the purity's; None: a kitchen scale and crystals pure to 0.004.
    """

    begins = True

    water_l: float
    salt_g: float
    temperature_c: float = STANDARD_C
    water_sd_l: float | None = None
    salt_sd_g: float | None = None
    purity: float = 1.0
    waters: float = sulfate.BLUE_WATERS

    def apply(self, bath: RunningBath) -> None:
        bath.begin_anew()
        bath.add_water(self.water_l, self.water_sd_l, self.temperature_c)
        bath.add_salt(self.salt_g, self.salt_sd_g, self.purity, self.waters)
        # acid that goes in as well is an event of its own
        bath.acid_is_known = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Adopted(Event):
    """
    A bath that was there before the book; volume and strength at 20 °C. The log begins anew.

    acid_g_per_l: None: nobody said whether there is any; it counts as none, and whatever tells of it is believed.
    """

    begins = True

    LIMITS = {"volume_l": (LEAST_BATH_L, MOST_LITRES)}

    volume_l: float
    strength_g_per_l: float
    volume_sd_l: float
    strength_sd_g_per_l: float
    acid_g_per_l: float | None = None
    acid_sd_g_per_l: float = 0.0

    def apply(self, bath: RunningBath) -> None:
        bath.begin_anew()
        bath.acid_is_known = self.acid_g_per_l is not None
        told = (self.volume_l, self.strength_g_per_l, self.volume_sd_l, self.strength_sd_g_per_l)
        if self.acid_g_per_l or self.acid_sd_g_per_l:
            bath.add_acid_solution(*told, (self.acid_g_per_l or 0.0, self.acid_sd_g_per_l))
        else:
            bath.add_solution(*told)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterAdded(Event):
    """Plain water went in; sd_l None: by jug."""

    litres: float
    temperature_c: float = STANDARD_C
    sd_l: float | None = None

    def apply(self, bath: RunningBath) -> None:
        bath.add_water(self.litres, self.sd_l, self.temperature_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class CrystalsAdded(Event):
    """
    Copper sulfate went in, as blue crystals or with other waters.

    grams: as weighed. waters: of crystallisation in it, 5 in blue crystals, 0 in pale powder, which takes up the rest.
    purity: share of the weighed salt that is copper sulfate with those waters; the rest counts as nothing.
    sd_g: of the grams, with the purity's; None: a kitchen scale and crystals pure to 0.004.
    """

    grams: float
    sd_g: float | None = None
    purity: float = 1.0
    waters: float = sulfate.BLUE_WATERS

    def apply(self, bath: RunningBath) -> None:
        bath.add_salt(self.grams, self.sd_g, self.purity, self.waters)


@dataclass(frozen=True, slots=True, kw_only=True)
class SolutionAdded(Event):
    """Bath or rinse of known strength went in; all figures at 20 °C."""

    litres: float
    strength_g_per_l: float
    sd_l: float
    strength_sd_g_per_l: float
    acid_g_per_l: float = 0.0
    acid_sd_g_per_l: float = 0.0

    def apply(self, bath: RunningBath) -> None:
        told = (self.litres, self.strength_g_per_l, self.sd_l, self.strength_sd_g_per_l)
        if self.acid_g_per_l or self.acid_sd_g_per_l:
            bath.add_acid_solution(*told, (self.acid_g_per_l, self.acid_sd_g_per_l))
        else:
            bath.add_solution(*told)


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidAdded(Event):
    """
    Sulfuric acid went in, into the bath and never the other way round.

    grams: as weighed. percent: H2SO4 by mass; the rest of it is water. sd_g: None: a kitchen scale.
    """

    grams: float
    percent: float
    sd_g: float | None = None

    def apply(self, bath: RunningBath) -> None:
        bath.add_acid(self.grams, self.percent, self.sd_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOut(Event):
    """
    Bath was taken out: poured, strained, spilled, dripped off plates; each way of telling how much has its class.

    The liquid is clear bath, saturated at most: crystals stay on the floor unless somebody says how many came along.
    More than the book thinks is there leaves a last hundredth.

    crystals_g: lifted off the floor with it, as weighed wet.
    """

    crystals_g: float = 0.0

    @property
    def crystals_sd_g(self) -> float:
        return WET_SHARE * self.crystals_g

    @property
    def words(self) -> str:
        """How much it was, as it was told."""
        raise NotImplementedError

    def litres_at(self, grams_per_litre: float) -> tuple[float, float]:
        """How many litres it was, and their sd, of a liquid that weighs so much."""
        raise NotImplementedError

    def take(self, bath: RunningBath) -> None:
        raise NotImplementedError

    def apply(self, bath: RunningBath) -> None:
        # first the crystals: they take no liquid with them, which is then poured as it is
        if self.crystals_g:
            bath.add(0.0, -self.crystals_g, ss=self.crystals_sd_g**2)
            bath.keep_possible()
        self.take(bath)


@dataclass(frozen=True, slots=True, kw_only=True)
class Removed(TakenOut):
    """
    Told in litres, by the jug or as a guess.

    sd_l: None: by jug; drips are an estimate and always say theirs.
    """

    litres: float
    sd_l: float | None = None

    @property
    def words(self) -> str:
        return Sentence("%(litres)s") % {"litres": quantity(self.litres, "L", 3)}

    @property
    def litres_sd(self) -> float:
        return POUR_SHARE * self.litres + POUR_L if self.sd_l is None else self.sd_l

    def litres_at(self, grams_per_litre: float) -> tuple[float, float]:
        return self.litres, self.litres_sd

    def take(self, bath: RunningBath) -> None:
        bath.pour(self.litres, self.litres_sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovedByWeight(TakenOut):
    """
    Told by a scale; grams of the liquid alone, its vessel and crystals taken off.

    sd_g: None: a kitchen scale.
    """

    grams: float
    sd_g: float | None = None

    @property
    def words(self) -> str:
        return Sentence("%(kilograms)s") % {"kilograms": quantity(self.grams / 1000, "kg", 4)}

    @property
    def grams_sd(self) -> float:
        return SCALE_SHARE * self.grams + SCALE_G if self.sd_g is None else self.sd_g

    def litres_at(self, grams_per_litre: float) -> tuple[float, float]:
        return self.grams / grams_per_litre, self.grams_sd / grams_per_litre

    def take(self, bath: RunningBath) -> None:
        bath.pour_by_weight(self.grams, self.grams_sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovedByLevel(TakenOut):
    """
    Told by the level before and after, plates and cathodes as they were.

    sd_l: of one level; what is wrong with both alike, as marks set too high, falls out of the difference.
    The level before is a reading as well, and stands in the log as one, ahead of this.
    """

    before_l: float
    after_l: float
    sd_l: float

    @property
    def level_before(self) -> "LevelRead":
        return LevelRead(day=self.day, volume_l=self.before_l, sd_l=max(self.sd_l, LEAST_SD))

    @property
    def words(self) -> str:
        out_l = self.before_l - self.after_l
        return f"{digits(out_l, 3)} L, from {digits(self.before_l, 4)} to {digits(self.after_l, 4)} L,"

    def litres_at(self, grams_per_litre: float) -> tuple[float, float]:
        # a level that rose is one that was read wrong: nothing came out, give or take the reading
        return max(0.0, self.before_l - self.after_l), sqrt(2) * self.sd_l

    def take(self, bath: RunningBath) -> None:
        bath.pour(*self.litres_at(0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Event):
    """Something measured on the bath."""

    unit: ClassVar[str]

    @property
    def reading(self) -> float:
        """What was read, in the reading's own unit."""
        raise NotImplementedError

    def model(self, bath: RunningBath) -> Model:
        """What the book thinks the reading should show if all the salt is dissolved."""
        raise NotImplementedError

    def meets(self, bath: RunningBath) -> None:
        """What the bath must know of itself before it can be read so."""

    def over_crystals(self, bath: RunningBath) -> bool:
        """Whether the book has crystals on the floor that the reading cannot see."""
        return False

    def saturated(self, bath: RunningBath) -> float:
        """What the reading should show over crystals on the floor, however many lie there."""
        raise NotImplementedError

    def apply(self, bath: RunningBath) -> None:
        self.meets(bath)
        # over crystals a reading sees only the liquid; it must not eat up the salt below it
        model = self.model(bath)
        if not (self.over_crystals(bath) and self.only_bounds(bath, model)):
            bath.observe(self.reading, model, self.learned_variance(bath, model))
            bath.keep_possible()

    def learned_variance(self, bath: RunningBath, model: Model) -> float | None:
        """By which the book's spread shrinks; None: by the reading's own."""
        return None

    def apply_softly(self, bath: RunningBath) -> None:
        """
        Let a reading far from the book speak in steps, each as loud as the book is vague.

        All of them say what the reading says once. Each takes the slopes where the one before it led: at once they
        would be those of a bath that nobody believes in any more, and lead past the rim or below nothing.
        """
        unsaid = 1.0  # share of the reading's say
        while unsaid > 0:
            model = self.model(bath)
            if self.over_crystals(bath) and self.only_bounds(bath, model):
                return
            value, by_water, by_salt, by_offset, by_acid, variance = model
            own = bath.variance_of(model) - variance
            said = min(unsaid, variance / own) if own > 0 else unsaid
            bath.observe(self.reading, (value, by_water, by_salt, by_offset, by_acid, variance / said))
            bath.keep_possible()
            unsaid -= said

    def only_bounds(self, bath: RunningBath, model: Model) -> bool:
        """
        Whether a reading over crystals says no more than that there is at least so much salt, as the book believes.

        It does where the liquid reads as saturated, as near as can be told. A liquid read clearly below saturation
        has no crystals under it and speaks for all the salt, whatever the book thought.
        """
        value, _, _, by_offset, _, variance = model
        # with the glass's own offset: a hydrometer that reads low must not deny the crystals
        sd = sqrt(variance + by_offset * by_offset * bath.offset_variance)
        return self.saturated(bath) - CLEARLY_BELOW_SD * sd < self.reading < value


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRead(Reading):
    """The bath's volume by dipstick and the tank's marks, at the bath's temperature."""

    unit = "L"
    LIMITS = {"sd_l": (LEAST_SD, MOST_LITRES)}

    volume_l: float
    sd_l: float
    temperature_c: float = STANDARD_C

    @property
    def reading(self) -> float:
        return self.volume_l

    def model(self, bath: RunningBath) -> Model:
        volume_l, by_water, by_salt, by_acid = bath.volume(bath.salt_g, self.temperature_c)
        return (volume_l, by_water, by_salt, 0.0, by_acid, self.sd_l * self.sd_l)

    def learned_variance(self, bath: RunningBath, model: Model) -> float:
        """
        Part of a level's error is the same each time and never averages out, so the spread stays as wide as that.

        The figures follow each reading all the same: of two levels on one day neither is heard more than the other.
        """
        variance = model[5]
        own, alike = bath.variance_of(model) - variance, LEVEL_ALIKE_SHARE**2 * variance
        return inf if own <= alike else max(variance, own * alike / (own - alike))


@dataclass(frozen=True, slots=True, kw_only=True)
class DensityRead(Reading):
    """
    A hydrometer's specific gravity at the bath's temperature.

    reference_c: printed on the hydrometer: 20 °C, or 15.56 °C for the Baumé scale.
    sd: of one reading; what the hydrometer always reads off is learned beside it.
    """

    unit = "SG"
    LIMITS = {"sd": (LEAST_SD, 0.5)}

    sg: float
    temperature_c: float = STANDARD_C
    reference_c: float = 20.0
    sd: float = 0.0015

    @property
    def reading(self) -> float:
        return self.sg

    def model(self, bath: RunningBath) -> Model:
        # however fine the scale, the density formula behind it is no better
        if bath.has_acid:
            sg, by_water, by_salt, by_acid = water_and_salt.specific_gravity_with_acid(
                bath.water_g, bath.salt_g, bath.acid_g, self.temperature_c, self.reference_c
            )
            # what acid adds is known worse than what salt does
            added = sulfuric.ACID_SD_SHARE * by_acid * bath.acid_g
            sd = max(self.sd, water_and_salt.density_sd(bath.water_g, bath.salt_g, self.temperature_c))
            variance = sd * sd + added * added
            return (sg + bath.offset, by_water, by_salt, 1.0, by_acid, variance)
        sg, by_water, by_salt = water_and_salt.specific_gravity(
            bath.water_g, bath.salt_g, self.temperature_c, self.reference_c
        )
        sd = max(self.sd, water_and_salt.density_sd(bath.water_g, bath.salt_g, self.temperature_c))
        return (sg + bath.offset, by_water, by_salt, 1.0, 0.0, sd * sd)

    def over_crystals(self, bath: RunningBath) -> bool:
        return bath.salt_g > bath.held_g(self.temperature_c)

    def saturated(self, bath: RunningBath) -> float:
        liquid = (bath.water_g, bath.held_g(self.temperature_c), bath.acid_g)
        sg, *_ = water_and_salt.specific_gravity_with_acid(*liquid, self.temperature_c, self.reference_c)
        return sg + bath.offset


@dataclass(frozen=True, slots=True, kw_only=True)
class Titrated(Reading):
    """Moles of copper in a litre of the liquid, at 20 °C."""

    unit = "mol/L"
    LIMITS = {"sd": (LEAST_SD, 1.0)}

    mol_per_l: float
    sd: float

    @property
    def reading(self) -> float:
        return self.mol_per_l

    def model(self, bath: RunningBath) -> Model:
        # titrated at any temperature, said at 20 °C: a pipette is calibrated there
        volume_l, by_water, by_salt, by_acid = bath.volume(bath.salt_g, STANDARD_C)
        mol_per_g = 1 / (volume_l * sulfate.BLUE_CRYSTALS_G_PER_MOL)
        molarity = bath.salt_g * mol_per_g
        thinned = -molarity / volume_l
        return (
            *(molarity, thinned * by_water, mol_per_g + thinned * by_salt, 0.0, thinned * by_acid),
            self.sd * self.sd,
        )

    def over_crystals(self, bath: RunningBath) -> bool:
        return bath.salt_g > bath.held_g()

    def saturated(self, bath: RunningBath) -> float:
        held = bath.held_g()
        return held / bath.volume(held, STANDARD_C)[0] / sulfate.BLUE_CRYSTALS_G_PER_MOL


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidRead(Reading):
    """Something that tells how much acid is in a litre of the liquid, at 20 °C; each way is a class of its own."""

    unit = "g/L of acid"
    source: ClassVar[str]  # of what turns the reading into acid

    @property
    def reading_sd(self) -> float:
        raise NotImplementedError

    def meets(self, bath: RunningBath) -> None:
        bath.open_acid()

    def model(self, bath: RunningBath) -> Model:
        # titrated is the liquid: crystals on the floor hold none, and the rest has it all
        volume_l, by_water, by_salt, by_acid = bath.liquid()
        g_per_l = bath.acid_g / volume_l
        thinned = -g_per_l / volume_l
        slopes = (thinned * by_water, thinned * by_salt, 0.0, 1 / volume_l + thinned * by_acid)
        return (g_per_l, *slopes, self.reading_sd**2)

    def apply(self, bath: RunningBath) -> None:
        self.meets(bath)
        bath.observe(self.reading, self.model(bath))
        bath.acid_is_known = True
        bath.keep_possible()


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidTitrated(AcidRead):
    """Grams of free sulfuric acid in a litre of the liquid, by titration with lye, or as far as somebody knows."""

    source = "the titration"
    LIMITS = {"sd": (LEAST_SD, sulfuric.MOST_ACID_G_PER_L)}

    g_per_l: float
    sd: float

    @property
    def reading(self) -> float:
        return self.g_per_l

    @property
    def reading_sd(self) -> float:
        return self.sd

    def apply(self, bath: RunningBath) -> None:
        AcidRead.apply(self, bath)
        # somebody who knows says that there is none
        if self.g_per_l == 0 and self.sd <= LEAST_SD:
            bath.know_no_acid()


@dataclass(frozen=True, slots=True, kw_only=True)
class PhRead(AcidRead):
    """A pH, by strip or meter: it tells acid to a factor of two and a half, and that there is next to none well."""

    source = "own estimate of the acid behind a pH, good to a factor of two and a half"

    ph: float

    @property
    def reading(self) -> float:
        return min(sulfuric.acid_from_ph(self.ph), sulfuric.MOST_ACID_G_PER_L)

    @property
    def reading_sd(self) -> float:
        return max(sulfuric.PH_SD_SHARE * self.reading, sulfuric.LEAST_PH_SD_G_PER_L)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bitten(Event):
    """
    Current ran through the bath.

    Copper leaves the plate and gathers opposite: the salt stays, give or take, and the vagueness grows with the
    charge however it is divided into bites.
    """

    charge_ah: float

    def apply(self, bath: RunningBath) -> None:
        variance = SALT_G_PER_SQRT_AH**2 * self.charge_ah
        bath.ss += variance
        # copper that goes in beyond what is plated out takes up acid
        if bath.acid_g:
            bath.sa -= ACID_PER_SALT * variance
            bath.aa += ACID_PER_SALT * ACID_PER_SALT * variance


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingRate(Event):
    """Water an average room would dry off from now on; 0 under a lid. What this room does is learned against it."""

    g_per_day: float

    def apply(self, bath: RunningBath) -> None:
        bath.prior_g_per_day = self.g_per_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubted(Event):
    """Somebody trusts a reading against the book: the spread opens by so much, and the next reading weighs more."""

    water_sd_l: float
    salt_sd_g: float

    def apply(self, bath: RunningBath) -> None:
        bath.add_water(0.0, self.water_sd_l)
        bath.ss += self.salt_sd_g**2


def dissolved_g(water_g: float, salt_g: float, acid_g: float = 0.0, temperature_c: float = STANDARD_C) -> float:
    """
    Return the salt in the clear liquid of a bath; the rest of it lies on the floor. [g]

    Nobody reads a thermometer for a pour, so every pour counts as one at 20 °C.

    Source: mass balance; water_and_salt.saturation_g_per_g, sulfuric.soluble_share.

    >>> round(dissolved_g(1000, 300)), round(dissolved_g(1000, 500)), round(dissolved_g(1000, 500, acid_g=100))
    (300, 354, 297)
    """
    if acid_g == 0.0:
        return min(salt_g, water_g * water_and_salt.saturation_g_per_g(temperature_c))
    share = sulfuric.soluble_share(acid_g / water_g)
    return min(salt_g, water_g * water_and_salt.saturation_g_per_g(temperature_c) * share)
