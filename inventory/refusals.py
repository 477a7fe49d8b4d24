"""What the book will not write, each with the field that it concerns and a sentence for the person at the bench."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.functional import Promise


class Refused(ValidationError):
    """
    A write that would make the book untrue. `field` names the answer to change, None the whole form.

    kept_by: the record for whose sake a line stays, where there is one; it has a page.
    ways: what helps, each in words and with the address of its page.
    """

    def __init__(
        self,
        field: str | None,
        message: str | Promise,
        *,
        kept_by: Any = None,
        ways: Sequence[tuple[str, str]] = (),
    ):
        super().__init__(str(message))
        self.field = field
        self.kept_by = kept_by
        self.ways = ways


class NotEnoughStock(Refused):
    """More would leave a container than is in it."""


class Questioned(Refused):
    """What is asked about and may be written all the same; `why` without how to say so."""

    def __init__(self, field: str | None, why: str, how: str, *, ways: Sequence[tuple[str, str]] = ()):
        super().__init__(field, f"{why} {how}", ways=ways)
        self.why = why
