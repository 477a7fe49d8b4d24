"""Secret addresses of calendars: made, shut, and never handed out twice. Each is an entry, and striking it shuts it."""

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from inventory import book
from inventory.book import Signed
from inventory.models import Entry
from studio.waste import kinds
from studio.waste.models import CalendarAddress


def open_addresses(account: User) -> QuerySet[CalendarAddress]:
    """Whoever wrote it down has it; there is one at a time."""
    return CalendarAddress.objects.open().filter(entry__recorded_by=account).order_by("-pk")


def make(*, by: Signed) -> Entry:
    """A new address; the one before it leads nowhere from now on."""
    with book.entry(kinds.CALENDAR, _("Made an address for a calendar"), by) as entry:
        # before the new one is made, or it would be shut as well
        _shut(by, _("a new one took its place"))
        CalendarAddress.objects.create(entry=entry)
    return entry


def shut(*, by: Signed) -> Entry:
    """The address leads nowhere from now on."""
    with book.entry(kinds.CALENDAR, _("Shut the address of a calendar"), by) as entry:
        _shut(by, _("shut by whose calendar it was"))
    return entry


def _shut(by: Signed, reason: str) -> None:
    assert by.recorded_by
    # all of them: of two made at one moment the older would stay open, and no page would show it
    for address in open_addresses(by.recorded_by):
        book.strike(address.entry, by=by, reason=reason)
