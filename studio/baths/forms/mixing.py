"""What goes in: water and crystals, mixed anew or topped up; and what is asked of the planner."""

from collections.abc import Iterable

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import BathState, replay
from chemistry.bath.events import LEAST_BATH_L
from chemistry.measured import plain
from chemistry.quantity import quantity
from chemistry.ranges import OutOfRange
from chemistry.solution import sulfate, sulfuric
from inventory.dates import day_of_year
from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths import acid as stock
from studio.baths import dipstick, plan, salt
from studio.baths.acid import soured
from studio.baths.fields import CrystalsField, LevelField, StrengthField, TemperatureField, VolumeField
from studio.baths.forms.acid import TakingAcidForm
from studio.baths.forms.base import read_in
from studio.baths.forms.pouring import LidField
from studio.baths.mixing import Mix, Recipe
from studio.baths.models import Bath
from studio.baths.plan import Plan, Way
from studio.baths.salt import Portion
from studio.pages.fields import NumberField, PlainForm, ask_for_what_is_needed
from studio.pages.quantities import Units, grams, with_spread

Use = Material.BathUse
JARS_AT_HAND = 3


class FromTheShelfForm(TakingAcidForm):
    """Water from the tap or a container, acid, and salt: a field for each jar of it, the oldest open first."""

    water_l = VolumeField(required=False, label=gettext_lazy("Water"))
    temperature_c = TemperatureField(label=gettext_lazy("Temperature of the water"))

    def __init__(self, *args, water_l: float = 0.0, salt_g: float = 0.0, acid_g_per_l: float | None = None, **kwargs):
        """water_l, salt_g, acid_g_per_l: what is offered to begin with."""
        super().__init__(*args, **kwargs)
        if acid_g_per_l:
            self.fields["acid"].initial = (acid_g_per_l, "g/L")
        # a field for each jar, so that what was taken from which is never guessed
        shelf = list(Container.objects.for_bath(*Material.BATH_SALTS, Use.WATER))
        self.jars = {f"salt_{jar.pk}": jar for jar in shelf if jar.material.bath_use != Use.WATER}
        offered = list(salt.from_the_shelf(salt_g, self.jars.values()))
        # what is offered out of a jar of powder binds water of its own
        water_l += sum(portion.takes_up_g for portion in offered) / 1000
        self.offer_water(water_l, [vessel for vessel in shelf if vessel.material.bath_use == Use.WATER])
        self.offer_salt(offered)

    @property
    def jars_at_hand(self):
        """The first few jars, and any other that salt is taken from."""
        fields = [self[name] for name in self.jars]
        return [field for place, field in enumerate(fields) if place < JARS_AT_HAND or is_taken_from(field)]

    @property
    def other_jars(self):
        at_hand = [field.name for field in self.jars_at_hand]
        return [self[name] for name in self.jars if name not in at_hand]

    @property
    def cup_weighs(self) -> str:
        return salt.cup_weighs(self.units.cups)

    @property
    def is_salted(self) -> bool:
        return any(is_taken_from(self[name]) for name in self.jars)

    def clean(self):
        super().clean()
        try:
            self.portions = list(self.portions_taken(self.cleaned_data))
        except Refused as refusal:
            self.refuse(refusal)

    def facts(self) -> dict:
        typed = self.cleaned_data
        return super().facts() | {
            "water_l": typed["water_l"] or 0.0,
            "water_from": typed["water_from"],
            "temperature_c": typed["temperature_c"],
            "salt": self.portions,
            "by_cups": self.by_cups,
        }

    def refuse(self, refusal: Refused) -> None:
        """What is said of the salt stands beside the first jar that was taken from."""
        # no field is called salt: the refusal stands where somebody typed
        if refusal.field == "salt" and self.jars:
            taken = [name for name in self.jars if is_taken_from(self[name])]
            refusal.field = (taken or list(self.jars))[0]
        super().refuse(refusal)

    def offer_water(self, water_l: float, vessels: Iterable[Container]) -> None:
        known = {str(vessel.pk): vessel for vessel in vessels}
        choices = [
            ("", _("the tap")),
            *(
                (
                    pk,
                    _("%(vessel)s, %(shown_on_hand)s left")
                    % {"vessel": vessel, "shown_on_hand": vessel.shown_on_hand()},
                )
                for pk, vessel in known.items()
            ),
        ]
        water_from = forms.TypedChoiceField(
            label=_("Water from"), required=False, choices=choices, coerce=known.get, empty_value=None
        )
        self.add("water_from", water_from)
        self.fields["temperature_c"].initial = min(max(self.bath.air_c, 0.0), sulfate.WARMEST_C)
        if water_l:
            self.fields["water_l"].initial = (round(water_l, 2), "L")

    def offer_salt(self, portions: Iterable[Portion]) -> None:
        offered = {portion.container: portion.amount for portion in portions}
        for name, jar in self.jars.items():
            initial = (round(grams(offered[jar])), "g") if jar in offered else None
            self.add(name, CrystalsField(required=False, label=str(jar), help_text=left_in(jar), initial=initial))

    def portions_taken(self, typed: dict) -> Iterable[Portion]:
        self.by_cups = False
        for name, jar in self.jars.items():
            quantity = typed.get(name)
            if not quantity or not quantity.amount:
                continue
            if quantity.dimension == "volume":
                self.by_cups = True
                yield salt.scooped(jar, quantity.amount)
            else:
                yield Portion(jar, quantity.amount)


class MixForm(FromTheShelfForm):
    water_l = VolumeField(
        label=gettext_lazy("Water"), error_messages={"required": gettext_lazy("Water comes first: say how much.")}
    )
    lid_on = LidField(label=gettext_lazy("Afterwards the lid is"), initial="on")

    mix: Mix | None = None
    first_button = "work_out"

    def clean(self):
        super().clean()
        if not self.errors:
            try:
                self.mix = self.worked_out(self.cleaned_data)
            except Refused as refusal:
                self.refuse(refusal)
            except OutOfRange as error:
                self.refuse_figure(error, self.units)

    def facts(self) -> dict:
        return super().facts() | {"lid_on": self.cleaned_data["lid_on"]}

    def worked_out(self, typed: dict) -> Mix:
        water_l, temperature_c = typed["water_l"] or 0.0, typed["temperature_c"]
        mixed = salt.mixed_from(water_l=water_l, salt=self.portions, temperature_c=temperature_c, by_cups=self.by_cups)
        [clear] = replay([mixed])
        poured = self.portion.poured_into(clear) if self.portion else None
        return Mix(
            bath=self.bath,
            units=self.units,
            state=soured(clear, poured),
            acid=poured,
            water_l=water_l,
            temperature_c=temperature_c,
            salt=self.portions,
            by_cups=self.by_cups,
        )


class TopUpForm(FromTheShelfForm):
    salt_anyway = forms.CharField(
        required=False, max_length=200, label=gettext_lazy("Why the crystals go in all the same")
    )
    weak_anyway = forms.BooleanField(required=False, label=gettext_lazy("Add the water all the same"))

    ANYWAY = ("salt_anyway", "weak_anyway")

    def facts(self) -> dict:
        return super().facts() | {name: self.cleaned_data[name] for name in self.ANYWAY}

    @property
    def questions(self):
        """What the book asked once and is told again."""
        return [self[name] for name in self.ANYWAY if self[name].errors or self[name].value()]


class AskedForm(PlainForm):
    """A question to the planner, asked by GET: it has an address and writes nothing."""

    def __init__(self, *args, units: Units, **kwargs):
        super().__init__(*args, **kwargs)
        ask_for_what_is_needed(self.fields.values())
        read_in(self.fields.values(), units)


class WantedForm(AskedForm):
    """What a bath should come to."""

    level = LevelField(label=gettext_lazy("Level wanted"))
    way = forms.ChoiceField(label=gettext_lazy("With"), choices=Way, widget=forms.RadioSelect)
    strength = StrengthField(
        label=gettext_lazy("Strength wanted"),
        required=False,
        help_text=gettext_lazy(
            "Leave it empty for the middle of its range; with crystals only, for its top where it is past that."
        ),
    )

    acid = NumberField(
        required=False,
        low=0,
        high=sulfuric.MOST_ACID_G_PER_L,
        unit="g/L",
        label=gettext_lazy("Acid wanted"),
    )

    def __init__(self, *args, bath: Bath, state: BathState, **kwargs):
        super().__init__(*args, **kwargs)
        self.bath, self.state = bath, state
        if state.has_acid:
            holds = with_spread(state.acid_g_per_l, state.acid_sd_g_per_l, "g/L")
            self.fields["acid"].help_text = _("It holds %(holds)s now. Left empty, none goes in.") % {"holds": holds}
        else:
            del self.fields["acid"]
        self.stick = dipstick.dipstick_of(bath)
        self.usual_way = plan.usual_way(bath, state, bath.fill_l)
        self.fields["level"].initial = (bath.fill_l, "L")
        self.fields["level"].help_text = _("Usually %(fill_l)s, %(depth_cm)s.") % {
            "fill_l": quantity(bath.fill_l, "L", 3),
            "depth_cm": quantity(self.stick.depth_cm(bath.fill_l), "cm", decimals=1),
        }
        self.fields["way"].initial = self.usual_way

    def plan(self) -> Plan | None:
        """The plan that was asked for, the usual one when nothing was; None when it was not understood."""
        if not self.is_bound:
            return plan.usual_top_up(self.bath, self.state)
        if not self.is_valid():
            return None
        typed = self.cleaned_data
        planned = self.plan_for(typed["way"], typed["level"].volume_l(self.stick), typed["strength"])
        return plan.soured_to(planned, typed["acid"]) if typed.get("acid") else planned

    def clean_level(self):
        level = self.cleaned_data["level"]
        volume_l = level.volume_l(self.stick)
        if volume_l < LEAST_BATH_L:
            raise forms.ValidationError(_("Give the level that is wanted; an empty tank needs no top-up."))
        if volume_l > self.bath.rim_l:
            raise forms.ValidationError(
                _("That would stand at %(words)s; %(bath)s runs over at %(rim_l)s.")
                % {"words": level.words(self.stick), "bath": self.bath, "rim_l": quantity(self.bath.rim_l, "L", 3)}
            )
        return level

    def plan_for(self, way: str, volume_l: float, strength_g_per_l: float | None) -> Plan:
        strength_g_per_l = strength_g_per_l or plan.usual_strength(self.bath, self.state, way)
        return plan.top_up(self.bath, self.state, way=way, volume_l=volume_l, strength_g_per_l=strength_g_per_l)


class RecipeForm(AskedForm):
    """How much bath of which strength."""

    volume = VolumeField(label=gettext_lazy("So much bath"))
    strength = StrengthField(label=gettext_lazy("This strong"), low=1, high=330)
    acid = NumberField(
        required=False,
        low=0,
        high=sulfuric.MOST_ACID_G_PER_L,
        unit="g/L",
        label=gettext_lazy("With sulfuric acid"),
    )

    def __init__(self, *args, bath: Bath, **kwargs):
        super().__init__(*args, **kwargs)
        self.bath = bath
        self.usual = Recipe(bath.fill_l, (bath.range_low_g_per_l + bath.range_high_g_per_l) / 2)
        self.fields["volume"].initial = (self.usual.volume_l, "L")
        self.fields["strength"].initial = self.usual.strength_g_per_l

    @property
    def runs_over(self) -> str:
        """What to say at this step already of a recipe that the tank does not hold."""
        recipe = self.recipe()
        if recipe is None or recipe.volume_l <= self.bath.rim_l:
            return ""
        return _("%(bath)s runs over at %(rim_l)s: mix less, or in another tank.") % {
            "bath": self.bath,
            "rim_l": quantity(self.bath.rim_l, "L", 3),
        }

    def recipe(self) -> Recipe | None:
        if not self.is_bound:
            return self.usual
        return self.cleaned_data.get("recipe") if self.is_valid() else None

    def clean(self):
        typed = super().clean()
        if not self.errors and typed["volume"]:
            acid = [stock.strength_at_hand()] if typed["acid"] else []
            recipe = Recipe(typed["volume"], typed["strength"], typed["acid"] or 0.0, *acid)
            if recipe.water_l <= 0:
                words = _("Acid of %(percent)s cannot bring it so far; take a stronger one.")
                self.add_error("acid", words % {"percent": recipe.acid})
            typed["recipe"] = recipe
        return typed


def is_taken_from(field: forms.BoundField) -> bool:
    amount, _ = field.value() or ("", "")
    return bool(amount)


def left_in(jar: Container) -> str:
    """What is in a jar and since when, as somebody reads it who stands before the shelf."""
    opened = _("open since %(opened_on)s") % {"opened_on": day_of_year(jar.opened_on)} if jar.opened_on else _("sealed")
    if jar.use_by_on and jar.use_by_on < timezone.localdate():
        opened = _("%(opened)s, past its use-by") % {"opened": opened}
    places = {"left": jar.shown_on_hand(), "opened": opened, "salt": salt.SAID.get(jar.material.bath_use)}
    if not places["salt"]:
        return _("%(left)s left, %(opened)s") % places
    counts = salt.blue_crystals_per_g(jar.material)
    return _("%(left)s left, %(opened)s; %(salt)s, counts %(counts)s times its weight") % (
        places | {"counts": plain(counts, 2)}
    )
