"""
What leaves a bath with its liquid and with crystals off its floor.

The bath, the drum that it goes into and the copper balance all ask here, so that none of them finds copper that
another has lost.
"""

from dataclasses import dataclass, replace

from chemistry import bath
from chemistry.bath import Adopted, BathState, SolutionAdded, TakenOut
from chemistry.bath.events import ACID_UNASKED_G_PER_L, LEAST_BATH_L, STANDARD_C, STRONGEST_G_PER_L, dissolved_g
from chemistry.measured import Measured
from chemistry.solution import sulfate, sulfuric

NO_ACID = Measured(0.0, unit="g/L")
SATURATED_SD_SHARE = 0.03  # liquid over crystals may be 3 °C off the 20 °C that a pour is counted at: own estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """
    What an event took out of a bath.

    litres: as measured, with the error of that; liquid_l: of it as much as the book had. [L]
    strength: of the liquid; crystals_copper: of what was lifted off the floor. [g/L, g]
    density: of the liquid at 20 °C. [g/mL]
    acid_strength: sulfuric acid in a litre of the liquid, as far as anybody said. [g/L]
    acid_is_known: whether anybody said how much there is, or that there is none.
    """

    litres: Measured
    liquid_l: float
    strength: Measured
    crystals_copper: Measured
    density: Measured
    acid_strength: Measured = NO_ACID
    acid_is_known: bool = True

    @property
    def copper(self) -> Measured:
        return self.copper_in(self.litres)

    @property
    def acid(self) -> Measured:
        return self.acid_in(self.litres)

    def copper_in(self, litres: Measured) -> Measured:
        """
        The copper in some of what was taken out: at most all of it. [g]

        litres: as measured where they went, so that they and their copper are wrong together.
        """
        liquid = self.liquid_in(litres).times(self.strength, "g")
        return liquid * sulfate.COPPER_PER_BLUE + self.crystals_copper * self.share_in(litres)

    def acid_in(self, litres: Measured) -> Measured:
        """The sulfuric acid in some of what was taken out; crystals hold none. [g]"""
        return self.liquid_in(litres).times(self.acid_strength, "g")

    def share_in(self, litres: Measured) -> float:
        """How much of all that was taken out some of it is. [-]"""
        return min(1.0, litres.value / self.litres.value) if self.litres.value else 1.0

    def liquid_in(self, litres: Measured) -> Measured:
        """The bath in some of what was taken out. [L]"""
        if not litres.value:
            return Measured(0.0, unit="L")
        share = self.share_in(litres)
        poured = litres * (share * self.liquid_l / litres.value)
        # more than the book had: where the rest came from nobody knows, so it may have been bath as well
        return poured + Measured(0.0, max(0.0, share * (self.litres.value - self.liquid_l)), "L")


def taken_out(event: TakenOut, before: BathState, *, error: str = "", litres_error: str = "") -> Removal:
    """
    Return what an event takes out of a bath, by the bath before it: as much as its own log loses. [L, g/L, g, g/mL]

    error: the name of the bath, whose error all that is taken out of it shares.
    litres_error: of a way of guessing litres that is wrong for all alike, as of drips.

    Source: mass balance of water and of salt.

    >>> from chemistry.bath import Removed
    >>> over = bath.replay([bath.Mixed(day=0, water_l=2.7, salt_g=1200)])[-1]
    >>> after = bath.replay([Removed(day=1, litres=1)], start=over)[-1]
    >>> removal = taken_out(Removed(day=1, litres=1), over)
    >>> print(f"{removal.copper.value:.1f} g of {sulfate.COPPER_PER_BLUE * (over.salt_g - after.salt_g):.1f} g")
    79.2 g of 79.2 g
    """
    # the water that dried off since makes the same litre stronger
    then = bath.forecast(before, days=event.day - before.day)
    after = bath.replay([event], start=before)[-1]
    crystals_g = min(event.crystals_g, then.salt_g)
    salt_g = then.salt_g - crystals_g
    held_g = dissolved_g(then.water_g, salt_g, then.acid_g)
    liquid_l = then.volume(held_g)[0]
    g_per_l = held_g / liquid_l
    # over crystals the liquid is saturated, however much lies below: the strength of the whole bath tells nothing of it
    if held_g < salt_g:
        strength = Measured(g_per_l, SATURATED_SD_SHARE * g_per_l, "g/L")
    else:
        strength = then.measured(error).strength
        # crystals that came out first left it weaker
        strength = strength * (g_per_l / strength.value) if strength.value else strength
    poured_g = salt_g - after.salt_g
    weighs_g_per_l = (then.water_g + held_g + then.acid_g) / liquid_l
    litres, litres_sd = event.litres_at(weighs_g_per_l)
    share_g = event.crystals_sd_g * crystals_g / event.crystals_g if event.crystals_g else 0.0
    return Removal(
        litres=Measured(litres, litres_sd, "L", error=litres_error),
        liquid_l=poured_g / g_per_l if g_per_l else litres,
        strength=strength,
        crystals_copper=Measured(crystals_g, share_g, "g") * sulfate.COPPER_PER_BLUE,
        density=Measured(weighs_g_per_l / 1000, unit="g/mL"),
        acid_strength=then.measured(error).acid_strength if then.has_acid else NO_ACID,
        acid_is_known=then.acid_is_known,
    )


def poured_into(taken: TakenOut, source: BathState, target: BathState | None) -> SolutionAdded | Adopted:
    """
    Return what a pour brings another bath: the clear liquid of the first, whose crystals stay on its floor.

    As much of it as the first loses by its own log, on the day of the pour. target: what it goes into, before it; None
    for a tank of which nothing is known, which is begun by it.

    Source: mass balance of water, salt and acid.

    >>> strong, weak = (bath.replay([bath.Mixed(day=0, water_l=5, salt_g=grams)])[-1] for grams in (1500, 500))
    >>> brought = poured_into(bath.Removed(day=1, litres=2), strong, weak)
    >>> round(brought.litres, 1), round(brought.strength_g_per_l)
    (2.0, 269)
    """
    then = bath.forecast(source, days=taken.day - source.day)
    removed = taken_out(replace(taken, day=then.day), then)
    poured, strength = removed.liquid_in(removed.litres), removed.strength
    acid_sd_g_per_l = then.acid_sd_g_per_l
    # nobody said whether there is any: a bath of which that is known is less known from then on
    if target and target.acid_is_known and not then.acid_is_known:
        acid_sd_g_per_l = ACID_UNASKED_G_PER_L
    # dried down it may be stronger and sourer than any event can tell
    strength_g_per_l, strength_sd_g_per_l = (min(each, STRONGEST_G_PER_L) for each in (strength.value, strength.sd))
    acid_g_per_l = then.acid_g / bath.settle(then, temperature_c=STANDARD_C).liquid_volume_l
    acid_g_per_l, acid_sd_g_per_l = (min(each, sulfuric.MOST_ACID_G_PER_L) for each in (acid_g_per_l, acid_sd_g_per_l))
    if target:
        return SolutionAdded(
            day=taken.day,
            litres=poured.value,
            sd_l=poured.sd,
            strength_g_per_l=strength_g_per_l,
            strength_sd_g_per_l=strength_sd_g_per_l,
            acid_g_per_l=acid_g_per_l,
            acid_sd_g_per_l=acid_sd_g_per_l,
        )
    return Adopted(
        day=taken.day,
        volume_l=max(poured.value, LEAST_BATH_L),
        volume_sd_l=poured.sd,
        strength_g_per_l=strength_g_per_l,
        strength_sd_g_per_l=strength_sd_g_per_l,
        acid_g_per_l=acid_g_per_l if then.acid_is_known else None,
        acid_sd_g_per_l=acid_sd_g_per_l,
    )
