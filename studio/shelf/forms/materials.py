from dataclasses import asdict

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units, vessels
from chemistry.hazards.storage import CHOSEN
from inventory import guessing
from inventory.models import Material, Place
from inventory.wording import translated, translated_lazy, translated_text
from studio.pages.fields import (
    UM_PER_MM,
    AmountField,
    DayField,
    NumberField,
    RangeField,
    ThicknessField,
    with_quantities,
)
from studio.pages.writing import FoldedForm, SignedForm
from studio.shelf import composition, hydrates
from studio.shelf.hydrates import BathUse

ONE_KG_MG = 1_000_000
NOT_A_SALT = "none"


class AmountForm(SignedForm):
    """An amount of one material, typed with its unit."""

    amount = AmountField(label=gettext_lazy("Amount"), dimension="mass")

    def __init__(self, *args, material, **kwargs):
        super().__init__(*args, **kwargs)
        self.material = material
        amount = self.fields["amount"]
        amount.ask_for(material.dimension, material.shown_unit, self.request.workshop.cups)
        amount.help_text = _("Such as %(EXAMPLES)s.") % {"EXAMPLES": translated(units.examples(material.dimension))}


class ReceiveForm(AmountForm):
    looks = forms.ChoiceField(
        label=gettext_lazy("Blue crystals or pale powder?"),
        choices=hydrates.LOOKS,
        widget=forms.RadioSelect,
        help_text=with_quantities(
            gettext_lazy(
                "Sold under one name. Pale powder counts as %(times)s times its weight; weighed as if it were "
                "crystals, a bath comes out so many times too strong."
            ),
            times=(hydrates.blue_crystals_per_g(BathUse.PALE_POWDER), "", 3),
        ),
    )
    place = forms.ModelChoiceField(
        Place.objects.listed(), label=gettext_lazy("Put where"), empty_label=gettext_lazy("choose a place")
    )
    batch = forms.CharField(
        label=gettext_lazy("Batch"), max_length=60, required=False, help_text=gettext_lazy("As printed on the pack.")
    )
    use_by_on = DayField(label=gettext_lazy("Use by"), required=False)
    purity_percent = NumberField(
        label=gettext_lazy("Assay of this lot, %"),
        low=1,
        high=100,
        unit="%",
        required=False,
        help_text=gettext_lazy("As printed on it, where it is another than the material's."),
    )
    code = forms.CharField(
        label=gettext_lazy("A code of your own"),
        max_length=12,
        required=False,
        validators=[
            RegexValidator(
                r"^[A-Za-z0-9-]+$", gettext_lazy("Letters, digits and hyphens only, so that a label can carry it.")
            )
        ],
        help_text=gettext_lazy("Left empty, the book gives the next number."),
    )

    def __init__(self, *args, material, **kwargs):
        super().__init__(*args, material=material, **kwargs)
        if material.bath_use not in hydrates.COPPER_SULFATES:
            del self.fields["looks"], self.fields["purity_percent"]
        elif material.bath_use != BathUse.BLUE_CRYSTALS:
            # whoever wrote it down as powder has looked; powder taken for crystals is what spoils a bath
            self.fields["looks"].initial = material.bath_use

    def clean(self):
        typed = super().clean()
        looks, percent = typed.pop("looks", ""), typed.pop("purity_percent", None)
        typed["purity"] = percent / 100 if percent else None
        if looks and looks != self.material.bath_use and typed.get("amount"):
            self.add_error("looks", self.refusal_of_hydrate(typed["amount"], looks))
        return typed

    def refusal_of_hydrate(self, amount_mg: int, looks: str) -> str:
        """What to do with a pack that turned out to be the other hydrate."""
        material, kept_as = self.material, hydrates.COPPER_SULFATES[self.material.bath_use]
        counts = hydrates.worth(amount_mg, looks, in_terms_of=material.bath_use)
        other = Material.objects.filter(bath_use=looks).first()
        way_out = (
            _("Receive it as %(other)s.") % {"other": other} if other else _("Write it down as a new material first.")
        )
        return _("%(material)s is kept as %(kept_as)s; in a bath this pack counts as %(counts)s. %(way_out)s") % {
            "material": material,
            "kept_as": kept_as,
            "counts": counts,
            "way_out": way_out,
        }


class MoveForm(SignedForm):
    place = forms.ModelChoiceField(Place.objects.listed(), label=gettext_lazy("It stands now"), empty_label=None)


KINDS = [(kind, kind.label if kind == Place.Kind.AWAY else gettext_lazy(kind.value)) for kind in Place.Kind]


class PlaceForm(SignedForm):
    name = forms.CharField(
        label=gettext_lazy("Name"), max_length=80, help_text=gettext_lazy("As somebody would shout it across the room.")
    )
    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"), choices=KINDS, widget=forms.RadioSelect, initial=Place.Kind.SHELF
    )


DIMENSIONS = {
    dimension.value: [(unit.name, translated_lazy(unit.label or unit.name)) for unit in units.UNITS[dimension.value]]
    for dimension in Material.Dimension
}


def in_own_order(choices):
    labels = dict(choices)
    return [(name, labels[name]) for name in units.own_first(labels)]


def every_dimension():
    return [(dimension, in_own_order(choices)) for dimension, choices in DIMENSIONS.items()]


DIMENSION_OF = {name: dimension for dimension, choices in DIMENSIONS.items() for name, _ in choices}


WHOLE_NUMBERS = ("lead_time_days", "sealed_months", "opened_months")
PLAIN_NUMBERS = (*WHOLE_NUMBERS, "flash_point_c")
AS_TYPED = (
    "name",
    "category",
    "shown_unit",
    "bath_use",
    "reorder_level",
    "order_up_to",
    "storage_group",
    "flash_point_c",
    "composition",
)


def range_of(middle: float | None, low: float | None, high: float | None) -> tuple[float, float] | None:
    if middle is None:
        return None
    return (middle if low is None else low, middle if high is None else high)


def set_range(material: Material, name: str, ends: tuple[float, float] | None) -> None:
    """A density, with the ends of its range; the middle is what is reckoned with."""
    low, high = ends or (None, None)
    setattr(material, f"{name}_g_per_ml", sum(ends) / 2 if ends else None)
    setattr(material, f"{name}_low_g_per_ml", low)
    setattr(material, f"{name}_high_g_per_ml", high)


def storage_groups() -> list[tuple[str, str]]:
    named = [(group.id, f"{translated_text(group.name)}: {translated_text(group.what)}") for group in CHOSEN]
    return [("", _("not known yet")), *named]


class MaterialForm(FoldedForm):
    """A kind of thing that the studio keeps; what is measured in decides how every amount of it is typed."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=120,
        help_text=gettext_lazy("As printed on the pack, with size or strength."),
    )
    category = forms.ChoiceField(
        label=gettext_lazy("Category"), choices=[(name, gettext_lazy(name)) for name in Material.Category.values]
    )
    shown_unit = forms.ChoiceField(
        label=gettext_lazy("Measured in"), choices=every_dimension, initial=lambda: units.own("g")
    )
    bath_use = forms.TypedChoiceField(
        label=gettext_lazy("In a bath it is"),
        choices=[(use.value or NOT_A_SALT, use.label) for use in BathUse],
        coerce=lambda use: BathUse.NONE if use == NOT_A_SALT else use,
        widget=forms.RadioSelect,
        initial=NOT_A_SALT,
    )
    purity_percent = NumberField(
        label=gettext_lazy("Purity, %"),
        low=1,
        high=100,
        unit="%",
        required=False,
        help_text=gettext_lazy("The assay on the pack; empty counts as 100."),
    )
    cup_g = RangeField(
        label=gettext_lazy("One level cup weighs"),
        low=10,
        high=2500,
        unit="g",
        required=False,
        help_text=gettext_lazy(
            "Weigh it once, or a few times: 250, or 237 to 308; then crystals can be measured by the cup."
        ),
    )
    reorder_level = forms.CharField(
        label=gettext_lazy("Reorder at"),
        max_length=units.LONGEST_TEXT,
        required=False,
        help_text=gettext_lazy("An amount with its unit; at this or less it is low."),
    )

    order_up_to = forms.CharField(
        label=gettext_lazy("Order up to"),
        max_length=units.LONGEST_TEXT,
        required=False,
        help_text=gettext_lazy("As much as there is room and use for."),
    )
    lead_time_days = NumberField(
        label=gettext_lazy("Comes after, days"),
        low=0,
        high=730,
        unit="days",
        required=False,
        help_text=gettext_lazy("From order to delivery."),
    )
    sealed_months = NumberField(
        label=gettext_lazy("Keeps sealed, months"),
        low=1,
        high=240,
        unit="months",
        required=False,
        help_text=gettext_lazy("From the day it came."),
    )
    opened_months = NumberField(
        label=gettext_lazy("Keeps once open, months"),
        low=1,
        high=240,
        unit="months",
        required=False,
        help_text=gettext_lazy("From its opening."),
    )
    density = RangeField(
        label=gettext_lazy("Density"),
        low=0.01,
        high=25,
        unit="g/mL",
        required=False,
        help_text=gettext_lazy("From the sheet; a range with its two ends."),
    )
    storage_group = forms.ChoiceField(
        label=gettext_lazy("Storage group"),
        required=False,
        choices=storage_groups,
    )
    flash_point_c = NumberField(
        label=gettext_lazy("Flash point"),
        low=-60,
        high=400,
        unit="°C",
        required=False,
        help_text=gettext_lazy("As the supplier's sheet has it."),
    )
    composition = forms.CharField(
        label=gettext_lazy("Made of"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("A line each with percent by mass from the sheet, such as Acetone 20-30."),
    )
    thickness = ThicknessField(
        low=0.02,
        label=gettext_lazy("Thickness"),
        required=False,
        help_text=gettext_lazy(
            "Of sheet copper. Or 18 ga B&S, SWG 18, 20 oz: the systems differ. Empty: as a new one’s name says."
        ),
    )

    FOLDED = {
        gettext_lazy("Weighing and pouring"): ("purity_percent", "cup_g", "density"),
        gettext_lazy("Ordering"): ("order_up_to", "lead_time_days"),
        gettext_lazy("Keeping"): ("sealed_months", "opened_months", "storage_group"),
        gettext_lazy("From the safety sheet"): ("flash_point_c", "composition"),
        gettext_lazy("Sheet copper"): ("thickness",),
    }

    def __init__(self, *args, material=None, **kwargs):
        self.material = material or Material()
        super().__init__(*args, **kwargs)
        self.cups = self.request.workshop.cups
        if material:
            # what is measured in grams now cannot be measured in litres: its containers would lose their amounts
            self.fields["shown_unit"].choices = in_own_order(DIMENSIONS[material.dimension])
            # one that is on no list any more stays: a change of something else must not move it
            if material.category not in Material.Category.values:
                self.fields["category"].choices = [(material.category,) * 2, *self.fields["category"].choices]
            self.initial |= self.known_facts(material)

    def clean_composition(self):
        try:
            return [asdict(each) for each in composition.read(self.cleaned_data["composition"])]
        except ValueError as error:
            raise forms.ValidationError(translated(error)) from error

    def clean(self):
        typed = super().clean()
        dimension = DIMENSION_OF.get(typed.get("shown_unit"))
        if dimension:
            self.read_amount("reorder_level", typed, dimension, empty=0)
            self.read_amount("order_up_to", typed, dimension, empty=None)
            level, most = typed.get("reorder_level"), typed.get("order_up_to")
            if level and most is not None and most <= level:
                self.add_error("order_up_to", _("That is no more than the level at which it is ordered."))
            self.check_bath_use(typed, dimension)
        return typed

    def facts(self):
        typed, material = self.cleaned_data, self.material
        # what nobody touched stays as it is in the book, and not as it is rounded for the page
        touched = self.touched if material.pk else set(self.fields)
        for name in touched.intersection(AS_TYPED):
            setattr(material, name, typed[name])
        for name in touched.intersection(WHOLE_NUMBERS):
            setattr(material, name, None if typed[name] is None else round(typed[name]))
        if "shown_unit" in touched:
            material.dimension = DIMENSION_OF[typed["shown_unit"]]
        if "purity_percent" in touched:
            material.purity = (typed["purity_percent"] or 100) / 100
        if "thickness" in touched:
            thickness = typed["thickness"]
            material.thickness_um = round(UM_PER_MM * thickness) if thickness else None
        if not material.pk and not material.thickness_um:
            material.thickness_um = guessing.thickness_um(material.name, material.category)
        if "density" in touched:
            set_range(material, "density", typed["density"])
        if "cup_g" in touched:
            weighed = typed["cup_g"]
            set_range(material, "bulk_density", tuple(end / self.cup_ml for end in weighed) if weighed else None)
        return {"material": material}

    def known_facts(self, material: Material) -> dict:
        bulk = range_of(
            material.bulk_density_g_per_ml, material.bulk_density_low_g_per_ml, material.bulk_density_high_g_per_ml
        )
        return {
            "name": material.name,
            "category": material.category,
            "shown_unit": material.shown_unit,
            "bath_use": material.bath_use or NOT_A_SALT,
            "purity_percent": material.purity * 100,
            "cup_g": tuple(round(end * self.cup_ml, 1) for end in bulk) if bulk else None,
            "reorder_level": material.show(material.reorder_level) if material.reorder_level else "",
            "order_up_to": material.show(material.order_up_to) if material.order_up_to else "",
            "density": range_of(
                material.density_g_per_ml, material.density_low_g_per_ml, material.density_high_g_per_ml
            ),
            "storage_group": material.storage_group,
            "composition": composition.written(material.constituents),
            "thickness": material.thickness_um / UM_PER_MM if material.thickness_um else None,
        } | {name: float(known) for name in PLAIN_NUMBERS if (known := getattr(material, name)) is not None}

    @property
    def cup_ml(self) -> float:
        return units.parse("1 cup", "volume", cups=self.cups) / 1000

    def read_amount(self, name: str, typed: dict, dimension: str, *, empty: int | None) -> None:
        try:
            amount = typed.get(name)
            unit = typed.get("shown_unit", "")
            typed[name] = vessels.parse_typed(amount, dimension, cups=self.cups, unit=unit) if amount else empty
        except units.NotUnderstood as error:
            self.add_error(name, translated(error))

    def check_bath_use(self, typed: dict, dimension: str) -> None:
        use = typed.get("bath_use")
        if use in hydrates.COPPER_SULFATES and dimension != Material.Dimension.MASS:
            self.add_error("shown_unit", _("A bath salt is weighed; choose a unit of mass."))
        if use == BathUse.WATER and dimension != Material.Dimension.VOLUME:
            self.add_error("shown_unit", _("Water for the bath is poured; choose a unit of volume."))
