"""What the book will not write, each with the field that it concerns and a sentence for the person at the bench."""

from django.core.exceptions import ValidationError


class Refused(ValidationError):
    """A write that would make the book untrue. `field` names the answer to change, None the whole form."""

    def __init__(self, field: str | None, message: str):
        super().__init__(message)
        self.field = field


class NotEnoughStock(Refused):
    """More would leave a container than is in it."""
