"""Entries: the only way to begin one, and the only way to strike one."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import reduce
from operator import or_
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.apps import apps
from django.contrib.auth.models import User
from django.db import IntegrityError, connection, transaction
from django.db.models import Max, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory import facts, ledger
from inventory.asked_often import asked_often
from inventory.dates import long_moment
from inventory.entries import EntryKind, Lockable
from inventory.kinds import KEPT
from inventory.models import AuditedModel, Entry, Person
from inventory.refusals import Refused
from inventory.uploads import gone_unless_written

Wanted = TypeVar("Wanted")
Held = TypeVar("Held")
MOST_NAMED = 3
CLOCKS_DIFFER = timedelta(minutes=5)  # by so much machines that keep one book may


@dataclass(frozen=True, kw_only=True)
class Signed:
    """Who did it, who wrote it down, when, the key that makes a double tap write once, and what was sent under it."""

    done_by: Person
    recorded_by: User | None = None
    happened_at: datetime | None = None
    note: str = ""
    key: UUID | None = None
    form_digest: str = ""


class Outrun(Exception):
    """What is to be locked has changed while somebody waited for it."""


class AlreadyWritten(Exception):
    """A form with this key arrived before; what it wrote stands."""

    def __init__(self, entry: Entry):
        super().__init__(_("Already written: %(entry)s.") % {"entry": entry})
        self.entry = entry


@contextmanager
def entry(kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """
    Open one entry in one transaction; everything the act changes is written inside.

    Raises AlreadyWritten when the key is in the book, Refused when the moment lies in the future, Undeclared when no
    feature declares the kind.
    """
    now = timezone.now()
    happened_at = by.happened_at or now
    if happened_at > now:
        raise Refused(
            "happened_at",
            _("%(happened_at)s has not come yet; the book takes what has happened.")
            % {"happened_at": long_moment(happened_at)},
        )
    refuse_wrong_clock(now)
    try:
        with gone_unless_written(), transaction.atomic():
            yield Entry.objects.create(
                kind=EntryKind.known(kind),
                # cut and not refused: a long name must not keep what happened out of the book
                subject=subject[:160],
                done_by=by.done_by,
                recorded_by=by.recorded_by,
                happened_at=happened_at,
                recorded_at=now,
                note=by.note,
                key=by.key or uuid4(),
                form_digest=by.form_digest,
            )
    except IntegrityError:
        # the key is written first of all, and only once
        if by.key:
            refuse_a_second_time(by.key)
        raise


def refuse_wrong_clock(now: datetime) -> None:
    """A line dated before others by a clock that went back would move nothing, for a count came after it."""
    if wrong := wrong_clock(now):
        raise Refused(None, wrong)


def wrong_clock(now: datetime, *, others: datetime | None = None) -> str:
    """What is wrong with this machine's clock, beside the latest line and what another machine has; mostly nothing."""
    latest = max(last_recorded(), default=None)
    if latest and latest > now + CLOCKS_DIFFER:
        said = _("The clock of this machine says %(now)s, but a line was written on %(latest)s. Put the clock right.")
        return said % {"now": long_moment(now), "latest": long_moment(latest)}
    if others and abs(others - now) > CLOCKS_DIFFER:
        said = _("The clock of this machine says %(now)s, that of the database %(others)s. Put the wrong one right.")
        return said % {"now": long_moment(now), "others": long_moment(others)}
    return ""


def as_it_stands(entry: int) -> Entry:
    """Asked once a lock is held: PostgreSQL would hand out what it was before the wait beside the locked row."""
    [found] = entries_now(entry)
    return found


@asked_often
def entries_now(entry: int) -> QuerySet[Entry]:
    return Entry.objects.filter(pk=entry)


@asked_often
def last_recorded() -> QuerySet[Entry, datetime]:
    return Entry.objects.order_by("-pk").values_list("recorded_at", flat=True)[:1]


def change(thing: AuditedModel, values: Mapping[str, Any], *, kind: str, subject: str, by: Signed) -> Entry:
    """One entry by which facts of a thing change, and nothing else."""
    with entry(kind, subject, by) as written:
        facts.change(thing, values, entry=written)
    return written


def add(thing: AuditedModel, *, kind: str, subject: str, by: Signed) -> Entry:
    """One entry with which a thing comes into the book."""
    with entry(kind, subject, by) as written:
        thing.check_facts()
        thing.save()
    return written


def take_turns() -> None:
    """
    Until the transaction ends nobody else strikes.

    Of two at once the one with the earlier moment might end last, and no page would notice that there is one more.
    """
    # on SQLite a transaction holds all others from its beginning
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(hashtext('mordant strikes'))")


@transaction.atomic
def strike(struck: Entry, *, by: Signed, reason: str) -> Entry:
    """
    Strike an entry: it stays readable and stops counting, with everything it wrote.

    Refused when it is struck already, without a reason, while later lines rest on it, or when stock would fall below
    nothing. Standing counts keep their amounts: what that takes is written as an entry of its own.
    """
    if not reason.strip():
        raise Refused("reason", _("Say why, in a few words; the line stays readable with your reason beside it."))
    # before anything is looked at: what is true of an unlocked row may have ended by the time it is struck
    touched = lock_touched(struck)
    refuse_out_of_turn(struck, touched)
    # read again, locked: somebody may have struck it a moment ago
    struck = Entry.objects.select_for_update(of=("self",)).get(pk=struck.pk)
    if struck.struck_at:
        raise Refused(
            None,
            _("Struck already by %(struck_by)s on %(struck_at)s.")
            % {"struck_by": struck.struck_by, "struck_at": long_moment(struck.struck_at)},
            ways=[(_("The line in the book"), struck.get_absolute_url())],
        )
    containers = ledger.void_receipts(struck, ledger.lock_containers_of(struck))
    # behind every lock on a row: whoever waits for one of them must not hold the turn
    take_turns()
    # after every other strike, whatever the clock says, or pages would not notice that there is one more
    latest = Entry.objects.exclude(struck_at=None).aggregate(at=Max("struck_at"))["at"]
    at = max(filter(None, (timezone.now(), latest and latest + timedelta(microseconds=1))))
    Entry.objects.filter(pk=struck.pk).mark_struck(by=by.done_by, at=at, reason=reason.strip()[:200])
    for container in containers:
        ledger.put_in_place(container)
        if struck.openings.exists() or struck.movements.breaking_the_seal().exists():
            ledger.refresh_opened_on(container)
        kept = ledger.rebuild_on_hand(container, struck)
        if kept:
            subject = _("Kept %(code)s in line with its counts when “%(struck)s” was struck") % {
                "code": container.code,
                "struck": struck,
            }
            signed = Signed(done_by=by.done_by, recorded_by=by.recorded_by, happened_at=struck.happened_at)
            with entry(KEPT, subject, signed) as keeping:
                ledger.record_compensation(container, kept, entry=keeping)
    struck.refresh_from_db()
    facts.restore(struck)
    # last, because a replay reads stock and facts as they are without the entry
    for model, rows in touched.items():
        model.after_strike(rows, struck)
    return struck


@transaction.atomic
def refusal_of_strike(struck: Entry) -> Refused | None:
    """Why it cannot be struck as the book stands, told before anybody has typed a reason."""
    try:
        refuse_out_of_turn(struck, lock_touched(struck))
    except Refused as refusal:
        return refusal
    return None


def lock_touched(struck: Entry) -> dict[type[Lockable], list[Lockable]]:
    """
    What the lines of an entry speak of, locked.

    In the order of the features and then of the rows, and before the containers, as everything that is written locks
    them, or the two could wait for each other.
    """

    def wanted() -> dict[type[Lockable], set[int]]:
        found: dict[type[Lockable], set[int]] = {}
        for line in struck.lines:
            for model, keys in line.touched_by(struck).items():
                found.setdefault(model, set()).update(keys)
        return found

    def locked(keys: dict[type[Lockable], set[int]]) -> dict[type[Lockable], list[Lockable]]:
        # models are listed as their features are installed, which is the order in which operations lock
        in_turn = [model for model in apps.get_models() if model in keys]
        return {
            model: list(model._base_manager.select_for_update(of=("self",)).filter(pk__in=keys[model]).order_by("pk"))
            for model in in_turn
        }

    return lock_together(wanted, locked)


def lock_together(wanted: Callable[[], Wanted], locked: Callable[[Wanted], Held]) -> Held:
    """
    Lock all that an act needs in one order, asked for again once it is held: others may have written meanwhile.

    Then all of it is given back and locked anew. What is locked late could be held by somebody who waits for the rest.
    """
    # on SQLite a transaction holds all others from its beginning
    if connection.vendor == "sqlite":
        return locked(wanted())
    while True:
        asked = wanted()
        # a savepoint that is rolled back to gives back the locks taken since
        with suppress(Outrun), transaction.atomic():
            held = locked(asked)
            if wanted() == asked:
                return held
            raise Outrun


def refuse_out_of_turn(struck: Entry, touched: dict[type[Lockable], list[Lockable]]) -> None:
    """Refuse while entries would be left without what they speak of, and name the latest."""
    facts.refuse_strike(struck)
    for model, rows in touched.items():
        model.refuse_strike(rows, struck)
    resting = reduce(or_, (line.resting_on(struck) for line in struck.lines), Q())
    if not resting:
        return
    # one more than is named, to tell whether there are others
    latest = list(Entry.objects.standing().filter(resting).exclude(pk=struck.pk).latest_first()[: MOST_NAMED + 1])
    if latest:
        named = "; ".join(f"“{each}”" for each in latest[:MOST_NAMED])
        words = _("Later lines rest on this one; strike them first, the latest before the others: %(named)s.")
        if len(latest) > MOST_NAMED:
            words = _(
                "Later lines rest on this one; strike them first, the latest before the others: %(named)s and others."
            )
        raise Refused(
            "reason",
            words % {"named": named},
            ways=[(str(each), each.get_absolute_url()) for each in latest[:MOST_NAMED]],
        )


def refuse_a_second_time(key: UUID) -> None:
    first = Entry.objects.filter(key=key).first()
    if first:
        raise AlreadyWritten(first)
