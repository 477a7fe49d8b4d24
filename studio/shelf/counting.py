"""Counts: walk along a place and look, blind; then say for each difference why the book follows the count."""

from dataclasses import replace
from datetime import datetime, timedelta
from uuid import uuid4

from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory import book, ledger
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Container, Entry, Person, Place
from inventory.refusals import Refused
from studio.shelf import kinds
from studio.shelf.models import CountLine, CountSheet

LONGEST_WALK = timedelta(days=31)  # what somebody saw longer ago says little of today: common practice, no source


def begin(place: Place, *, by: Person) -> CountSheet:
    """The open sheet of a place, begun now unless somebody has begun one: two people there share it."""
    # the database keeps it to one: of two who begin at the same moment the second gets the sheet of the first
    sheet, is_new = CountSheet.objects.get_or_create(
        place=place, finished_at=None, defaults={"begun_by": by, "begun_at": timezone.now()}
    )
    return sheet


@transaction.atomic
def note(sheet: CountSheet, amounts: dict[Container, int], *, by: Person, at: datetime | None = None) -> None:
    """So much was in each container when somebody looked; looked at again, the later look stands."""
    now = timezone.now()
    counted_at = at or now
    if counted_at > now:
        raise Refused("happened_at", _("That has not come yet; say when it was counted."))
    if now - counted_at > LONGEST_WALK:
        raise Refused("happened_at", _("That is more than a month ago; count again."))
    refuse_finished(sheet)
    for container, amount in amounts.items():
        # a count before it came would take the whole receipt for a difference
        if timezone.localdate(counted_at) < container.received_on:
            came = long_day(container.received_on)
            raise Refused(
                "happened_at",
                _("%(code)s came on %(came)s; nobody counted it before.") % {"code": container.code, "came": came},
            )
        seen = {"amount": amount, "counted_by": by, "counted_at": counted_at}
        CountLine.objects.update_or_create(sheet=sheet, container=container, defaults=seen)


@transaction.atomic
def finish(sheet: CountSheet) -> None:
    """Nothing more is counted on it; its differences wait for somebody to decide them."""
    refuse_finished(sheet)
    CountSheet.objects.filter(pk=sheet.pk).update(finished_at=timezone.now())


@transaction.atomic
def decide(sheet: CountSheet, *, lines: list[CountLine], reason: str, by: Signed) -> Entry:
    """
    The book follows the count, with the reason why they differed: one entry a line, at the moment it was counted.

    Whatever came or went since then stays as it was written.
    """
    # two keyholders at once would otherwise write every count twice
    CountSheet.objects.select_for_update().get(pk=sheet.pk)
    open_lines = CountLine.objects.undecided().select_related("container__material")
    wanted = list(open_lines.filter(sheet=sheet, pk__in=[line.pk for line in lines]).order_by("counted_at", "pk"))
    if not wanted:
        ways = [(_("What differs now"), reverse("shelf:count_differences", args=[sheet.pk]))]
        raise Refused("lines", _("Somebody has decided these already; look at the list again."), ways=ways)
    key = by.key
    for line in wanted:
        jar, signed = line.container, replace(by, key=key or uuid4(), happened_at=line.counted_at)
        # the form's key goes with its first entry, so that a second tap finds it
        key = None
        subject = _("Counted %(show)s of %(material)s in %(code)s: %(reason)s") % {
            "show": jar.material.show(line.amount),
            "material": jar.material,
            "code": jar.code,
            "reason": reason,
        }
        with book.entry(kinds.COUNTED, subject, signed) as entry:
            ledger.count(jar, line.amount, entry=entry)
            CountLine.objects.filter(pk=line.pk).update(entry=entry)
    return entry


def refuse_finished(sheet: CountSheet) -> None:
    # locked: a count noted while somebody else finishes the sheet would be listed by nobody
    if CountSheet.objects.select_for_update().get(pk=sheet.pk).finished_at:
        ways = [(_("Begin another count"), reverse("shelf:counts"))]
        raise Refused(None, _("This count is finished; begin another for what was missed."), ways=ways)
