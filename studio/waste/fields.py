"""What is typed at a drum: so many litres or grams, whichever was measured, and what a vessel weighs."""

from django import forms
from django.utils.translation import gettext_lazy

from chemistry.measured import Measured
from chemistry.waste import drum as sums
from studio.baths.fields import MOST_G, QuantityField, below
from studio.pages.quantities import grams, litres

MOST_L = 1000.0


class WasteAmountField(QuantityField):
    """Litres by the jug or grams by the scale, each with its spread: arguments of `operations.DepositRequest`."""

    def __init__(self, **kwargs):
        super().__init__("L", "mL", "kg", "g", **kwargs)

    def to_python(self, value) -> dict[str, Measured]:
        quantity = super().to_python(value)
        if quantity is None:
            # empty and not None: forms spread it into the request as it is
            return {}
        if quantity.dimension == "volume":
            return {"litres": sums.poured(below(litres(quantity.amount), MOST_L, "L"))}
        return {"mass_g": sums.weighed(below(grams(quantity.amount), MOST_G, "g"))}


class PiecesField(forms.IntegerField):
    """Towels, rags, plates."""

    default_error_messages = {"invalid": gettext_lazy("Give a whole number, such as 3.")}

    def __init__(self, **kwargs):
        typed = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(min_value=1, max_value=5000, widget=typed, **kwargs)
