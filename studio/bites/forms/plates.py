"""What is asked of a plate: where it comes from, what lies on it, what it weighs, where it goes."""

from django import forms

from inventory.models import Container, Material, Person, Place
from studio.bites import plates
from studio.bites.fields import SizeField
from studio.bites.forms.base import PLATES_AT_HAND, ExposureForm, ShopForm
from studio.bites.models import HIGHEST_STATE, Plate, roman
from studio.bites.plates import Weight
from studio.fields import NumberField

SCALES = [("0.01", "0.01 g"), ("0.1", "0.1 g"), ("1", "1 g"), ("5", "5 g")]
CUTTABLE = (Material.Dimension.COUNT, Material.Dimension.AREA)
UM_PER_MM = 1000
NEARLY_RIGHT = 0.2  # of the mass that size and thickness predict; further off, one of the three is a slip: own estimate


def mass_field(**kwargs) -> NumberField:
    return NumberField(low=1, high=50_000, unit="g", label="Weighed, g", **kwargs)


def scale_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="The scale shows to", choices=SCALES, initial="1", help_text="It is taken to be good to that."
    )


class PlateForm(ShopForm):
    name = forms.CharField(max_length=60, help_text="As its maker calls it, or what is scratched into its back.")
    cut_from = forms.TypedChoiceField(label="It comes from", required=False, empty_value=None)
    size = SizeField(help_text="Such as 6 x 8 in or 100 x 150 mm.")
    thickness_mm = NumberField(
        label="Thickness, mm",
        low=0.1,
        high=20,
        unit="mm",
        required=False,
        help_text="Left empty, that of the sheet it is cut from, where the shelf knows it.",
    )
    owner = forms.ModelChoiceField(Person.objects.filter(left_on=None), label="Whose", required=False)
    partner = forms.ModelChoiceField(
        Place.objects.filter(kind=Place.Kind.AWAY), label="Made with", required=False, empty_label="nobody else"
    )
    mass_g = mass_field(required=False, help_text="Clean and dry, before any ground.")
    scale_g = scale_field()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        known = {str(container.pk): container for container in _copper_on_the_shelf()}
        choices = [(pk, f"{container}, {container.shown_on_hand()} left") for pk, container in known.items()]
        self.fields["cut_from"].choices = [("", "not the shelf: it was brought along"), *choices]
        self.fields["cut_from"].coerce = known.get
        self.fields["owner"].empty_label = f"{self.request.person} (me)"

    def clean(self):
        typed = super().clean()
        expected_g = plates.expected_mass_g(self._plate()) if typed.get("size") else None
        mass_g = typed.get("mass_g")
        if mass_g and expected_g and abs(mass_g / expected_g - 1) > NEARLY_RIGHT:
            self.add_error(
                "mass_g",
                f"Copper of this size and thickness weighs about {expected_g:.0f} g; look again at all three.",
            )
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        weight = Weight(mass_g=typed["mass_g"], half_width_g=float(typed["scale_g"])) if typed["mass_g"] else None
        return {"plate": self._plate(), "weight": weight}

    def _plate(self) -> Plate:
        typed = self.cleaned_data
        width_mm, height_mm = typed["size"]
        return Plate(
            name=typed.get("name", ""),
            width_mm=width_mm,
            height_mm=height_mm,
            thickness_mm=typed.get("thickness_mm") or _thickness_mm(typed.get("cut_from")),
            owner=typed.get("owner") or self.request.person,
            partner=typed.get("partner"),
            cut_from=typed.get("cut_from"),
        )


def _thickness_mm(container: Container | None) -> float | None:
    thickness_um = container.material.thickness_um if container else None
    return thickness_um / UM_PER_MM if thickness_um else None


def _copper_on_the_shelf():
    copper = {"material__category": Material.Category.COPPER, "material__dimension__in": CUTTABLE}
    return Container.objects.on_the_shelf().filter(**copper).select_related("material").order_by("material__name", "pk")


class PreparationForm(ExposureForm):
    state = forms.TypedChoiceField(
        coerce=int,
        choices=[(number, roman(number)) for number in range(1, HIGHEST_STATE + 1)],
        help_text="A new state begins when the plate is worked again after a proof.",
    )
    ground = forms.CharField(
        max_length=80, required=False, widget=forms.TextInput(attrs={"list": "grounds", "autocomplete": "off"})
    )
    stop_out = forms.CharField(
        label="Stop-out",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"list": "grounds", "autocomplete": "off"}),
    )
    protected = forms.CharField(
        label="Covered, beside back and edges", max_length=120, required=False, help_text="Such as: the sky."
    )

    def __init__(self, *args, plate, **kwargs):
        super().__init__(*args, **kwargs)
        self.plate = plate

    def facts(self) -> dict:
        return super().facts() | {"exposed": self.bare}


class WeighForm(ShopForm):
    mass_g = mass_field()
    scale_g = scale_field()
    is_bare = forms.BooleanField(
        required=False,
        initial=True,
        label="Clean and dry, without ground or tape",
        help_text="Only then does it tell what was bitten away.",
    )

    def facts(self) -> dict:
        typed = self.cleaned_data
        half_width_g = float(typed["scale_g"])
        return {"weight": Weight(mass_g=typed["mass_g"], half_width_g=half_width_g, is_bare=typed["is_bare"])}


class ParcelForm(ShopForm):
    """Plates and the studio they go to or come from."""

    plates = forms.ModelMultipleChoiceField(
        Plate.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "A parcel holds at least one plate: choose which."},
    )
    partner = forms.ModelChoiceField(Place.objects.filter(kind=Place.Kind.AWAY), empty_label="choose a studio")
    weight_kg = NumberField(label="The parcel weighs, kg", low=0.01, high=100, unit="kg", required=False)
    next_step = forms.CharField(label="What is to be done next", max_length=200, required=False)

    def __init__(self, *args, away, **kwargs):
        super().__init__(*args, **kwargs)
        there = Plate.objects.standing().with_last_parcel().filter(is_away=away)
        self.fields["plates"].queryset = there
        self.fields["plates"].choices = [(plate.pk, plate.name) for plate in there[:PLATES_AT_HAND]]
        self.fields["partner"].label = "From" if away else "To"

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "plates": list(typed["plates"]),
            "partner": typed["partner"],
            "weight_g": 1000 * typed["weight_kg"] if typed["weight_kg"] else None,
            "next_step": typed["next_step"],
        }
