"""
What the book thinks of a bath after an event.

Five figures are carried from event to event: the free water, the salt, how much faster or slower this room dries a
tank than an average one, how far this studio's hydrometer reads off, and sulfuric acid. Salt is counted as blue
crystals (CuSO4·5H2O), which bring their own five waters; free water is all the other water; acid is counted pure.

Strength is grams of blue crystals per litre of bath at 20 °C, as if every crystal were dissolved; `settle` says what
lies on the floor when the bath is cold. `_sd` is one standard deviation.
"""

from dataclasses import dataclass
from functools import cached_property
from math import hypot, sqrt
from typing import Self

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
        """In a litre of its clear liquid, which has all of it."""
        return self.acid_g / self.liquid_l

    @property
    def liquid_l(self) -> float:
        """Its clear liquid at 20 °C, over whatever lies on the floor."""
        return self.running().liquid()[0]

    @property
    def acid_sd_g_per_l(self) -> float:
        return self.sd_of(*self.acid_slopes)

    @property
    def acid_slopes(self) -> tuple[float, float, float]:
        """Of the acid in a litre of its liquid by water, salt and acid. [1/L]"""
        volume_l, by_water, by_salt, by_acid = self.running().liquid()
        thinned = -self.acid_g / volume_l**2
        return thinned * by_water, thinned * by_salt, 1 / volume_l + thinned * by_acid

    def volume(self, salt_g: float | None = None, temperature_c: float = STANDARD_C) -> tuple[float, ...]:
        """Of its water, its acid and its salt, or of so much salt, with the slopes by all three. [L, L/g, L/g, L/g]"""
        if salt_g is None and temperature_c == STANDARD_C:
            return self.volume_as_it_is
        return self.running().volume(self.salt_g if salt_g is None else salt_g, temperature_c)

    @cached_property
    def volume_as_it_is(self) -> tuple[float, ...]:
        # almost every figure of a bath asks for it
        return self.running().volume(self.salt_g, STANDARD_C)

    @property
    def volume_l(self) -> float:
        return self.volume()[0]

    @property
    def density_share_sd(self) -> float:
        """How far volume and strength are off where the density's formula was not compared with tables."""
        g_per_ml = self.mass_g / self.volume_l / 1000
        beyond = water_and_salt.density_sd(self.water_g, self.salt_g, STANDARD_C) - sulfate.VERIFIED_SD_G_PER_ML
        added = (
            sulfuric.ACID_SD_SHARE
            * max(0.0, 1 - 1000 * g_per_ml * self.volume()[3])
            * self.acid_g
            / self.volume_l
            / 1000
        )
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
        return MeasuredBath(self, error)

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


@dataclass(frozen=True)
class MeasuredBath:
    """Volume, strength and acid at 20 °C, salt as blue crystals, and the copper in it, dissolved or on the floor."""

    state: BathState
    error: str

    @cached_property
    def volume(self) -> Measured:
        volume_l, *slopes = self.state.volume()
        return self.moved(volume_l, "L", *slopes) + self.density_off.times(volume_l, "L")

    @cached_property
    def strength(self) -> Measured:
        strength_g_per_l = self.state.strength_g_per_l
        strength = self.moved(strength_g_per_l, "g/L", *self.state.strength_slopes)
        return strength - self.density_off.times(strength_g_per_l, "g/L")

    @cached_property
    def acid_strength(self) -> Measured:
        """In a litre of its clear liquid."""
        return self.moved(self.state.acid_g_per_l, "g/L", *self.state.acid_slopes)

    @cached_property
    def salt(self) -> Measured:
        return self.moved(self.state.salt_g, "g", 0.0, 1.0, 0.0)

    @cached_property
    def copper(self) -> Measured:
        return self.salt * sulfate.COPPER_PER_BLUE

    @cached_property
    def density_off(self) -> Measured:
        """The density's own error is one for every sum that asks for this bath."""
        return Measured(0.0, self.state.density_share_sd, "-", error=self.named("density"))

    @cached_property
    def offs(self) -> list[tuple[Measured, float, float, float]]:
        """Errors that have nothing to do with each other, each with what water, salt and acid have of it. [g]"""
        ww, ws, _, _, wa, ss, _, _, sa, *_, aa = self.state.variances
        # by hand, and not by the library's own matrices: those would bring in numpy
        salt_sd = sqrt(max(0.0, ss))
        with_salt, acid_with_salt = (ws / salt_sd, sa / salt_sd) if salt_sd else (0.0, 0.0)
        alone = sqrt(max(0.0, ww - with_salt * with_salt))
        acid_with_water = (wa - acid_with_salt * with_salt) / alone if alone else 0.0
        acid_alone = sqrt(max(0.0, aa - acid_with_salt**2 - acid_with_water**2))
        shares = {
            "salt": (with_salt, salt_sd, acid_with_salt),
            "water": (alone, 0.0, acid_with_water),
            "acid": (0.0, 0.0, acid_alone),
        }
        return [
            (Measured(0.0, 1.0, "-", error=self.named(name)), *share) for name, share in shares.items() if any(share)
        ]

    def named(self, what: str) -> str:
        return f"{what} of {self.error}" if self.error else ""

    def moved(self, value: float, unit: str, by_water: float, by_salt: float, by_acid: float) -> Measured:
        """A value that has these slopes by water, salt and acid."""
        parts = [Measured(value, unit=unit)]
        for off, water_g, salt_g, acid_g in self.offs:
            if moves := by_water * water_g + by_salt * salt_g + by_acid * acid_g:
                parts.append(off.times(moves, unit))
        return total(parts, unit)
