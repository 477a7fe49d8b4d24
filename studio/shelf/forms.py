from django import forms
from django.core.validators import RegexValidator

from chemistry import units
from inventory.models import Material, Place
from studio.fields import AmountField, NumberField
from studio.shelf import hydrates
from studio.shelf.hydrates import BathUse
from studio.writing import SignedForm

ONE_KG_MG = 1_000_000
NOT_A_SALT = "none"
DAY = {"type": "date"}


class AmountForm(SignedForm):
    """An amount of one material, typed with its unit."""

    amount = AmountField(dimension="mass")

    def __init__(self, *args, material, **kwargs):
        super().__init__(*args, **kwargs)
        self.material = material
        amount = self.fields["amount"]
        amount.dimension, amount.cups = material.dimension, self.request.workshop.cups
        amount.help_text = f"Such as {units.EXAMPLES[material.dimension]}."


class CountForm(AmountForm):
    """How much is there, to somebody who looked."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["amount"].label = "So much is there"


class ReceiveForm(AmountForm):
    looks = forms.ChoiceField(
        label="Blue crystals or pale powder?",
        choices=[
            (BathUse.BLUE_CRYSTALS, "blue crystals (CAS 7758-99-8)"),
            (BathUse.PALE_POWDER, "pale, grey-white powder (CAS 7758-98-7)"),
        ],
        widget=forms.RadioSelect,
        help_text="Sold under one name. 1 kg of pale powder counts as "
        + hydrates.worth(ONE_KG_MG, BathUse.PALE_POWDER, in_terms_of=BathUse.BLUE_CRYSTALS)
        + ": taken for them, it makes a bath half as strong again.",
    )
    place = forms.ModelChoiceField(Place.objects.all(), label="Put where", empty_label="choose a place")
    batch = forms.CharField(max_length=60, required=False, help_text="As printed on the pack.")
    use_by_on = forms.DateField(label="Use by", required=False, widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"))
    code = forms.CharField(
        label="A code of your own",
        max_length=12,
        required=False,
        validators=[
            RegexValidator(r"^[A-Za-z0-9-]+$", "Letters, digits and hyphens only, so that a label can carry it.")
        ],
        help_text="Left empty, the book gives the next number.",
    )

    def __init__(self, *args, material, **kwargs):
        super().__init__(*args, material=material, **kwargs)
        if material.bath_use not in hydrates.COPPER_SULFATES:
            del self.fields["looks"]

    def clean(self):
        typed = super().clean()
        looks = typed.pop("looks", "")
        if looks and looks != self.material.bath_use and typed.get("amount"):
            self.add_error("looks", self._other_material(typed["amount"], looks))
        return typed

    def _other_material(self, amount_mg: int, looks: str) -> str:
        """What to do with a pack that turned out to be the other hydrate."""
        material, kept_as = self.material, hydrates.COPPER_SULFATES[self.material.bath_use]
        counts = hydrates.worth(amount_mg, looks, in_terms_of=material.bath_use)
        other = Material.objects.filter(bath_use=looks).first()
        way_out = f"Receive it as {other}." if other else "Write it down as a new material first."
        return f"{material} is kept as {kept_as}; in a bath this pack counts as {counts}. {way_out}"


class MoveForm(SignedForm):
    place = forms.ModelChoiceField(Place.objects.all(), label="It stands now", empty_label=None)


KINDS = [(kind, "away with a partner studio" if kind == Place.Kind.AWAY else kind.value) for kind in Place.Kind]


class PlaceForm(SignedForm):
    name = forms.CharField(max_length=80, help_text="As somebody would shout it across the room.")
    kind = forms.ChoiceField(choices=KINDS, widget=forms.RadioSelect, initial=Place.Kind.SHELF)


DIMENSIONS = {
    dimension.value: [(unit.name, unit.label or unit.name) for unit in units.UNITS[dimension.value]]
    for dimension in Material.Dimension
}
DIMENSION_OF = {name: dimension for dimension, choices in DIMENSIONS.items() for name, _ in choices}


class MaterialForm(SignedForm):
    """A kind of thing that the studio keeps; what is measured in decides how every amount of it is typed."""

    name = forms.CharField(max_length=120, help_text="As printed on the pack, with size or strength.")
    category = forms.CharField(
        max_length=60, widget=forms.TextInput(attrs={"list": "categories", "autocomplete": "off"})
    )
    shown_unit = forms.ChoiceField(label="Measured in", choices=list(DIMENSIONS.items()), initial="g")
    bath_use = forms.TypedChoiceField(
        label="In a bath it is",
        choices=[(use.value or NOT_A_SALT, use.label) for use in BathUse],
        coerce=lambda use: BathUse.NONE if use == NOT_A_SALT else use,
        widget=forms.RadioSelect,
        initial=NOT_A_SALT,
    )
    purity_percent = NumberField(
        label="Purity, %",
        low=1,
        high=100,
        unit="%",
        required=False,
        help_text="The assay on the pack; empty counts as 100.",
    )
    cup_g = NumberField(
        label="One level cup weighs, g",
        low=10,
        high=2500,
        unit="g",
        required=False,
        help_text="Weigh it once; then crystals can be measured by the cup.",
    )
    reorder_level = forms.CharField(
        label="Reorder at",
        max_length=units.LONGEST_TEXT,
        required=False,
        help_text="An amount with its unit; at this or less it is low.",
    )

    def __init__(self, *args, material=None, **kwargs):
        self.material = material or Material()
        super().__init__(*args, **kwargs)
        self.cups = self.request.workshop.cups
        if material:
            self.fields["shown_unit"].choices = DIMENSIONS[material.dimension]
            self.initial |= self._known(material)

    def clean(self):
        typed = super().clean()
        dimension = DIMENSION_OF.get(typed.get("shown_unit"))
        if dimension:
            self._read_reorder_level(typed, dimension)
            self._check_bath_use(typed, dimension)
        return typed

    def facts(self):
        typed = self.cleaned_data
        material = self.material
        material.name, material.category = typed["name"], typed["category"]
        material.shown_unit, material.dimension = typed["shown_unit"], DIMENSION_OF[typed["shown_unit"]]
        material.bath_use, material.reorder_level = typed["bath_use"], typed["reorder_level"]
        material.purity = (typed["purity_percent"] or 100) / 100
        material.bulk_density_g_per_ml = typed["cup_g"] / self._cup_ml() if typed["cup_g"] else None
        return {"material": material}

    def _known(self, material: Material) -> dict:
        density = material.bulk_density_g_per_ml
        return {
            "name": material.name,
            "category": material.category,
            "shown_unit": material.shown_unit,
            "bath_use": material.bath_use or NOT_A_SALT,
            "purity_percent": material.purity * 100,
            "cup_g": round(density * self._cup_ml(), 1) if density else None,
            "reorder_level": material.show(material.reorder_level) if material.reorder_level else "",
        }

    def _cup_ml(self) -> float:
        return units.parse("1 cup", "volume", cups=self.cups) / 1000

    def _read_reorder_level(self, typed: dict, dimension: str) -> None:
        try:
            level = typed.get("reorder_level")
            typed["reorder_level"] = units.parse(level, dimension, cups=self.cups) if level else 0
        except units.NotUnderstood as error:
            self.add_error("reorder_level", str(error))

    def _check_bath_use(self, typed: dict, dimension: str) -> None:
        use = typed.get("bath_use")
        if use in hydrates.COPPER_SULFATES and dimension != Material.Dimension.MASS:
            self.add_error("shown_unit", "A bath salt is weighed; choose g or another unit of mass.")
        if use == BathUse.WATER and dimension != Material.Dimension.VOLUME:
            self.add_error("shown_unit", "Water for the bath is poured; choose L or another unit of volume.")
        if use == BathUse.NONE and hydrates.sounds_like_copper_sulfate(typed.get("name", "")):
            self.add_error(
                "bath_use",
                "That sounds like copper sulfate: blue crystals or pale powder? 1 kg of the powder counts as "
                + hydrates.worth(ONE_KG_MG, BathUse.PALE_POWDER, in_terms_of=BathUse.BLUE_CRYSTALS)
                + ".",
            )
