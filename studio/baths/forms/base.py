from studio.baths.models import Bath
from studio.writing import SignedForm


class BathForm(SignedForm):
    """What is written of one bath, typed in the studio's units."""

    def __init__(self, *args, bath: Bath, **kwargs):
        super().__init__(*args, **kwargs)
        self.bath = bath
        self.units = self.request.workshop.units
        for name in list(self.fields):
            self._read_in_units(name)

    def add(self, name, field) -> None:
        """A field that depends on what is there, such as one for each jar."""
        self.fields[name] = field
        self._read_in_units(name)

    def _read_in_units(self, name) -> None:
        field = self.fields[name]
        if hasattr(field, "read_in"):
            field.read_in(self.units)
