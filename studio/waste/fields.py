"""What is typed at a drum: so many litres or grams, whichever was measured, and what a vessel weighs."""

from django import forms
from django.core.exceptions import ValidationError

from chemistry.measured import Measured, digits
from chemistry.waste import drum as sums
from studio.baths.fields import QuantityField
from studio.pages.quantities import grams, litres

VOLUMES = dict.fromkeys(("L", "mL", "gal"), "volume")
MASSES = dict.fromkeys(("kg", "g", "lb", "oz"), "mass")
MOST_L, MOST_G = 1000.0, 1_000_000.0


class WasteAmountField(QuantityField):
    """Litres by the jug or grams by the scale, each with its spread: arguments of `operations.DepositRequest`."""

    def __init__(self, **kwargs):
        super().__init__(units=VOLUMES | MASSES, **kwargs)

    def to_python(self, value) -> dict[str, Measured]:
        quantity = super().to_python(value)
        if quantity is None:
            # empty and not None: forms spread it into the request as it is
            return {}
        if quantity.dimension == "volume":
            return {"litres": sums.poured(_below(litres(quantity.amount), MOST_L, "L"))}
        return {"mass_g": sums.weighed(_below(grams(quantity.amount), MOST_G, "g"))}


class WasteMassField(QuantityField):
    """What a scale shows, in grams."""

    def __init__(self, **kwargs):
        super().__init__(units=MASSES, **kwargs)

    def to_python(self, value) -> float | None:
        quantity = super().to_python(value)
        return None if quantity is None else _below(grams(quantity.amount), MOST_G, "g")


def _below(value: float, most: float, unit: str) -> float:
    if value > most:
        raise ValidationError(f"{digits(value)} {unit} is more than a studio has in a drum; look again at the unit.")
    return value


class PiecesField(forms.IntegerField):
    """Towels, rags, plates."""

    default_error_messages = {"invalid": "Give a whole number, such as 3."}

    def __init__(self, **kwargs):
        typed = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(min_value=1, max_value=5000, widget=typed, **kwargs)
