"""
Backups that the book makes by itself: where they are kept and how long, and what there is to say of the last one.

Each process that answers pages looks every few minutes and remembers what it saw, so that no page waits for storage
that may be far away or gone.
"""

import logging
import re
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.core.files.storage import storages
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory import uploads
from studio.server import backups, database
from studio.server.copies import Failed

log = logging.getLogger("studio.server")
DAILY, BY_HAND, BEFORE_UPDATE = "daily", "book", "before-update"
OF_THIS_BOOK = {DAILY, BY_HAND, BEFORE_UPDATE}  # the demo's, and the one a restore replaced, are of another
LASTING = {"%Y-%m-%d": 7, "%G-%V": 4, "%Y-%m": 12}  # the last one of so many days, weeks and months
OLD = timedelta(days=7)
DRAFT, HALF_MADE = ".backup-", timedelta(days=1)
TRIED_AGAIN_AFTER = timedelta(hours=1)
NAME = re.compile(r"(?P<occasion>[a-z-]+)-(?P<at>\d{4}-\d\d-\d\d-\d{6})(?:[-_]\w+)?\.zip")


class Backup(NamedTuple):
    """One that is kept, as its name tells: it was checked before it got that name."""

    name: str
    occasion: str
    at: datetime


class Standing(NamedTuple):
    """since: when the last good one was made, or without any when the book began. why_not: why the last try failed."""

    since: datetime | None = None
    is_any: bool = False
    why_not: str = ""
    failed_at: datetime | None = None

    @property
    def days(self) -> int:
        return (timezone.now() - self.since).days if self.since else 0

    @property
    def is_old(self) -> bool:
        return self.days >= OLD.days

    @property
    def words(self) -> str:
        ago = ngettext("the last one was made %(days)s day ago", "the last one was made %(days)s days ago", self.days)
        said = ago % {"days": self.days} if self.is_any else _("none seen yet")
        return (
            _("%(said)s; the last try failed: %(why)s") % {"said": said, "why": self.why_not} if self.why_not else said
        )

    @property
    def warning(self) -> str:
        """The sentence for the bench; mostly none."""
        if self.is_old and self.is_any:
            words = ngettext("The last backup is %(days)s day old.", "The last backup is %(days)s days old.", self.days)
            return words % {"days": self.days}
        if self.is_old:
            return _("There is no backup of this book.")
        return _("The last backup failed.") if self.why_not else ""


standing = Standing()  # as this process saw it last


def storage() -> Any:
    return storages["backups"]


def kept() -> list[Backup]:
    """All of them, the oldest first; Failed where they cannot be looked at."""
    found = ((name, NAME.fullmatch(name)) for name in names())
    told = [Backup(name, known["occasion"], made_at(known["at"])) for name, known in found if known]
    return sorted(told, key=lambda backup: (backup.at, backup.name))


def names() -> list[str]:
    try:
        found: list[str] = storage().listdir("")[1]
    except FileNotFoundError:
        return []
    # what far storage raises is its library's own
    except Exception as error:
        raise Failed(f"The backups in {storage().place} cannot be looked at: {error}.") from error
    return found


def made_at(stamp: str) -> datetime:
    return datetime.strptime(stamp, backups.STAMP).replace(tzinfo=UTC)


def make(occasion: str) -> str:
    """A backup where they are kept, read back from there, opened and checked; returns its name."""
    with tempfile.TemporaryDirectory(dir=settings.DATA, prefix=DRAFT) as draft:
        archive = backups.make(Path(draft), occasion=occasion, as_it_is=True)  # it is looked at as it comes back
        try:
            name: str = storage().get_available_name(archive.name)
            with archive.open("rb") as content:
                storage().bring_back(name, content)
            archive.unlink()
            try:
                storage().fetch(name, archive)
                backups.refuse_unsound(archive)
            except BaseException:
                storage().delete(name)
                raise
        except Failed:
            raise
        except Exception as error:
            raise Failed(f"No backup could be kept in {storage().place}: {error}. The book was only read.") from error
    return name


@contextmanager
def at_hand(said: str) -> Iterator[Path]:
    """The archive of a path or, where there is none, of the name of one that is kept."""
    if Path(said).exists():
        yield Path(said)
        return
    there = [backup.name for backup in kept()]
    if said not in there:
        raise Failed(f"There is no {said}. Kept in {storage().place}: {', '.join(there[::-1]) or 'none'}.")
    with tempfile.TemporaryDirectory(dir=settings.DATA, prefix=DRAFT) as draft:
        archive = Path(draft) / said
        storage().fetch(said, archive)
        yield archive


def outlived(dailies: Sequence[Backup]) -> list[Backup]:
    """Those, of daily ones with the oldest first, that no day, week or month is remembered by any more."""
    needed: set[Backup] = set()
    for period, number in LASTING.items():
        last_of_each = {f"{backup.at:{period}}": backup for backup in dailies}
        needed |= set(list(last_of_each.values())[-number:])
    return [backup for backup in dailies if backup not in needed]


def look_after() -> None:
    """The day's backup is made by whichever process finds it missing first; what it outlives goes."""
    global standing
    try:
        if is_due():
            with database.alone("backups") as is_ours:
                # again: another may have made it a moment ago
                if is_ours and is_due():
                    sweep()
                    database.survey()
                    make(DAILY)
                    for backup in outlived([each for each in kept() if each.occasion == DAILY]):
                        storage().delete(backup.name)
        why_not, failed_at = ("", None) if is_made_today() else (standing.why_not, standing.failed_at)
    except Exception as error:
        log.exception("no backup was made")
        why_not, failed_at = str(error), timezone.now()
    standing = looked_at()._replace(why_not=why_not, failed_at=failed_at)


def sweep() -> None:
    """What a process left half made that was ended meanwhile: as large as the book, each time."""
    until = timezone.now() - HALF_MADE
    for draft in [path for name in (DRAFT, backups.RESTORING) for path in settings.DATA.glob(f"{name}*")]:
        if datetime.fromtimestamp(draft.stat().st_mtime, UTC) < until:
            shutil.rmtree(draft, ignore_errors=True)
    for name in names():
        if name.endswith(uploads.HALF_WRITTEN) and storage().get_modified_time(name) < until:
            storage().delete(name)


def is_due() -> bool:
    tried = standing.failed_at
    return not is_made_today() and (tried is None or timezone.now() - tried > TRIED_AGAIN_AFTER)


def is_made_today() -> bool:
    return any(backup.occasion == DAILY and backup.at.date() == timezone.now().date() for backup in kept())


def looked_at() -> Standing:
    from inventory.models import Entry  # there are no models before the application is made

    try:
        # a clock that was wrong once must not hide that none comes any more
        good = [each.at for each in kept() if each.occasion in OF_THIS_BOOK and each.at <= timezone.now()]
    except Failed:
        return standing
    if good:
        return Standing(max(good), is_any=True)
    return Standing(Entry.objects.order_by("pk").values_list("recorded_at", flat=True).first())
