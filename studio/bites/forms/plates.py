"""What is asked of a plate: where it comes from, what lies on it, what it weighs, where it goes."""

from collections.abc import Iterable, Mapping
from typing import ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from chemistry.measured import by_scale, digits
from chemistry.quantity import ladder, quantity
from inventory.models import Container, Material, Person, Place
from studio.bites import plates
from studio.bites.fields import SizeField
from studio.bites.forms.base import PLATES_AT_HAND, ExposureForm, ShopForm, anyway_field, state_field
from studio.bites.models import Photograph, Plate
from studio.bites.plates import GroundApplication
from studio.pages.documents import PhotographsField
from studio.pages.fields import UM_PER_MM, AmountField, NumberField, OfJars, ThicknessField

# what kitchen and letter scales show to, from the finest on: common practice, no source
SCALES: Mapping[str, tuple[float, ...]] = {"g": (0.01, 0.1, 1, 5), "oz": (0.001, 0.01, 0.05, 0.1)}
CUTTABLE = (Material.Dimension.COUNT, Material.Dimension.AREA)
NEARLY_RIGHT = 0.2  # of the mass that size and thickness predict; further off, one of the three is a slip: own estimate


def mass_field(**kwargs) -> NumberField:
    return NumberField(low=1, high=50_000, unit="g", label=_("Weighed"), **kwargs)


def scales() -> list[tuple[str, str]]:
    """In grams, and as the studio's own scales have them."""
    unit = units.own("g")
    [(_name, grams)] = ladder("mass", "g", unit)
    return [(str(round(step * grams, 6)).removesuffix(".0"), f"{digits(step)} {unit}") for step in SCALES[unit]]


def scale_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=_("The scale shows to"),
        choices=scales,
        initial=lambda: scales()[2][0],
        help_text=_("It is taken to be good to that."),
    )


class JarField(OfJars, forms.TypedChoiceField):
    pass


def jar_field(label) -> JarField:
    return JarField(label=label, required=False, empty_value=None)


def amount_field() -> forms.CharField:
    return forms.CharField(
        label=_("How much is gone"),
        required=False,
        max_length=units.LONGEST_TEXT,
        widget=AmountField.widget,
        help_text=_("Left empty, the shelf stays as it is."),
    )


def words_field(label) -> forms.CharField:
    return forms.CharField(label=label, max_length=plates.LONGEST_NAME, required=False)


NOT_FROM_THE_SHELF = gettext_lazy("not from the shelf")


def offer(
    field: forms.TypedChoiceField,
    jars: Iterable[Container],
    otherwise=NOT_FROM_THE_SHELF,
) -> None:
    """Containers to choose from, or none of them."""
    known = {str(jar.pk): jar for jar in jars}
    named = [
        (pk, _("%(jar)s, %(shown_on_hand)s left") % {"jar": jar, "shown_on_hand": jar.shown_on_hand()})
        for pk, jar in known.items()
    ]
    # the jar itself and not its key, which would be looked up once more
    field.choices, field.coerce = [("", otherwise), *named], known.get
    field.chooses = Container  # type: ignore[attr-defined]  # for an errand


class PlateForm(ShopForm):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=60,
        help_text=gettext_lazy("As its maker calls it, or what is scratched into its back."),
    )
    cut_from = jar_field(gettext_lazy("It comes from"))
    size = SizeField(label=gettext_lazy("Size"), help_text=gettext_lazy("Such as 6 x 8 in, with its unit."))
    thickness_mm = ThicknessField(
        label=gettext_lazy("Thickness"),
        required=False,
        help_text=gettext_lazy("Or 20 oz/ft², or 18 B&S. Empty: that of its sheet, where known."),
    )
    owner = forms.ModelChoiceField(Person.objects.here(), label=gettext_lazy("Whose"), required=False)
    partner = forms.ModelChoiceField(
        Place.objects.listed().filter(kind=Place.Kind.AWAY),
        label=gettext_lazy("Made with"),
        required=False,
        empty_label=gettext_lazy("nobody else"),
    )
    mass_g = mass_field(required=False, help_text=gettext_lazy("Clean and dry, before any ground."))
    scale_g = scale_field()
    metal_anyway = anyway_field(gettext_lazy("The name misleads: it is copper"))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        copper = Container.objects.on_the_shelf().filter(
            material__category=Material.Category.COPPER, material__dimension__in=CUTTABLE
        )
        sheets = copper.select_related("material").order_by("material__name", "pk")
        offer(self.fields["cut_from"], sheets, otherwise=_("not the shelf: it was brought along"))
        # whoever is signed in stands above the list already
        self.fields["owner"].queryset = Person.objects.here().exclude(account=self.request.user)
        self.fields["owner"].empty_label = _("%(person)s (me)") % {"person": self.request.person}

    def clean(self):
        typed = super().clean()
        expected_g = plates.expected_mass_g(self.plate_asked()) if typed.get("size") else None
        mass_g = typed.get("mass_g")
        if mass_g and expected_g and abs(mass_g / expected_g - 1) > NEARLY_RIGHT:
            self.add_error(
                "mass_g",
                _("Copper of this size and thickness weighs about %(expected_g)s; look again at all three.")
                % {"expected_g": quantity(expected_g, "g", decimals=0)},
            )
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        weight = by_scale(typed["mass_g"], float(typed["scale_g"])) if typed["mass_g"] else None
        return {"plate": self.plate_asked(), "weight": weight, "metal_anyway": typed["metal_anyway"]}

    def plate_asked(self) -> Plate:
        typed = self.cleaned_data
        width_mm, height_mm = typed["size"]
        return Plate(
            # asked while the form is still judged, when a refused field is missing
            name=typed.get("name", ""),
            width_mm=width_mm,
            height_mm=height_mm,
            thickness_mm=typed.get("thickness_mm") or thickness_asked_mm(typed.get("cut_from")),
            owner=typed.get("owner") or self.request.person,
            partner=typed.get("partner"),
            cut_from=typed.get("cut_from"),
        )


def thickness_asked_mm(container: Container | None) -> float | None:
    thickness_um = container.material.thickness_um if container else None
    return thickness_um / UM_PER_MM if thickness_um else None


class PreparationForm(ExposureForm):
    state = state_field(help_text=gettext_lazy("A new state begins when the plate is worked again after a proof."))
    ground_from = jar_field(gettext_lazy("Ground from the shelf"))
    ground_amount = amount_field()
    ground = words_field(gettext_lazy("Or a ground in words"))
    stop_out_from = jar_field(gettext_lazy("Stop-out from the shelf"))
    stop_out_amount = amount_field()
    stop_out = words_field(gettext_lazy("Or a stop-out in words"))
    second_stop_out_from = jar_field(gettext_lazy("A second stop-out from the shelf"))
    second_stop_out_amount = amount_field()
    second_stop_out = words_field(gettext_lazy("Or a second stop-out in words"))
    protected = forms.CharField(
        label=gettext_lazy("Covered, beside back and edges"),
        max_length=120,
        required=False,
        help_text=gettext_lazy("Such as: the sky."),
    )

    LAID: ClassVar = {
        "ground": (Material.Category.GROUNDS,),
        "stop_out": (Material.Category.STOP_OUT, Material.Category.TAPES),
        "second_stop_out": (Material.Category.STOP_OUT, Material.Category.TAPES),
    }

    def __init__(self, *args, plate, **kwargs):
        super().__init__(*args, **kwargs)
        self.plate = plate
        # fetched once: ground and stop-out choose from the same rows
        resists = {category for categories in self.LAID.values() for category in categories}
        jars = Container.objects.at_hand().filter(material__category__in=resists)
        jars = list(jars.select_related("material").oldest_open_first())
        for name, categories in self.LAID.items():
            offer(self.fields[f"{name}_from"], [jar for jar in jars if jar.material.category in categories])

    def clean(self):
        typed = super().clean()
        for name in self.LAID:
            self.amount_of_jar(name, typed.get(f"{name}_from"), typed.get(f"{name}_amount"))
        return typed

    @property
    def laid_fields(self):
        return [self.fields_of(name) for name in self.LAID if name != "second_stop_out"]

    @property
    def second_fields(self):
        return self.fields_of("second_stop_out")

    @property
    def has_a_second(self) -> bool:
        return any(field.errors or field.value() for field in self.second_fields)

    def fields_of(self, name: str) -> list[forms.BoundField]:
        return [self[f"{name}_from"], self[f"{name}_amount"], self[name]]

    def amount_of_jar(self, name: str, jar: Container | None, amount: str | None) -> None:
        """How much is asked in the measure of what was chosen."""
        field = f"{name}_amount"
        if not amount:
            self.cleaned_data[field] = None
        elif jar is None:
            self.add_error(field, _("Say out of which container; in words alone, nothing leaves the shelf."))
        else:
            material, cups = jar.material, self.request.workshop.cups
            try:
                self.cleaned_data[field] = AmountField(
                    dimension=material.dimension, unit=material.shown_unit, cups=cups
                ).clean(amount)
            except ValidationError as error:
                self.add_error(field, error)

    def facts(self) -> dict:
        typed = self.cleaned_data
        laid = {
            name: GroundApplication(words=typed[name], jar=typed[f"{name}_from"], amount=typed[f"{name}_amount"])
            for name in self.LAID
        }
        return {"state": typed["state"], "protected": typed["protected"], "exposed": self.bare, **laid}


class PlateWeighForm(ShopForm):
    mass_g = mass_field()
    scale_g = scale_field()
    is_bare = forms.BooleanField(
        required=False,
        initial=True,
        label=gettext_lazy("Clean and dry, without ground or tape"),
        help_text=gettext_lazy("Only then does it tell what was bitten away."),
    )

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {"weight": by_scale(typed["mass_g"], float(typed["scale_g"])), "is_bare": typed["is_bare"]}


class PhotographForm(ShopForm):
    pictures = PhotographsField(
        required=True,
        label=gettext_lazy("Photographs"),
        help_text=gettext_lazy("JPEG, PNG or HEIC. Place and camera are taken out."),
    )
    shows = forms.ChoiceField(
        label=gettext_lazy("They show"), widget=forms.RadioSelect, choices=Photograph.Shows.choices
    )
    state = state_field(label=gettext_lazy("In state"))
    words = forms.CharField(label=gettext_lazy("Words to it"), max_length=120, required=False)


class ParcelForm(ShopForm):
    """Plates and the studio they go to or come from."""

    plates = forms.ModelMultipleChoiceField(
        Plate.objects.none(),
        label=gettext_lazy("Plates"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("A parcel holds at least one plate: choose which.")},
    )
    partner = forms.ModelChoiceField(
        Place.objects.listed().filter(kind=Place.Kind.AWAY),
        label=gettext_lazy("Partner"),
        empty_label=gettext_lazy("choose a studio"),
    )
    weight_kg = NumberField(label=gettext_lazy("The parcel weighs"), low=0.01, high=100, unit="kg", required=False)
    next_step = forms.CharField(label=gettext_lazy("What is to be done next"), max_length=200, required=False)

    def __init__(self, *args, away, **kwargs):
        super().__init__(*args, **kwargs)
        there = Plate.objects.standing().with_last_parcel().filter(is_away=away)
        # uncut, because a slice cannot be filtered any further; and the address may name a plate that is not shown
        self.fields["plates"].queryset = there
        self.fields["plates"].choices = [(plate.pk, plate.name) for plate in there[:PLATES_AT_HAND]]
        self.fields["partner"].label = _("From") if away else _("To")

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "plates": list(typed["plates"]),
            "partner": typed["partner"],
            "weight_g": 1000 * typed["weight_kg"] if typed["weight_kg"] else None,
            "next_step": typed["next_step"],
        }
