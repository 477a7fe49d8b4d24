from django.core.exceptions import ValidationError

from chemistry import units
from studio.pages.fields import NumberField, TypedField, WholeNumberField, understood

MOST_CENTS = 10_000_000  # 100,000 of any currency: a slip rather than a price


class PriceField(TypedField):
    """A price such as "12.50" or "12,50", as whole cents."""

    widget = NumberField.widget

    def read(self, typed: str) -> int:
        cents = understood(units.parse_number, typed) * 100
        # rounded, the price in the book would not be the one on the bill
        if cents != int(cents):
            raise ValidationError(f"“{typed}” goes finer than cents; write two decimals at most.")
        if cents > MOST_CENTS:
            raise ValidationError(f"“{typed}” is more than a pack costs; look again at the decimal mark.")
        return int(cents)

    def prepare_value(self, value):
        return f"{value / 100:.2f}" if isinstance(value, int) else value


class PacksField(WholeNumberField):
    """A whole number of packs."""

    MOST = 999

    def __init__(self, **kwargs):
        words = "A whole number of packs, such as 2."
        super().__init__(
            min_value=0,
            max_value=self.MOST,
            error_messages={"invalid": words, "min_value": words, "max_value": f"At most {self.MOST} at once."},
            **kwargs,
        )
