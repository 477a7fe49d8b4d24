from collections.abc import Iterable

from django import forms

from studio.baths.models import Bath
from studio.pages.quantities import Units
from studio.pages.writing import SignedForm


class BathForm(SignedForm):
    """What is written of one bath, typed in the studio's units."""

    def __init__(self, *args, bath: Bath, **kwargs):
        super().__init__(*args, **kwargs)
        self.bath = bath
        self.units = self.request.workshop.units
        read_in(self.fields.values(), self.units)

    def add(self, name: str, field: forms.Field) -> None:
        """A field that depends on what is there, such as one for each jar."""
        self.fields[name] = field
        read_in([field], self.units)


def read_in(fields: Iterable[forms.Field], units: Units) -> None:
    """Let the fields that have a unit take the studio's."""
    for field in fields:
        if hasattr(field, "read_in"):
            field.read_in(units)
