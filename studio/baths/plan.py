"""A top-up worked out before anybody lifts a jug."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import bath as bath_model
from chemistry.bath import BathState, CrystalsAdded, Removed, WaterAdded, figures
from chemistry.bath.events import STANDARD_C
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.quantity import quantity
from chemistry.solution import water_and_salt
from chemistry.working import Working
from inventory.refusals import Refused
from studio.baths import acid, salt
from studio.baths.acid import AIMED_AT, AcidPortion, PouredAcid
from studio.baths.models import Bath
from studio.baths.operations import only_water_can_have_left
from studio.baths.status import NOTICEABLE_SHARE
from studio.pages.quantities import Shown, with_spread

A_SIP_L, A_PINCH_G = 0.005, 0.5  # less than a jug and a kitchen scale tell
UNSURE_SHARE = 1 / 3  # of an amount; nobody should weigh by a wider ±: common practice, no source


class Way(models.TextChoices):
    WATER = "water", gettext_lazy("Water only: its strength follows by itself")
    CRYSTALS = "crystals", gettext_lazy("Crystals only")
    BOTH = "both", gettext_lazy("Water and crystals")


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What to take out first, then add; and what the bath is after it."""

    before: BathState
    after: BathState
    water_l: float = 0.0
    salt_g: float = 0.0
    remove_l: float = 0.0
    acid: PouredAcid | None = None
    acid_g_per_l: float = 0.0
    warnings: Sequence[str] = ()
    working: Sequence[Working] = ()

    @property
    def is_unsure(self) -> bool:
        """Whether the crystals are known too badly to weigh them out."""
        return HALF_WIDTH_SDS * self.salt_sd_g > UNSURE_SHARE * self.salt_g > 0

    @property
    def is_ready(self) -> bool:
        """Whether what it adds can be written now, with nothing to be done before."""
        return bool(self.water_l or self.salt_g or self.acid) and not self.remove_l

    @property
    def salt_sd_g(self) -> float:
        return self.before.salt.sd or 0.0

    @property
    def has_nothing_to_do(self) -> bool:
        return not (self.water_l or self.salt_g or self.remove_l or self.acid)

    @property
    def water(self) -> Shown:
        return with_spread(self.water_l, (self.before.water.sd or 0.0) / 1000, "L")

    @property
    def crystals(self) -> Shown:
        return with_spread(self.salt_g, self.salt_sd_g, "g")

    @property
    def deed(self) -> str:
        """What to do in one breath, where one thing is all there is to do."""
        if self.is_ready and not self.salt_g:
            return _("Add %(water_l)s of water") % {"water_l": quantity(self.water_l, "L", 3)}
        if self.is_ready and not self.water_l and not self.is_unsure:
            return _("Add %(salt_g)s of crystals") % {"salt_g": quantity(self.salt_g, "g", 3)}
        return _("Plan the top-up")

    def with_powder(self, cups: str) -> str:
        """The same salt as pale powder, and the water that it takes up beyond what crystals need."""
        powder_g = self.salt_g * salt.PALE_POWDER_PER_BLUE
        more = salt.in_cups((self.salt_g - powder_g) / 1000, cups)
        return _("%(powder_g)s of pale powder with %(more)s more water") % {
            "powder_g": quantity(powder_g, "g", decimals=0),
            "more": more,
        }

    @property
    def workings(self) -> list[tuple[str, Working]]:
        """How each amount that is not nought was worked out, with the question it answers."""
        water, crystals, take_out = self.working or (None, None, None)
        told = [
            (_("How is the take-out worked out?"), self.remove_l, take_out),
            (_("How is the water worked out?"), self.water_l, water),
            (_("How are the crystals worked out?"), self.salt_g, crystals),
        ]
        return [(question, working) for question, amount, working in told if amount and working]

    @property
    def take_out_l(self) -> str:
        """As an address has it."""
        return f"{self.remove_l:.2f}"

    @property
    def take_out(self) -> str:
        return quantity(self.remove_l, "L", decimals=2)


def usual_way(bath: Bath, state: BathState, volume_l: float) -> Way:
    """Water alone where that will do, or leaves it too strong after drying; else both."""
    watered = figures.strength_filled_to(state, max(volume_l, state.volume_l)).value
    if bath.range_low_g_per_l <= watered <= bath.range_high_g_per_l:
        return Way.WATER
    # at its mark nothing has dried: it was mixed too strong, and water alone has no room
    if watered > bath.range_high_g_per_l and volume_l > state.volume_l and only_water_can_have_left(bath):
        return Way.WATER
    return Way.BOTH


def usual_strength(bath: Bath, state: BathState, way: str) -> float:
    """The middle of its range; with crystals alone, which only strengthen, the top of it for a bath past the middle."""
    middle = (bath.range_low_g_per_l + bath.range_high_g_per_l) / 2
    return bath.range_high_g_per_l if way == Way.CRYSTALS and state.strength_g_per_l >= middle else middle


def usual_top_up(bath: Bath, state: BathState) -> Plan:
    """What is planned for a bath while nobody wishes for anything else: back to its mark."""
    way = usual_way(bath, state, bath.fill_l)
    return top_up(bath, state, way=way, volume_l=bath.fill_l, strength_g_per_l=usual_strength(bath, state, way))


def top_up(bath: Bath, state: BathState, *, way: str, volume_l: float, strength_g_per_l: float) -> Plan:
    """What brings a bath to a level and a strength; with water or crystals alone, to one of the two."""

    def nothing(why: str) -> Plan:
        return Plan(before=state, after=state, warnings=(why,))

    higher = _("To weaken it with water, give a higher level: it runs over at %(rim_l)s.") % {
        "rim_l": quantity(bath.rim_l, "L", 3)
    }
    if way == Way.WATER and volume_l <= state.volume_l:
        return nothing(
            _("It stands at %(volume_l)s already; water only lifts it. %(higher)s")
            % {"volume_l": quantity(state.volume_l, "L", 3), "higher": higher}
        )
    if way == Way.WATER and volume_l - state.volume_l < min(
        NOTICEABLE_SHARE * volume_l, HALF_WIDTH_SDS * state.volume_sd_l
    ):
        stands = with_spread(state.volume_l, state.volume_sd_l, "L")
        return nothing(
            _("It stands at %(stands)s already, as near as the book can tell. %(higher)s")
            % {"stands": stands, "higher": higher}
        )
    if way == Way.CRYSTALS and strength_g_per_l <= state.strength_g_per_l:
        return nothing(_("It is as strong as that already; crystals only make it stronger."))
    if way == Way.WATER:
        strength_g_per_l = state.salt_g / volume_l
    # the water stays what it is, so the strength alone tells how full the tank will stand
    if way == Way.CRYSTALS:
        volume_l = state.water_g / water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)[0]
    advice = bath_model.top_up(
        state,
        target_strength_g_per_l=strength_g_per_l,
        target_volume_l=volume_l,
        rim_l=bath.rim_l,
        coldest_c=bath.coldest_c,
    )
    # nobody can measure out less, and a plan that asks for it is never done
    water_l = advice.water_l if advice.water_l >= A_SIP_L else 0.0
    salt_g = advice.salt_g if advice.salt_g >= A_PINCH_G else 0.0
    remove_l = advice.remove_l if advice.remove_l >= A_SIP_L else 0.0
    poured = [Removed(day=state.day, litres=remove_l)] if remove_l else []
    watered = [WaterAdded(day=state.day, litres=water_l)] if water_l else []
    salted = [CrystalsAdded(day=state.day, grams=salt_g)] if salt_g else []
    return Plan(
        before=state,
        # taken out first, or part of what goes in would be poured away again
        after=[state, *bath_model.replay([*poured, *watered, *salted], start=state)][-1],
        water_l=water_l,
        salt_g=salt_g,
        remove_l=remove_l,
        warnings=advice.warnings,
        working=advice.working,
    )


def soured_to(planned: Plan, acid_g_per_l: float) -> Plan:
    """The plan with what acid it takes afterwards; where that cannot be, with the reason."""
    portion = AcidPortion(dimension=AIMED_AT, amount=acid_g_per_l, strength=acid.strength_at_hand())
    try:
        poured = portion.poured_into(planned.after)
        after = acid.soured(planned.after, poured)
    except Refused as refusal:
        return replace(planned, warnings=(*planned.warnings, *refusal.messages))
    return replace(planned, after=after, acid=poured, acid_g_per_l=acid_g_per_l)
