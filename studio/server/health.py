"""How this node is: "ok" or "not ok" to whoever asks, more to whoever asks from the machine itself."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import NamedTuple

from django.conf import settings
from django.db import Error, connection
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.measured import plain
from studio.server import copies, ground, keeping, network

PATH = "/health/"
NO_BOOK_BEFORE = datetime(2025, 1, 1, tzinfo=UTC)  # a machine without a battery begins long before


class Check(NamedTuple):
    """What was looked at, whether pages can be answered in spite of it, and what there is to say."""

    name: str
    is_well: bool
    words: str
    is_needed: bool = True  # by pages; a node with an old backup still answers them


def answered(get_response):
    """Middleware before all others: a check asks by any name, without HTTPS, and even while the database is gone."""

    def middleware(request):
        if request.path_info != PATH:
            return get_response(request)
        found = list(checks())
        is_well = all(check.is_well for check in found if check.is_needed)
        lines = ["ok" if is_well else "not ok"]
        if network.is_this_machine(request):
            lines += [f"{check.name}: {check.words}" for check in found]
        headers = {"Cache-Control": "no-store"}
        said = "\n".join(lines) + "\n"
        return HttpResponse(said, status=200 if is_well else 503, content_type="text/plain", headers=headers)

    return middleware


def checks() -> Iterator[Check]:
    yield disk()
    try:
        found = [database(), migrations(), clock()]
    except Error as error:
        found = [Check(_("database"), False, _("cannot be reached: %(error)s") % {"error": f"{error}".strip()})]
    yield from found
    yield backup()


def disk() -> Check:
    free = ground.free(settings.DATA)
    words = _("%(free)s MB are free") % {"free": plain(free // 1_000_000, 0)}
    return Check(_("disk"), not ground.is_full(settings.DATA), words)


def database() -> Check:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return Check(_("database"), True, connection.display_name)


def migrations() -> Check:
    written = set(MigrationRecorder(connection).applied_migrations())
    if strange := copies.strange_migrations(written):
        words = _("the book is of a newer build: %(name)s") % {"name": strange[0]}
    elif missing := sorted(copies.known_migrations() - written):
        words = _("the book is of an older build: %(name)s is missing") % {"name": " ".join(missing[0])}
    else:
        return Check(_("migrations"), True, _("up to date"))
    return Check(_("migrations"), False, words)


def clock() -> Check:
    from inventory import book  # there are no models before the application is made

    now = timezone.now()
    wrong = book.wrong_clock(now, others=database_clock())
    if now < NO_BOOK_BEFORE:
        wrong = _("The clock of this machine says %(now)s. Put the clock right.") % {"now": f"{now:%Y-%m-%d}"}
    return Check(_("clock"), not wrong, wrong or f"{now:%Y-%m-%d %H:%M} UTC", is_needed=False)


def database_clock() -> datetime | None:
    """What time PostgreSQL has, which may stand on another machine."""
    if connection.vendor == "sqlite":
        return None
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        at: datetime = cursor.fetchone()[0]
        return at


def backup() -> Check:
    is_well = keeping.standing.is_any and not keeping.standing.warning
    return Check(_("backup"), is_well, keeping.standing.words, is_needed=False)
