"""
What the book thinks of a bath after an event.

Five figures are carried from event to event: the free water, the salt, how much faster or slower this room dries a
tank than an average one, how far this studio's hydrometer reads off, and sulfuric acid. Salt is counted as blue
crystals (CuSO4·5H2O), which bring their own five waters; free water is all the other water; acid is counted pure.

Strength is grams of blue crystals per litre of bath at 20 °C, as if every crystal were dissolved; `settle` says what
lies on the floor when the bath is cold. `_sd` is one standard deviation.
"""

from dataclasses import dataclass
from math import hypot, sqrt
from typing import NamedTuple, Self

from chemistry.bath.events import STANDARD_C, RunningBath, dissolved_g
from chemistry.bath.kalman_filter import Variances
from chemistry.measured import Measured, total
from chemistry.sentences import Sentence
from chemistry.solution import sulfate, sulfuric, water_and_salt
from chemistry.working import Input


@dataclass(frozen=True, kw_only=True)
class BathState:
    """
    What the book thinks of the bath after an event; enough to read the log on from here.

    prior_g_per_day: water an average room would dry off now; drying_factor is this room against it.
    acid_is_known: whether anybody said how much there is, or that there is none; else it counts as none.
    variances: the upper triangle, row by row, of the covariance of water [g], salt [g], drying factor [-], hydrometer
    offset [SG] and acid [g], in this order.
    """

    day: float
    water_g: float
    salt_g: float
    drying_factor: float
    hydrometer_offset: float
    prior_g_per_day: float
    variances: Variances
    acid_g: float = 0.0
    acid_is_known: bool = True

    @property
    def covariance(self) -> tuple[tuple[float, ...], ...]:
        ww, ws, wf, wo, wa, ss, sf, so, sa, ff, fo, fa, oo, oa, aa = self.variances
        return (
            (ww, ws, wf, wo, wa),
            (ws, ss, sf, so, sa),
            (wf, sf, ff, fo, fa),
            (wo, so, fo, oo, oa),
            (wa, sa, fa, oa, aa),
        )

    @property
    def mass_fraction(self) -> float:
        """Share of anhydrous CuSO4 by mass."""
        return sulfate.ANHYDROUS_PER_BLUE * self.salt_g / self.mass_g

    @property
    def mass_g(self) -> float:
        return self.water_g + self.salt_g + self.acid_g

    @property
    def has_acid(self) -> bool:
        return self.acid_g > 0 or self.variances[-1] > 0

    @property
    def may_hold_acid(self) -> bool:
        """Whether there is some, or nobody said that there is none."""
        return self.has_acid or not self.acid_is_known

    @property
    def acid_g_per_l(self) -> float:
        return self.acid_g / self.volume_l

    @property
    def acid_sd_g_per_l(self) -> float:
        volume_l, *slopes = self.volume()
        thinned = -self.acid_g / volume_l**2
        return self.sd_of(thinned * slopes[0], thinned * slopes[1], 1 / volume_l + thinned * slopes[2])

    def volume(self, salt_g: float | None = None, temperature_c: float = STANDARD_C) -> tuple[float, ...]:
        """Of its water, its acid and its salt, or of so much salt, with the slopes by all three. [L, L/g, L/g, L/g]"""
        return self.running().volume(self.salt_g if salt_g is None else salt_g, temperature_c)

    @property
    def volume_l(self) -> float:
        return self.volume()[0]

    @property
    def density_share_sd(self) -> float:
        """How far volume and strength are off where the density's formula was not compared with tables."""
        g_per_ml = self.mass_g / self.volume_l / 1000
        beyond = water_and_salt.density_sd(self.water_g, self.salt_g, STANDARD_C) - sulfate.VERIFIED_SD_G_PER_ML
        added = sulfuric.ACID_SD_SHARE * max(0.0, 1 - 1000 * g_per_ml * self.volume()[3]) * self.acid_g_per_l / 1000
        return (beyond + added) / g_per_ml

    @property
    def strength_g_per_l(self) -> float:
        return self.salt_g / self.volume_l

    @property
    def liquid_g_per_l(self) -> float:
        """What a litre of its clear liquid weighs, at 20 °C."""
        held_g = dissolved_g(self.water_g, self.salt_g, self.acid_g)
        return (self.water_g + held_g + self.acid_g) / self.volume(held_g)[0]

    @property
    def volume_sd_l(self) -> float:
        volume_l, *slopes = self.volume()
        return hypot(self.sd_of(*slopes), self.density_share_sd * volume_l)

    @property
    def strength_sd_g_per_l(self) -> float:
        return hypot(self.sd_of(*self.strength_slopes), self.density_share_sd * self.strength_g_per_l)

    @property
    def strength_slopes(self) -> tuple[float, float, float]:
        """Of the strength by water, salt and acid. [1/L]"""
        volume_l, by_water, by_salt, by_acid = self.volume()
        thinned = -self.salt_g / volume_l**2
        return thinned * by_water, 1 / volume_l + thinned * by_salt, thinned * by_acid

    def measured(self, error: str = "") -> "MeasuredBath":
        """
        What the bath is, as values that share its errors: litres and strength of one bath are wrong together.

        error: the name of the bath. Its water and its salt are then wrong alike at all of its moments. That is an
        assumption, not derived: between two readings an error does stay in the bath, and a reading takes away some of
        it that earlier moments keep. What is summed over moments comes out a little too wide, never too narrow.
        """
        ww, ws, _, _, wa, ss, _, _, sa, *_, aa = self.variances
        salt_sd = sqrt(max(0.0, ss))
        # by hand, and not by the library's own matrices: those would bring in numpy
        with_salt = ws / salt_sd if salt_sd else 0.0
        alone = sqrt(max(0.0, ww - with_salt * with_salt))
        acid_with_salt = sa / salt_sd if salt_sd else 0.0
        acid_with_water = (wa - acid_with_salt * with_salt) / alone if alone else 0.0
        acid_alone = sqrt(max(0.0, aa - acid_with_salt**2 - acid_with_water**2))

        def off_by(what: str) -> Measured:
            return Measured(0.0, 1.0, "g", error=f"{what} of {error}" if error else "")

        salt_off, water_off = off_by("salt"), off_by("water")
        salt_off_g = salt_off * salt_sd
        water_off_g = salt_off * with_salt + water_off * alone
        acid_off_g = salt_off * acid_with_salt + water_off * acid_with_water
        if acid_alone:
            acid_off_g += off_by("acid") * acid_alone
        # the density's own error is one for every sum that asks for this bath
        density_off = Measured(0.0, self.density_share_sd, "-", error=f"density of {error}" if error else "")

        def moved(value: float, unit: str, by_water: float, by_salt: float, by_acid: float) -> Measured:
            offs = zip((water_off_g, salt_off_g, acid_off_g), (by_water, by_salt, by_acid), strict=True)
            return total([Measured(value, unit=unit), *(off.times(slope, unit) for off, slope in offs)], unit)

        volume_l, *slopes = self.volume()
        volume = moved(volume_l, "L", *slopes) + density_off.times(volume_l, "L")
        strength_g_per_l = self.salt_g / volume_l
        strength = moved(strength_g_per_l, "g/L", *self.strength_slopes) - density_off.times(strength_g_per_l, "g/L")
        return MeasuredBath(
            volume=volume,
            strength=strength,
            salt=moved(self.salt_g, "g", 0.0, 1.0, 0.0),
            copper=moved(sulfate.COPPER_PER_BLUE * self.salt_g, "g", 0.0, sulfate.COPPER_PER_BLUE, 0.0),
        )

    @property
    def drying_g_per_day(self) -> float:
        """Water this room dries off now, as far as learned."""
        return self.prior_g_per_day * self.drying_factor

    @property
    def water(self) -> Input:
        """Its free water, as the workings show it."""
        return Input(name=Sentence("water"), value=self.water_g, unit="g", sd=self.sd_of(1.0, 0.0))

    @property
    def salt(self) -> Input:
        """Its salt, as the workings show it."""
        return Input(name=Sentence("salt"), value=self.salt_g, unit="g of blue crystals", sd=self.sd_of(0.0, 1.0))

    @property
    def masses(self) -> tuple[Input, ...]:
        """What it is made of; acid only where there may be some."""
        acid = Input(name=Sentence("acid"), value=self.acid_g, unit="g H2SO4", sd=self.sd_of(0.0, 0.0, 1.0))
        return (self.water, self.salt, acid) if self.has_acid else (self.water, self.salt)

    @property
    def mass_share_sd(self) -> float:
        """Of blue crystals in the bath by mass."""
        by_other = -self.salt_g / self.mass_g**2
        return self.sd_of(by_other, by_other + 1 / self.mass_g, by_other)

    @property
    def drying_factor_sd(self) -> float:
        return sqrt(max(0.0, self.variances[9]))

    @property
    def drying_sd_g_per_day(self) -> float:
        return self.prior_g_per_day * self.drying_factor_sd

    def sd_of(self, by_water: float, by_salt: float, by_acid: float = 0.0) -> float:
        """The spread of something that has these slopes by water, salt and acid."""
        ww, ws, _, _, wa, ss, _, _, sa, *_, aa = self.variances
        variance = by_water * by_water * ww + 2 * by_water * by_salt * ws + by_salt * by_salt * ss
        variance += by_acid * (by_acid * aa + 2 * (by_water * wa + by_salt * sa))
        # rounding may leave the variance a hair below nought, where it has no root
        return sqrt(max(0.0, variance))

    def running(self) -> RunningBath:
        """The filter to read the log on with from here."""
        return RunningBath(
            day=self.day,
            water_g=self.water_g,
            salt_g=self.salt_g,
            factor=self.drying_factor,
            offset=self.hydrometer_offset,
            acid_g=self.acid_g,
            acid_is_known=self.acid_is_known,
            prior_g_per_day=self.prior_g_per_day,
            variances=self.variances,
        )

    @classmethod
    def of_running(cls, bath: RunningBath) -> Self:
        state = cls.__new__(cls)
        # a frozen dataclass sets its fields one by one, which would take a third of the replay
        vars(state).update(
            day=bath.day,
            water_g=bath.water_g,
            salt_g=bath.salt_g,
            drying_factor=bath.factor,
            hydrometer_offset=bath.offset,
            prior_g_per_day=bath.prior_g_per_day,
            variances=bath.variances,
            acid_g=bath.acid_g,
            acid_is_known=bath.acid_is_known,
        )
        return state


class MeasuredBath(NamedTuple):
    """Volume and strength at 20 °C, salt as blue crystals, and the copper in it, dissolved or on the floor."""

    volume: Measured
    strength: Measured
    salt: Measured
    copper: Measured
