import secrets
from collections.abc import Iterable
from typing import ClassVar

from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.models import Change, EntryLineQuerySet, SoleEntryLine


def unguessable() -> str:
    # 256 bits, because the address is all that is asked for
    return secrets.token_urlsafe(32)


class CalendarAddressQuerySet(EntryLineQuerySet["CalendarAddress"]):
    def open(self):
        """Not struck, and of somebody who may still sign in."""
        return (
            self.standing()
            .filter(entry__recorded_by__person__left_on=None)
            .exclude(entry__recorded_by__person__role="")
        )


class CalendarAddress(SoleEntryLine):
    """
    A secret address at which somebody's calendar fetches reminders without signing in.

    Whoever knows it reads them; striking its entry shuts it.
    """

    columns = {}  # whoever reads it knows the address
    NOT_SEALED = ("token",)  # it stays here when the book is taken along

    token = models.CharField(max_length=64, unique=True, default=unguessable, editable=False)

    objects: ClassVar = CalendarAddressQuerySet.as_manager()

    def __str__(self):
        return _("an address for a calendar")

    def get_absolute_url(self):
        return reverse("waste:reminders", args=[self.token])

    def changes(self) -> Iterable[Change]:
        return ()  # whoever reads the book would know the address
