"""What is asked about one container, or about many at once."""

from itertools import groupby

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units, vessels
from inventory.models import Container, Place
from inventory.refusals import Refused
from studio.pages.fields import AmountField, NumberField
from studio.pages.writing import SignedForm
from studio.shelf.forms.materials import AmountForm, ReceiveForm

REASONS = (
    gettext_lazy("used up"),
    gettext_lazy("past its use-by"),
    gettext_lazy("spoilt or dried up"),
    gettext_lazy("spilled"),
    gettext_lazy("given away"),
    gettext_lazy("broken or lost"),
)


class ScoopField(AmountField):
    """An amount of what is weighed; by the cup too, once somebody has weighed one."""

    density_g_per_ml: float | None = None

    def read(self, typed: str) -> int:
        if not self.density_g_per_ml:
            return super().read(typed)
        try:
            return super().read(typed)
        # by weight first: a cup is never meant where grams are written
        except ValidationError as not_weighed:
            try:
                return round(vessels.parse_typed(typed, "volume", cups=self.cups) * self.density_g_per_ml)
            except units.NotUnderstood:
                raise not_weighed from None


class CountForm(AmountForm):
    amount = AmountField(dimension="mass", label=gettext_lazy("So much is there"))

    def __init__(self, *args, container, **kwargs):
        super().__init__(*args, material=container.material, **kwargs)


class ConfirmForm(CountForm):
    amount = AmountField(dimension="mass", label=gettext_lazy("So much arrived"))


class UseForm(CountForm):
    amount = ScoopField(label=gettext_lazy("Amount"), dimension="mass")

    def __init__(self, *args, container, **kwargs):
        super().__init__(*args, container=container, **kwargs)
        measure_by_the_cup(self.fields["amount"], container)


def measure_by_the_cup(field: ScoopField, container: Container) -> None:
    if container.material.dimension == "mass" and container.scoop_density_g_per_ml:
        field.density_g_per_ml = container.scoop_density_g_per_ml
        field.ask_for(container.material.dimension, container.material.shown_unit, field.cups, also=["cup"])
        field.help_text = _("%(help_text)s Or by the level cup, which has been weighed.") % {
            "help_text": field.help_text
        }


class UseSeveralForm(SignedForm):
    """A line for each material's first container, most of them left empty."""

    def __init__(self, *args, containers, **kwargs):
        super().__init__(*args, **kwargs)
        self.containers = {f"use-{jar.code}": jar for jar in containers}
        for name, jar in self.containers.items():
            label = f"{jar.material}, {jar.code}"
            field = ScoopField(
                dimension=jar.material.dimension, cups=self.request.workshop.cups, label=label, required=False
            )
            field.help_text = _("%(shown_on_hand)s left, %(place)s.") % {
                "shown_on_hand": jar.shown_on_hand(),
                "place": jar.place,
            }
            measure_by_the_cup(field, jar)
            self.fields[name] = field

    @property
    def content_fields(self):
        return []

    @property
    def folded(self):
        for category, named in groupby(self.containers.items(), lambda pair: pair[1].material.category):
            fields = [self[name] for name, jar in named]
            yield {"title": _(category), "fields": fields, "is_refused": any(field.errors for field in fields)}

    def clean(self):
        typed = super().clean()
        if not self.errors and not any(typed.get(name) for name in self.containers):
            raise ValidationError(_("Nothing is written beside any material; say how much was used of one at least."))
        return typed

    def facts(self):
        typed = self.cleaned_data
        return {"portions": [(jar, typed[name]) for name, jar in self.containers.items() if typed[name]]}

    def refuse(self, refusal: Refused) -> None:
        # the ledger names the jar, the form has a field for each
        name = f"use-{refusal.field}"
        self.add_error(name if name in self.fields else None, refusal)


class FinishForm(SignedForm):
    reason = forms.ChoiceField(
        label=gettext_lazy("What became of the rest"),
        choices=[(reason, reason) for reason in REASONS],
        widget=forms.RadioSelect,
    )


class SplitForm(UseForm):
    place = forms.ModelChoiceField(
        Place.objects.listed(), label=gettext_lazy("The second one stands"), empty_label=None
    )
    code = ReceiveForm.base_fields["code"]


class AwayForm(SignedForm):
    place = forms.ModelChoiceField(
        Place.objects.listed().filter(kind=Place.Kind.AWAY), label=gettext_lazy("To whom"), empty_label=None
    )


class CupForm(SignedForm):
    cup_g = NumberField(
        label=gettext_lazy("One level cup weighs"),
        low=10,
        high=2500,
        unit="g",
        help_text=gettext_lazy("Without the cup itself: set the scale to nought with the cup on it."),
    )

    def facts(self):
        cup_ml = units.parse("1 cup", "volume", cups=self.request.workshop.cups) / 1000
        return {"density_g_per_ml": self.cleaned_data["cup_g"] / cup_ml}
