"""What is typed at a cathode: masses on a scale, and what that is good to."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.quantity import quantity
from studio.baths.fields import QuantityField
from studio.pages.fields import NumberField, with_quantities
from studio.pages.quantities import grams

MOST_G = 20_000.0


class SheetMassField(QuantityField):
    """A mass, in grams; more than anything that hangs in a bath is questioned."""

    def __init__(self, *, low_g: float = 0.01, **kwargs):
        # nought for a strip, of which there may be powder alone
        self.low_g = low_g
        super().__init__("g", "kg", **kwargs)

    def to_python(self, value):
        typed = super().to_python(value)
        if typed is None:
            return None
        mass_g = grams(typed.amount)
        if mass_g > MOST_G:
            raise ValidationError(
                _("%(mass_g)s is more than any cathode weighs; look again at the unit.")
                % {"mass_g": quantity(mass_g / 1000, "kg")}
            )
        if mass_g < self.low_g:
            raise ValidationError(
                _("%(mass_g)s is less than a scale shows here; look again at the number.")
                % {"mass_g": quantity(mass_g, "g")}
            )
        return mass_g


class DryField(forms.TypedChoiceField):
    """A wet weighing is kept, and judges nothing."""

    def __init__(self, **kwargs):
        super().__init__(
            label=_("Weighed"),
            widget=forms.RadioSelect,
            choices=[("dry", _("Rinsed and dry")), ("wet", _("Still wet: kept, but not judged by"))],
            initial="dry",
            coerce=lambda value: value == "dry",
            **kwargs,
        )


def scale_field(**kwargs) -> NumberField:
    usual: dict[str, Any] = {
        "low": 0.001,
        "high": 100,
        "unit": "g",
        "label": _("The scale is good to ±"),
        "help_text": with_quantities(
            gettext_lazy("Half of what it jumps by is the least; a kitchen scale is rarely better than %(least)s."),
            least=(1, "g", 1),
        ),
    }
    return NumberField(**usual | kwargs)
