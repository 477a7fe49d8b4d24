"""Entries: the only way to begin one, and the only way to strike one."""

from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.formats import date_format

from inventory import facts, ledger
from inventory.models import Container, Entry, Movement, Person
from inventory.refusals import Refused


@dataclass(frozen=True, kw_only=True)
class Signed:
    """Who did it, who wrote it down, when, and the key that makes a double tap write once."""

    done_by: Person
    recorded_by: User | None = None
    happened_at: datetime | None = None
    note: str = ""
    key: UUID | None = None


class AlreadyWritten(Exception):
    """The same form arrived twice; the first one stands."""

    def __init__(self, entry: Entry):
        super().__init__(f"Already written: {entry}.")
        self.entry = entry


@contextmanager
def entry(kind: str, subject: str, by: Signed):
    """
    Open one entry in one transaction; everything the act changes is written inside.

    Raises AlreadyWritten when the key is in the book, Refused when the moment lies in the future.
    """
    now = timezone.now()
    happened_at = by.happened_at or now
    if happened_at > now:
        raise Refused("happened_at", f"{_when(happened_at)} has not come yet; the book takes what has happened.")
    if by.key:
        _refuse_a_second(by.key)
    try:
        with transaction.atomic():
            yield Entry.objects.create(
                kind=kind,
                subject=subject[:160],
                done_by=by.done_by,
                recorded_by=by.recorded_by,
                happened_at=happened_at,
                recorded_at=now,
                note=by.note,
                key=by.key or uuid4(),
            )
    except IntegrityError:
        # the twin may have been committed between the look and the write
        if by.key:
            _refuse_a_second(by.key)
        raise


@transaction.atomic
def strike(struck: Entry, *, by: Signed, reason: str) -> Entry:
    """
    Strike an entry: it stays readable and stops counting, with everything it wrote.

    Refused when it is struck already, without a reason, or when stock would fall below nothing.
    Standing counts keep their amounts: what that takes is written as an entry of its own.
    """
    if not reason.strip():
        raise Refused("reason", "Say why, in a few words; the line stays readable with your reason beside it.")
    struck = Entry.objects.select_for_update(of=("self",)).get(pk=struck.pk)
    if struck.struck_at:
        raise Refused(None, f"Struck already by {struck.struck_by} on {_when(struck.struck_at)}.")
    facts.refuse_strike(struck)
    touched = ledger.take_back(struck, _touched(struck))
    Entry.objects.filter(pk=struck.pk).mark_struck(by=by.done_by, at=timezone.now(), reason=reason.strip()[:200])
    for container in touched:
        ledger.put_in_place(container)
        if struck.openings.exists() or struck.movements.filter(kind=Movement.Kind.USED).exists():
            ledger.put_opened(container)
        kept = ledger.recount(container, struck)
        if kept:
            _keep(container, kept, struck, by)
    struck.refresh_from_db()
    facts.restore(struck)
    return struck


def _touched(struck: Entry) -> list[Container]:
    """The containers an entry speaks of, locked in one order for everybody."""
    lines = (struck.movements, struck.counts, struck.moves, struck.openings)
    touched = {pk for each in lines for pk in each.values_list("container", flat=True)}
    return list(
        Container.objects.select_for_update(of=("self",))
        .select_related("material")
        .order_by("material_id", "pk")
        .filter(pk__in=touched)
    )


def _keep(container: Container, amount: int, struck: Entry, by: Signed) -> None:
    subject = f"Kept {container.code} in line with its counts when “{struck}” was struck"
    signed = Signed(done_by=by.done_by, recorded_by=by.recorded_by, happened_at=struck.happened_at)
    with entry("kept in line with counts", subject, signed) as kept:
        ledger.keep(container, amount, entry=kept)


def _refuse_a_second(key: UUID) -> None:
    first = Entry.objects.filter(key=key).first()
    if first:
        raise AlreadyWritten(first)


def _when(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "j F Y, H:i")
