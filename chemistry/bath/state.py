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
from typing import Self

from chemistry.bath.events import STANDARD_C, RunningBath
from chemistry.bath.kalman_filter import Covariance
from chemistry.solution import water_and_salt
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
    def volume_sd_l(self) -> float:
        _, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        return self.sd_of(by_water, by_salt)

    @property
    def strength_sd_g_per_l(self) -> float:
        volume_l, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        strength = self.salt_g / volume_l
        return self.sd_of(-strength * by_water / volume_l, (1 - strength * by_salt) / volume_l)

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

    def sd_of(self, by_water: float, by_salt: float) -> float:
        """The spread of something that has these slopes by water and by salt."""
        (ww, ws, _, _), (_, ss, _, _), _, _ = self.covariance
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
