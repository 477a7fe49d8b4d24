"""A tank and its figures; and a bath that was there before the book."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import Adopted
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.quantity import quantity
from inventory.models import Place
from inventory.refusals import Refused
from studio.baths import dipstick, readings
from studio.baths.dipstick import Dipstick
from studio.baths.event_log import UNDATED
from studio.baths.fields import HydrometerField, LevelField, MarksField, StrengthField, TemperatureField, VolumeField
from studio.baths.forms.acid import MEMORY_SHARE
from studio.baths.forms.base import BathForm
from studio.baths.forms.pouring import LidField
from studio.baths.forms.reading import TEMPERATURE_HELP, ReferenceField
from studio.baths.models import Bath, check_marks
from studio.pages.fields import AmountField, NumberField, with_quantities
from studio.pages.quantities import NO_BREAK

MM2_PER_CM2 = 100


FIRST_PLACE = gettext_lazy("Etching room")
SURFACE_OR_MARKS = gettext_lazy("Give the surface, or two marks that tell it.")


class TankForm(BathForm):
    name = forms.CharField(
        max_length=60, label=gettext_lazy("What people call it"), help_text=gettext_lazy("Such as Upright tank.")
    )
    place = forms.ModelChoiceField(
        Place.objects.listed(),
        label=gettext_lazy("Place"),
        required=False,
        empty_label=gettext_lazy("a new place, named below"),
    )
    new_place = forms.CharField(required=False, max_length=80, label=gettext_lazy("New place"))
    rim_l = VolumeField(
        label=gettext_lazy("Volume to the rim"), help_text=gettext_lazy("How much it holds, filled to the very edge.")
    )
    fill_l = VolumeField(
        required=False,
        label=gettext_lazy("Usual fill"),
        help_text=gettext_lazy("Leave it empty, and the bath that is begun in it sets its mark."),
    )
    surface_cm2 = AmountField(
        dimension="area",
        label=gettext_lazy("Open surface"),
        error_messages={"required": SURFACE_OR_MARKS},
        help_text=with_quantities(
            gettext_lazy("Its sides or its area, such as %(area)s. Two marks below tell it too."), area=(400, "cm²", 1)
        ),
    )
    marks = MarksField(
        required=False,
        label=gettext_lazy("Marks on the dipstick"),
        help_text=with_quantities(
            gettext_lazy(
                "A line for each, such as %(depth)s = %(volume)s. Pour in a jug at a time and note "
                "where it stands; three or four marks are plenty. Without marks the surface has to do."
            ),
            depth=(10, "cm", 1),
            volume=(4, "L", 1),
        ),
    )
    range_low_g_per_l = StrengthField(label=gettext_lazy("Working range from"), initial=200)
    range_high_g_per_l = StrengthField(label=gettext_lazy("Working range to"), initial=260)
    coldest_c = TemperatureField(low_c=-20, high_c=45, label=gettext_lazy("Coldest the room gets"), initial=12)
    air_c = TemperatureField(low_c=-10, high_c=45, label=gettext_lazy("Usual room temperature"), initial=18)
    relative_humidity_percent = NumberField(
        low=5, high=100, unit="%", label=gettext_lazy("Usual humidity, %"), initial=55.0
    )

    USUAL = ("fill_l", "range_low_g_per_l", "range_high_g_per_l", "coldest_c", "air_c", "relative_humidity_percent")
    FIGURES = ("name", "place", "rim_l", "surface_cm2", *USUAL)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # said to be needed until marks tell it
        marks = self.data.get(self.add_prefix("marks"), "") if self.is_bound else ""
        self.fields["surface_cm2"].required = not marks.strip()
        if not self.bath.pk:
            # where another tank stands; in a book without places, a name to be going on with
            places = list(Place.objects.listed())
            beside = next((place for place in places if place.kind == Place.Kind.TANK), None)
            self.initial.update({"place": beside} if beside else {"new_place": "" if places else FIRST_PLACE})

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        self.complete(typed)
        if self.errors:
            return
        for name in (*self.FIGURES, "marks"):
            # what nobody touched stays as it is in the book, and not as it is rounded for the page
            if not self.bath.pk or name in self.touched or (name == "place" and typed["new_place"]):
                setattr(self.bath, name, typed[name])
        try:
            self.bath.clean_fields(exclude=["place"])
        except forms.ValidationError as error:
            self.add_error(None, error)

    def facts(self) -> dict:
        return {"bath": self.bath}

    @property
    def usual_figures_are_refused(self) -> bool:
        """Whether one of the figures that a tank's page folds away is to be looked at again."""
        return any(name in self.errors for name in self.USUAL)

    def complete(self, typed: dict) -> None:
        """What was left empty follows from the rest: the place from its name, the fill from the rim, the surface."""
        name = typed.get("new_place")
        if name and typed.get("place") and "place" in self.touched:
            self.add_error("new_place", _("A place is chosen beside it: clear one of the two."))
        elif name:
            # a room that is in the book already, typed with other capitals, is no second room
            known = Place.objects.filter(name__iexact=name).first()
            typed["place"] = known or Place(name=name, kind=Place.Kind.TANK)
        elif not typed.get("place"):
            self.add_error("new_place", _("Choose where it stands, or name a new place."))
        # an empty field means: as full as the bath that is begun in it
        if typed.get("fill_l") is None:
            self.bath.fill_is_given = False
            typed["fill_l"] = Bath.USUAL_FILL_SHARE * typed.get("rim_l", 0.0)
        elif "fill_l" in self.touched:
            self.bath.fill_is_given = True
        marks = typed.get("marks") or []
        try:
            check_marks(marks)
        except Refused as refusal:
            self.refuse(refusal)
        if "marks" in self.errors:
            return
        area_mm2 = typed.get("surface_cm2")
        typed["surface_cm2"] = area_mm2 / MM2_PER_CM2 if area_mm2 else dipstick.surface_cm2(marks)
        if not typed["surface_cm2"] and "surface_cm2" not in self.errors:
            self.add_error("surface_cm2", SURFACE_OR_MARKS)


def figures_of(bath: Bath) -> dict:
    """A tank as its form shows it."""
    volumes = {name: (getattr(bath, name), "L") for name in ("rim_l", "fill_l")}
    stick = dipstick.dipstick_of(bath)
    plain = {name: getattr(bath, name) for name in TankForm.FIGURES if name not in volumes}
    return (
        plain
        | volumes
        | {
            "surface_cm2": quantity(bath.surface_cm2, "cm²"),
            "marks": stick.marks,
        }
    )


class AdoptForm(BathForm):
    """A bath that was there before: how much of it, how strong, and how well that is known."""

    TYPED_IN = {
        "volume_l": "level",
        "volume_sd_l": "level_half_width_l",
        "strength_sd_g_per_l": "strength_half_width_g_per_l",
    }

    class Known:
        HYDROMETER, ABOUT, UNKNOWN = "hydrometer", "about", "unknown"

    class Acid:
        UNKNOWN, NONE, SOME = "unknown", "none", "some"

    NEEDED = {Known.HYDROMETER: ("hydrometer", "temperature_c"), Known.ABOUT: ("strength_g_per_l",)}

    level = LevelField(label=gettext_lazy("Level now"))
    level_half_width_l = NumberField(
        required=False,
        low=0.001,
        high=100,
        unit="L",
        label=gettext_lazy("± of the level"),
        help_text=with_quantities(
            gettext_lazy("Leave it empty for %(depth)s on the dipstick."),
            depth=(2, "mm", 1),
        ),
    )
    known_by = forms.ChoiceField(
        label=gettext_lazy("How strong is it, and who says so?"),
        widget=forms.RadioSelect,
        choices=[
            (Known.HYDROMETER, gettext_lazy("A hydrometer, read now")),
            (Known.ABOUT, gettext_lazy("About so much: a label, a memory")),
            (Known.UNKNOWN, gettext_lazy("Mixed long ago, nobody knows")),
        ],
        initial=Known.HYDROMETER,
    )
    hydrometer = HydrometerField(
        label=gettext_lazy("Hydrometer shows"),
        error_messages={"required": gettext_lazy("Give what it shows, or say that the strength is known otherwise.")},
    )
    temperature_c = TemperatureField(
        label=gettext_lazy("Temperature of the bath"),
        help_text=TEMPERATURE_HELP,
        error_messages={"required": gettext_lazy("Give the temperature: a warm bath shows less.")},
    )
    reference_c = ReferenceField()
    strength_g_per_l = StrengthField(
        low=0,
        label=gettext_lazy("Strength, about"),
        help_text=gettext_lazy("As it says on the label, or as it was once mixed. Nobody remembers: leave it empty."),
        error_messages={"required": gettext_lazy("Give the strength as far as it is known.")},
    )
    strength_half_width_g_per_l = NumberField(
        required=False,
        low=1,
        high=150,
        unit="g/L",
        label=gettext_lazy("± of the strength"),
        help_text=gettext_lazy("Leave it empty for a tenth of it."),
    )
    acid_known = forms.ChoiceField(
        label=gettext_lazy("Is there sulfuric acid in it?"),
        required=False,
        widget=forms.RadioSelect,
        choices=[
            (Acid.UNKNOWN, gettext_lazy("Nobody knows")),
            (Acid.NONE, gettext_lazy("None")),
            (Acid.SOME, gettext_lazy("Some")),
        ],
        initial=Acid.UNKNOWN,
    )
    acid_g_per_l = NumberField(
        required=False,
        low=0.1,
        high=300,
        unit="g/L",
        label=gettext_lazy("Acid in it, about"),
        help_text=f"±{NO_BREAK}30{NO_BREAK}%.",
    )
    lid_on = LidField(label=gettext_lazy("The lid is"), initial="on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for known_by, names in self.NEEDED.items():
            for name in names:
                # the browser is told to ask for all; only the chosen way is held to it
                self.fields[name].required = not self.is_bound or self.data.get("known_by") == known_by

    def clean(self):
        super().clean()
        if self.cleaned_data.get("acid_known") == self.Acid.SOME and not self.cleaned_data.get("acid_g_per_l"):
            self.add_error("acid_g_per_l", _("Give it as far as it is known, or say that nobody knows."))
        if not self.errors:
            try:
                self.strength = self.known_strength(self.cleaned_data)
            except Refused as refusal:
                self.refuse(refusal)

    def facts(self) -> dict:
        typed = self.cleaned_data
        stick = self.dipstick()
        strength_g_per_l, strength_sd_g_per_l = self.strength
        adopted = Adopted(
            day=UNDATED,
            volume_l=typed["level"].volume_l(stick),
            volume_sd_l=(typed["level_half_width_l"] or stick.half_width_l) / HALF_WIDTH_SDS,
            strength_g_per_l=strength_g_per_l,
            strength_sd_g_per_l=strength_sd_g_per_l,
            acid_g_per_l=self.acid(typed),
            acid_sd_g_per_l=self.acid_sd(typed),
        )
        level = typed["level"].words(stick)
        return {"bath": self.bath, "adopted": adopted, "level": level, "lid_on": typed["lid_on"]}

    def dipstick(self) -> Dipstick:
        return dipstick.dipstick_of(self.bath)

    def acid(self, typed: dict) -> float | None:
        """None while nobody knows."""
        return {self.Acid.SOME: typed["acid_g_per_l"], self.Acid.NONE: 0.0}.get(typed["acid_known"])

    def acid_sd(self, typed: dict) -> float:
        return MEMORY_SHARE * (self.acid(typed) or 0.0) / HALF_WIDTH_SDS

    def known_strength(self, typed: dict) -> tuple[float, float]:
        if typed["known_by"] == self.Known.HYDROMETER:
            shown = typed["hydrometer"]
            return readings.strength_from_hydrometer(
                acid_g_per_l=self.acid(typed) or 0.0,
                acid_sd_g_per_l=self.acid_sd(typed),
                sg=shown.sg,
                temperature_c=typed["temperature_c"],
                reference_c=shown.reference_c or typed["reference_c"],
            )
        if typed["known_by"] == self.Known.UNKNOWN:
            return readings.strength_nobody_knows(self.bath, typed["strength_g_per_l"])
        return readings.strength_from_memory(typed["strength_g_per_l"], typed["strength_half_width_g_per_l"])


class AdoptWithTankForm(AdoptForm, TankForm):
    """The first act of most studios: a tank and the bath that stands in it."""

    fill_l = VolumeField(
        required=False,
        label=gettext_lazy("Usual fill"),
        help_text=gettext_lazy("Leave it empty: the level it has now is its mark."),
    )
    level = LevelField(
        label=gettext_lazy("Level now"),
        help_text=gettext_lazy("It is its usual fill too, unless you gave another above."),
    )

    def dipstick(self) -> Dipstick:
        return Dipstick(self.cleaned_data["marks"], self.cleaned_data["surface_cm2"])
