"""A mix worked out before anything is dissolved, and how much to weigh for one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import bath as bath_model
from chemistry.bath import BathState, figures, topping_up
from chemistry.bath.events import STANDARD_C
from chemistry.quantity import quantity
from chemistry.solution import sulfate, water_and_salt
from chemistry.working import Figure
from studio.baths import salt
from studio.baths.acid import INTO_WATER, USUAL_PERCENT, AcidStrength, PouredAcid, millilitres
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath
from studio.baths.salt import CUP_SD_SHARE, Portion
from studio.baths.status import BathStatus
from studio.pages.quantities import Shown, Units, with_spread

WATER_G_PER_L = 1000 * sulfate.water_density_g_per_ml(STANDARD_C)
A_PINCH_G = 0.5  # less than a kitchen scale tells


@dataclass(frozen=True, kw_only=True)
class Mix:
    """What water and crystals would make in a tank."""

    bath: Bath
    units: Units
    state: BathState
    water_l: float
    temperature_c: float
    salt: Sequence[Portion]
    acid: PouredAcid | None = None
    by_cups: bool = False

    @property
    def acid_in_it(self) -> Shown | None:
        return with_spread(self.state.acid_g_per_l, self.state.acid_sd_g_per_l, "g/L") if self.acid else None

    @property
    def strength(self) -> Shown:
        return self.units.strength(self.state.strength_g_per_l, self.state.strength_sd_g_per_l)

    @property
    def volume(self) -> Shown:
        return with_spread(self.state.volume_l, self.state.volume_sd_l, "L")

    @property
    def per_litre_of_water(self) -> Shown:
        return with_spread(self.state.salt_g / self.water_l, None, "g/L")

    @property
    def strength_figure(self) -> Figure:
        return bath_model.strength(self.state)

    @property
    def status(self) -> BathStatus:
        return BathStatus(bath=self.bath, at=timezone.now(), state=self.state)

    @property
    def notes(self) -> Iterator[tuple[str, str]]:
        """Sentences, each with how much it matters: fine, look or act."""
        rim = quantity(self.bath.rim_l, "L", 3)
        fits = self.state.volume_l <= self.bath.rim_l
        yield (
            (
                "fine",
                _("It fits: %(bath)s holds %(rim)s.") % {"bath": self.bath, "rim": rim},
            )
            if fits
            else ("act", _("%(bath)s runs over at %(rim)s.") % {"bath": self.bath, "rim": rim})
        )
        for portion in (*self.salt, *([self.acid.taken] if self.acid and self.acid.taken else [])):
            jar = portion.container
            if portion.amount > jar.on_hand:
                yield (
                    "act",
                    _("Only %(shown_on_hand)s is in %(code)s.")
                    % {"shown_on_hand": jar.shown_on_hand(), "code": jar.code},
                )
        for portion in self.salt:
            if counted := salt.counted_as_blue(portion):
                yield "look", counted
        if self.acid:
            yield "look", f"{self.acid.words}. {INTO_WATER}"
        if self.by_cups:
            by_cup = with_spread(self.state.salt_g, CUP_SD_SHARE * self.state.salt_g, "g")
            yield "look", _("By the cup that is %(by_cup)s: the scale tells it better.") % {"by_cup": by_cup}
        most = self.units.strength(topping_up.saturated_strength(self.state.acid_g_per_l, coldest_c=self.temperature_c))
        places = {"temperature": self.units.temperature(self.temperature_c), "most": most}
        here = figures.crystals_at(self.state, self.temperature_c)
        # refused before it is mixed: undissolved salt would count in the book and not in the bath
        if here.value >= A_PINCH_G:
            told = _(
                "At %(temperature)s this water holds at most %(most)s: about %(left)s would stay on the floor: "
                "warm it first, or add less."
            )
            yield "act", told % (places | {"left": quantity(here.value, "g", decimals=0)})
        else:
            told = _(
                "At %(temperature)s this water holds at most %(most)s: everything dissolves, given warmth, stirring "
                "and time."
            )
            yield "fine", told % places
        tonight = BathDescription(self.status, self.units).tonight
        yield ("look" if self.status.crystals_tonight or self.status.freezes_tonight else "fine", tonight)

    @property
    def is_possible(self) -> bool:
        return not any(level == "act" for level, _ in self.notes)


@dataclass(frozen=True)
class Recipe:
    """Water and salt for so much bath of a strength, and the acid where it is to hold some, of a bottle so strong."""

    volume_l: float
    strength_g_per_l: float
    acid_g_per_l: float = 0.0
    acid: AcidStrength = AcidStrength(USUAL_PERCENT)

    @property
    def water_l(self) -> float:
        """
        Water at 20 °C, which with the crystals and the acid fills the volume.

        >>> round(Recipe(3.31, 245).water_l, 2), round(Recipe(3.31, 245, 50).water_l, 2)
        (3.0, 2.93)
        """
        water_g_per_l, _ = water_and_salt.water_for(1.0, self.strength_g_per_l, self.acid_g_per_l, STANDARD_C)
        with_the_acid_g = self.acid_stock_g * (1 - self.acid.percent / 100)
        return (self.volume_l * water_g_per_l - with_the_acid_g) / WATER_G_PER_L

    @property
    def acid_stock_g(self) -> float:
        """As weighed out of its bottle."""
        return self.volume_l * self.acid_g_per_l / (self.acid.percent / 100)

    def with_acid(self) -> str:
        """
        >>> Recipe(4, 228, 50).with_acid()
        'Last, into the bath, 208 g (114 mL) of sulfuric acid, 96 %.'
        """
        ml = millilitres(self.acid_stock_g, self.acid.percent)
        shown = {
            "grams": quantity(self.acid_stock_g, "g", decimals=0),
            "ml": quantity(ml, "mL", decimals=0),
            "strength": self.acid,
        }
        return _("Last, into the bath, %(grams)s (%(ml)s) of sulfuric acid, %(strength)s.") % shown

    @property
    def salt_g(self) -> float:
        return self.volume_l * self.strength_g_per_l

    @property
    def powder_g(self) -> float:
        return self.salt_g * salt.PALE_POWDER_PER_BLUE

    @property
    def more_water_l(self) -> float:
        """What pale powder takes up beyond the water that crystals need."""
        return (self.salt_g - self.powder_g) / WATER_G_PER_L

    def with_crystals(self) -> str:
        return _("%(water_l)s of water and %(salt_g)s of blue crystals") % {
            "water_l": quantity(self.water_l, "L", decimals=2),
            "salt_g": quantity(self.salt_g, "g", decimals=0),
        }

    def with_powder(self, cups: str) -> str:
        """
        >>> Recipe(4, 228).with_powder("metric")
        '3.99 L of water and 583 g of pale powder: 330 mL (1.3 cups) more, which the powder takes up'
        """
        whole_l = self.water_l + self.more_water_l
        more = _("%(in_cups)s more, which the powder takes up") % {"in_cups": salt.in_cups(self.more_water_l, cups)}
        return _("%(whole_l)s of water and %(powder_g)s of pale powder: %(more)s") % {
            "whole_l": quantity(whole_l, "L", decimals=2),
            "powder_g": quantity(self.powder_g, "g", decimals=0),
            "more": more,
        }
