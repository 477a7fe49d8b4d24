"""
What the book thinks of a bath after an event.

Four figures are carried from event to event: the free water, the salt, how much faster or slower this room dries a
tank than an average one, and how far this studio's hydrometer reads off. Salt is counted as blue crystals
(CuSO4·5H2O), which bring their own five waters; free water is all the other water.

Strength is grams of blue crystals per litre of bath at 20 °C, as if every crystal were dissolved; `settle` says what
lies on the floor when the bath is cold. `_sd` is one standard deviation.
"""

from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple, Self

from chemistry.bath.events import STANDARD_C, RunningBath, dissolved_g
from chemistry.bath.kalman_filter import Covariance
from chemistry.measured import Measured
from chemistry.solution import sulfate, water_and_salt
from chemistry.working import Input


@dataclass(frozen=True, kw_only=True)
class BathState:
    """
    What the book thinks of the bath after an event; enough to read the log on from here.

    prior_g_per_day: water an average room would dry off now; drying_factor is this room against it.
    covariance: of water [g], salt [g], drying factor [-] and hydrometer offset [SG], in this order.
    """

    day: float
    water_g: float
    salt_g: float
    drying_factor: float
    hydrometer_offset: float
    prior_g_per_day: float
    covariance: Covariance

    @property
    def mass_fraction(self) -> float:
        """Share of anhydrous CuSO4 by mass."""
        return water_and_salt.mass_fraction(self.water_g, self.salt_g)

    @property
    def volume_l(self) -> float:
        return water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)[0]

    @property
    def strength_g_per_l(self) -> float:
        return self.salt_g / self.volume_l

    @property
    def liquid_g_per_l(self) -> float:
        """What a litre of its clear liquid weighs, at 20 °C."""
        held_g = dissolved_g(self.water_g, self.salt_g)
        return (self.water_g + held_g) / water_and_salt.volume(self.water_g, held_g, STANDARD_C)[0]

    @property
    def volume_sd_l(self) -> float:
        _, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        return self.sd_of(by_water, by_salt)

    @property
    def strength_sd_g_per_l(self) -> float:
        volume_l, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        strength = self.salt_g / volume_l
        return self.sd_of(-strength * by_water / volume_l, (1 - strength * by_salt) / volume_l)

    def measured(self, error: str = "") -> "MeasuredBath":
        """
        What the bath is, as values that share its errors: litres and strength of one bath are wrong together.

        error: the name of the bath. Its water and its salt are then wrong alike at all of its moments. That is an
        assumption, not derived: between two readings an error does stay in the bath, and a reading takes away some of
        it that earlier moments keep. What is summed over moments comes out a little too wide, never too narrow.
        """
        (ww, ws, _, _), (_, ss, _, _), _, _ = self.covariance
        salt_sd = sqrt(max(0.0, ss))
        # by hand, and not by the library's own matrices: those would bring in numpy
        with_salt = ws / salt_sd if salt_sd else 0.0
        alone = sqrt(max(0.0, ww - with_salt * with_salt))
        salt_error, water_error = (f"salt of {error}", f"water of {error}") if error else ("", "")
        salt_off = Measured(0.0, 1.0, "g", error=salt_error)
        salt_off_g = salt_off * salt_sd
        water_off_g = salt_off * with_salt + Measured(0.0, alone, "g", error=water_error)

        volume_l, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        strength = self.salt_g / volume_l

        def moved(value: float, unit: str, by_water: float, by_salt: float) -> Measured:
            return Measured(value, unit=unit) + water_off_g.times(by_water, unit) + salt_off_g.times(by_salt, unit)

        return MeasuredBath(
            volume=moved(volume_l, "L", by_water, by_salt),
            strength=moved(strength, "g/L", -strength * by_water / volume_l, (1 - strength * by_salt) / volume_l),
            salt=moved(self.salt_g, "g", 0.0, 1.0),
            copper=moved(sulfate.COPPER_PER_BLUE * self.salt_g, "g", 0.0, sulfate.COPPER_PER_BLUE),
        )

    @property
    def drying_g_per_day(self) -> float:
        """Water this room dries off now, as far as learned."""
        return self.prior_g_per_day * self.drying_factor

    @property
    def water(self) -> Input:
        """Its free water, as the workings show it."""
        return Input(name="water", value=self.water_g, unit="g", sd=self.sd_of(1.0, 0.0))

    @property
    def salt(self) -> Input:
        """Its salt, as the workings show it."""
        return Input(name="salt", value=self.salt_g, unit="g of blue crystals", sd=self.sd_of(0.0, 1.0))

    @property
    def mass_share_sd(self) -> float:
        """Of blue crystals in the bath by mass."""
        mass_g = self.water_g + self.salt_g
        return self.sd_of(-self.salt_g / mass_g**2, self.water_g / mass_g**2)

    @property
    def drying_factor_sd(self) -> float:
        return sqrt(max(0.0, self.covariance[2][2]))

    @property
    def drying_sd_g_per_day(self) -> float:
        return self.prior_g_per_day * self.drying_factor_sd

    def sd_of(self, by_water: float, by_salt: float) -> float:
        """The spread of something that has these slopes by water and by salt."""
        (ww, ws, _, _), (_, ss, _, _), _, _ = self.covariance
        # rounding may leave the variance a hair below nought, where it has no root
        return sqrt(max(0.0, by_water * by_water * ww + 2 * by_water * by_salt * ws + by_salt * by_salt * ss))

    def running(self) -> RunningBath:
        """The filter to read the log on with from here."""
        return RunningBath(
            day=self.day,
            water_g=self.water_g,
            salt_g=self.salt_g,
            factor=self.drying_factor,
            offset=self.hydrometer_offset,
            prior_g_per_day=self.prior_g_per_day,
            covariance=self.covariance,
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
            covariance=bath.covariance,
        )
        return state


class MeasuredBath(NamedTuple):
    """Volume and strength at 20 °C, salt as blue crystals, and the copper in it, dissolved or on the floor."""

    volume: Measured
    strength: Measured
    salt: Measured
    copper: Measured
