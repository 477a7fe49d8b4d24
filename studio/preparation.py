"""What a start puts in order before it serves; when there is nothing to do it takes a few milliseconds."""

import hashlib
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import QuerySet

from chemistry.bath import MODEL_VERSION
from studio.baths import operations as baths
from studio.baths.models import Bath
from studio.people.models import Session
from studio.people.sessions import SessionStore
from studio.printing.fonts import LETTERS
from studio.server import backups, copies, database, keeping, shared_cache
from studio.workshop import operations
from studio.workshop.models import Workshop

# each file costs a first start a tenth of a second, packed as small as it gets: other versions, and what papers have
ASKED_FOR_BY_NO_PAGE = ["htmax-*", "htmx-4*", "htmx-2.js", "ext", "django_tables2", "django_otp", "paper.css"]


class StartRefused(Exception):
    """This book may not be opened like that; the message says why."""


def prepare(*, empty: bool) -> Path | None:
    """Both of what follows; answers as `choose_book` does."""
    bring_up_to_date()
    return choose_book(empty=empty)


def bring_up_to_date() -> None:
    """Settle the journal, update the book if the code is newer (one node, while others wait), collect static files."""
    database.settle_journal()
    database.keep_from_others()
    refuse_strange(written := written_migrations())
    if is_behind(written):
        with database.alone("update", waiting="Another node is bringing the book up to date; waiting for it ..."):
            # again: whoever was at it may have done it, or more than this build knows
            refuse_strange(written := written_migrations())
            update(written)
    SessionStore.clear_expired()
    collect_static()


def written_migrations() -> set[tuple[str, str]]:
    return set(MigrationRecorder(connection).applied_migrations())


def refuse_strange(written: set[tuple[str, str]]) -> None:
    if strange := copies.strange_migrations(written):
        raise StartRefused(
            f"This book was written by another build, whose {strange[0]} this one does not know. Nothing was "
            "changed: open it with the build that wrote it, or name another folder in MORDANT_DATA."
        )


def is_behind(written: set[tuple[str, str]]) -> bool:
    return bool(copies.known_migrations() - written) or shared_cache.is_missing() or outdated_baths().exists()


def update(written: set[tuple[str, str]]) -> None:
    """Migrate, after a backup, and work out by this build's model what another one left."""
    if copies.known_migrations() - written:
        if written:
            keeping.make(keeping.BEFORE_UPDATE)
        call_command("migrate", interactive=False, verbosity=0)
        database.survey()
    if shared_cache.is_missing():
        shared_cache.make()
    # replayed once here, or the first who looks at a bath would wait for all of it
    if outdated := outdated_baths():
        baths.touch(outdated)


def outdated_baths() -> QuerySet[Bath]:
    """By an older model; what a newer one left is the next build's, whose nodes are there already."""
    return Bath.objects.exclude(estimated_model=0).filter(estimated_model__lt=MODEL_VERSION)


def other_key() -> str:
    """What is said where the last stay was begun by a node with another key; mostly nothing."""
    last = Session.objects.order_by("began_at").last()
    if last is None or SessionStore().decode(last.session_data):
        return ""
    return "Somebody is signed in by another key than this node has: give all nodes the same MORDANT_SECRET_KEY."


def collect_static() -> None:
    digest = hashlib.sha256(repr(LETTERS).encode())
    for finder in get_finders():
        for path, storage in finder.list(ASKED_FOR_BY_NO_PAGE):
            digest.update(path.encode() + Path(storage.path(path)).read_bytes())
    stamp = settings.DATA / "static.stamp"
    if stamp.exists() and stamp.read_text() == digest.hexdigest() and settings.STATIC_ROOT.exists():
        return
    call_command("collectstatic", interactive=False, clear=True, verbosity=0, ignore_patterns=ASKED_FOR_BY_NO_PAGE)
    # last: a start that is cut off before this line collects anew
    stamp.write_text(digest.hexdigest())


def choose_book(*, empty: bool) -> Path | None:
    """
    A first start opens the demo's book, unless an own one is wanted; the demo's is never shared.

    Returns the backup of the demo's book when an own one takes its place.
    """
    if is_demo():
        if empty:
            kept = backups.make(settings.DATA / "backups", occasion="demo")
            operations.empty_the_demo()
            return kept
        if settings.SHARED:
            raise StartRefused(
                "This is the demo's book, and its password is known to all: it stays on this machine. "
                "`start --empty --share` begins your own in its place."
            )
    elif not (empty or settings.SHARED or Workshop.objects.exists()):
        refuse_a_lost_book()
        with database.alone("demo", waiting="Another node fills the demo studio; waiting for it ..."):
            if not Workshop.objects.exists():
                call_command("demo", verbosity=0)
    return None


def refuse_a_lost_book() -> None:
    """An empty database beside the backups of a book, or where one was restored, is a loss, and no first start."""
    copies_of_it = [backup.name for backup in keeping.kept() if backup.occasion != "demo"]
    if copies_of_it:
        raise StartRefused(
            f"There is no book here, though {keeping.storage().place} keeps copies of one. Bring it back with "
            f"`python3 manage.py restore {copies_of_it[-1]}`, or begin anew with `start --empty`."
        )
    if traces := backups.traces_of_restores():
        raise StartRefused(
            f"There is no book here, though one was being restored or had been: {traces[0]} is left of it. "
            "Run `python3 manage.py restore` again, or begin anew with `start --empty`."
        )


def is_demo() -> bool:
    return Workshop.objects.filter(is_demo=True).exists()
