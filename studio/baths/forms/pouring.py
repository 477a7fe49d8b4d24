"""What leaves a bath, what joins it ready-made, and what happens to it meanwhile."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import Removed, RemovedByLevel, RemovedByWeight, SolutionAdded, TakenOut
from chemistry.measured import HALF_WIDTH_SDS
from inventory.refusals import Refused
from studio.baths import dipstick, operations, readings
from studio.baths.event_log import UNDATED
from studio.baths.fields import LevelField, MassField, StrengthField, VolumeField
from studio.baths.forms.base import BathForm
from studio.baths.models import Bath
from studio.pages.fields import NumberField, with_quantities


class PlatesField(forms.IntegerField):
    default_error_messages = {"invalid": gettext_lazy("Give whole plates, such as 3.")}

    def __init__(self, *, low: int = 1, **kwargs):
        super().__init__(
            min_value=low,
            max_value=200,
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
            **kwargs,
        )


class LidField(forms.TypedChoiceField):
    def __init__(self, **kwargs):
        super().__init__(
            widget=forms.RadioSelect,
            choices=[("on", _("Lid on: nothing dries off")), ("off", _("Lid off: water dries off, salt stays"))],
            coerce=lambda value: value == "on",
            **kwargs,
        )


def ml_each_field() -> NumberField:
    return NumberField(
        low=0,
        high=100,
        unit="mL",
        initial=operations.DRIP_ML,
        label=_("What drips off each"),
        help_text=with_quantities(
            gettext_lazy("From %(low)s to %(high)s cling to a plate that is left to drip."),
            low=(4, "mL", 2),
            high=(8, "mL", 2),
        ),
    )


class DripsForm(BathForm):
    plates = PlatesField(label=gettext_lazy("Plates lifted out"))
    ml_each = ml_each_field()


class StrainForm(BathForm):
    class FloorFind:
        NOTHING, POWDER, CRYSTALS_BACK, CRYSTALS_OUT = "nothing", "powder", "back", "out"

    found = forms.ChoiceField(
        label=gettext_lazy("What lay on the floor or in the towel?"),
        widget=forms.RadioSelect,
        choices=[
            (
                FloorFind.POWDER,
                gettext_lazy("Brown powder. It is copper: it goes to the copper-stained solids, the towel with it."),
            ),
            (
                FloorFind.CRYSTALS_BACK,
                gettext_lazy("Blue crystals, put back. They are the bath’s own salt: warm it and stir them in."),
            ),
            (FloorFind.CRYSTALS_OUT, gettext_lazy("Blue crystals, kept out and weighed.")),
            (FloorFind.NOTHING, gettext_lazy("Next to nothing.")),
        ],
    )
    crystals_g = NumberField(
        required=False,
        low=1,
        high=20_000,
        unit="g",
        label=gettext_lazy("Crystals kept out"),
        help_text=gettext_lazy("As weighed, wet."),
    )
    litres = VolumeField(
        label=gettext_lazy("Bath lost with it"),
        initial=(0.1, "L"),
        help_text=gettext_lazy("What stays in towel and filter."),
    )
    crystals_anyway = forms.BooleanField(required=False, label=gettext_lazy("They are blue crystals all the same"))

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        # crystals put back change nothing, so grams of them would take salt out of the book twice
        kept_out = typed.get("found") == self.FloorFind.CRYSTALS_OUT
        if kept_out and typed.get("crystals_g") is None and "crystals_g" not in self.errors:
            self.add_error("crystals_g", _("Weigh what was kept out, so that its salt leaves the book too."))
        if not kept_out and typed.get("crystals_g"):
            self.add_error("found", _("Grams are only given for blue crystals that were kept out."))

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "litres_lost": typed["litres"],
            "crystals_g": typed["crystals_g"] or 0.0,
            "crystals_anyway": typed["crystals_anyway"],
        }


class AmountOutForm(BathForm):
    """How much left the bath, told in one of three ways, each with its own ±."""

    class Told:
        JUG, SCALE, LEVELS = "jug", "scale", "levels"

    TYPED_IN = {"sd_l": "half_width_l", "before_l": "level_before", "after_l": "level_after", "sd_g": "half_width_g"}
    NEEDED = {Told.JUG: ("litres",), Told.SCALE: ("weight",), Told.LEVELS: ("level_before", "level_after")}

    told = forms.ChoiceField(
        label=gettext_lazy("How do you know how much?"),
        widget=forms.RadioSelect,
        choices=[
            (Told.JUG, gettext_lazy("By the jug")),
            (Told.SCALE, gettext_lazy("It was weighed")),
            (Told.LEVELS, gettext_lazy("By the level before and after")),
        ],
        initial=Told.JUG,
    )
    litres = VolumeField(label=gettext_lazy("How much"))
    half_width_l = NumberField(
        required=False,
        low=0.001,
        high=100,
        unit="L",
        label=gettext_lazy("± of it"),
        help_text=gettext_lazy("Left empty, a fifth of it."),
    )
    weight = MassField(label=gettext_lazy("It weighs"), help_text=gettext_lazy("Without the vessel it is in."))
    half_width_g = NumberField(
        required=False,
        low=0.1,
        high=5000,
        unit="g",
        label=gettext_lazy("± of it"),
        help_text=with_quantities(
            gettext_lazy("Left empty, 1 %% and %(mass)s."),
            mass=(2, "g", 1),
        ),
    )
    level_before = LevelField(label=gettext_lazy("Level before"))
    level_after = LevelField(
        label=gettext_lazy("Level after"), help_text=gettext_lazy("Plates and cathodes as they were.")
    )
    level_half_width_l = NumberField(
        required=False,
        low=0.001,
        high=100,
        unit="L",
        label=gettext_lazy("± of each"),
        help_text=with_quantities(
            gettext_lazy("Left empty, %(depth)s of the stick."),
            depth=(2, "mm", 1),
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for told, names in self.NEEDED.items():
            for name in names:
                # the browser is told to ask for all; only the chosen way is held to it
                self.fields[name].required = not self.is_bound or self.data.get("told") == told

    def clean(self):
        typed = super().clean()
        if self.is_told_by_levels and not self.errors and self.levels[0] <= self.levels[1]:
            self.add_error("level_after", _("It stands no lower than before; look again at both."))
        return typed

    @property
    def is_told_by_levels(self) -> bool:
        return self.cleaned_data.get("told") == self.Told.LEVELS

    @property
    def levels(self) -> tuple[float, float]:
        stick = dipstick.dipstick_of(self.bath)
        return (
            self.cleaned_data["level_before"].volume_l(stick),
            self.cleaned_data["level_after"].volume_l(stick),
        )

    @property
    def taken(self) -> TakenOut:
        typed = self.cleaned_data
        if self.is_told_by_levels:
            before_l, after_l = self.levels
            half_width_l = typed["level_half_width_l"] or dipstick.dipstick_of(self.bath).half_width_l
            sd_l = half_width_l / HALF_WIDTH_SDS
            return RemovedByLevel(day=UNDATED, before_l=before_l, after_l=after_l, sd_l=sd_l)
        if typed["told"] == self.Told.SCALE:
            return RemovedByWeight(day=UNDATED, grams=typed["weight"], sd_g=sd_of(typed["half_width_g"]))
        return Removed(day=UNDATED, litres=typed["litres"], sd_l=sd_of(typed["half_width_l"]))

    def facts(self) -> dict:
        return {"taken": self.taken}

    def refuse(self, refusal: Refused) -> None:
        # too much is said beside what told it
        if refusal.field == "litres":
            refusal.field = self.NEEDED[self.cleaned_data["told"]][-1]
        super().refuse(refusal)


class TakeOutForm(AmountOutForm):
    where_to = forms.CharField(
        max_length=60, label=gettext_lazy("Where to"), help_text=gettext_lazy("Such as: into drum W1.")
    )

    def facts(self) -> dict:
        return super().facts() | {"where_to": self.cleaned_data["where_to"]}


class PourIntoForm(AmountOutForm):
    into = forms.ModelChoiceField(
        Bath.objects.all(), label=gettext_lazy("Into"), empty_label=gettext_lazy("choose a tank")
    )

    def __init__(self, *args, bath, **kwargs):
        super().__init__(*args, bath=bath, **kwargs)
        into = self.fields["into"]
        into.queryset = into.queryset.exclude(pk=bath.pk)

    def facts(self) -> dict:
        return super().facts() | {"into": self.cleaned_data["into"]}


def sd_of(half_width: float | None) -> float | None:
    return half_width / HALF_WIDTH_SDS if half_width else None


class AddSolutionForm(BathForm):
    TYPED_IN = {"strength_sd_g_per_l": "half_width_g_per_l", "sd_l": "litres"}

    litres = VolumeField(label=gettext_lazy("How much"))
    strength_g_per_l = StrengthField(
        low=0,
        label=gettext_lazy("Its strength"),
        help_text=with_quantities(
            gettext_lazy(
                "A still rinse of %(volume)s gains about %(each)s with every plate dipped in it: 20 plates, %(all)s."
            ),
            volume=(5, "L", 1),
            each=(0.3, "g/L", 1),
            all=(6, "g/L", 1),
        ),
    )
    half_width_g_per_l = NumberField(
        required=False,
        low=0.1,
        high=150,
        unit="g/L",
        label=gettext_lazy("± of its strength"),
        help_text=gettext_lazy("Leave it empty for a tenth of it."),
    )

    acid_g_per_l = NumberField(
        required=False,
        low=0,
        high=300,
        unit="g/L",
        label=gettext_lazy("Acid in it"),
        help_text=gettext_lazy("Plating solution holds some. Left empty, none."),
    )

    def facts(self) -> dict:
        typed = self.cleaned_data
        acid_g_per_l = typed["acid_g_per_l"] or 0.0
        strength, sd = readings.strength_from_memory(typed["strength_g_per_l"], typed["half_width_g_per_l"])
        added = SolutionAdded(
            day=UNDATED,
            litres=typed["litres"],
            strength_g_per_l=strength,
            sd_l=readings.poured_sd_l(typed["litres"]),
            strength_sd_g_per_l=sd,
            acid_g_per_l=acid_g_per_l,
            acid_sd_g_per_l=readings.MEMORY_SHARE * acid_g_per_l / HALF_WIDTH_SDS,
        )
        return {"added": added}


class CoverForm(BathForm):
    lid_on = LidField(label=gettext_lazy("The lid is"))
