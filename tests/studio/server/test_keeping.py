"""Backups that the book makes by itself."""

import errno
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from inventory import uploads
from inventory.models import Person
from inventory.uploads import Uploads
from studio.server import backups, documents, health, keeping
from studio.server.keeping import DAILY, Backup
from tests.factories import stocked

FIRST = datetime(2026, 1, 1, 3, tzinfo=UTC)
THREE_YEARS = 3 * 365
NO_DOCUMENTS = (Path("/elsewhere"), {})


@pytest.fixture
def kept_in(settings, tmp_path, monkeypatch):
    """Storage of the test's own for backups, which nobody has looked at yet."""

    def choose(said=""):
        settings.DATA = tmp_path
        settings.STORAGES = {
            **settings.STORAGES,
            "backups": documents.for_backups(said, data=tmp_path, documents=NO_DOCUMENTS),
        }
        monkeypatch.setattr(keeping, "standing", keeping.Standing())
        return tmp_path / "backups"

    return choose


@pytest.fixture
def folder(transactional_db, kept_in):
    yield kept_in()
    connection.close()


@pytest.fixture
def on(monkeypatch):
    """Turn the clock to so many days from now."""
    now = timezone.now()
    return lambda days: monkeypatch.setattr(timezone, "now", lambda: now + timedelta(days=days))


def daily(at):
    return Backup(f"daily-{at:{backups.STAMP}}.zip", DAILY, at)


@given(st.lists(st.booleans(), min_size=1, max_size=THREE_YEARS))
def test_of_whatever_days_enough_are_kept_and_the_newest_always(is_running):
    """Day after day, some of them without a running server, each round seeing only what the last one left."""
    made, left = [], []
    for day, runs in enumerate(is_running):
        if runs:
            made.append(daily(FIRST + timedelta(days=day)))
            left.append(made[-1])
            gone = keeping.outlived(left)
            left = [backup for backup in left if backup not in gone]
            assert made[-1] in left
    for period, number in keeping.LASTING.items():
        periods = [f"{backup.at:{period}}" for backup in made]
        wanted = list(dict.fromkeys(periods))[-number:]
        assert [each for each in wanted if each not in {f"{backup.at:{period}}" for backup in left}] == []
    assert len(left) <= sum(keeping.LASTING.values())


def test_three_years_of_days_leave_seven_days_four_weeks_and_twelve_months():
    left = []
    for day in range(THREE_YEARS):
        left.append(daily(FIRST + timedelta(days=day)))
        gone = keeping.outlived(left)
        left = [backup for backup in left if backup not in gone]

    assert [f"{backup.at:%y-%m-%d}" for backup in left] == [
        *("28-01-31", "28-02-29", "28-03-31", "28-04-30", "28-05-31", "28-06-30", "28-07-31", "28-08-31"),
        *("28-09-30", "28-10-31", "28-11-30", "28-12-10", "28-12-17", "28-12-24", "28-12-25", "28-12-26"),
        *("28-12-27", "28-12-28", "28-12-29", "28-12-30"),
    ]


def test_each_day_has_one_and_what_was_made_by_hand_stays(folder, on, capsys):
    for day in range(-9, 1):
        on(day)
        keeping.look_after()
        keeping.look_after()
        if day == -9:
            call_command("backup")

    names = [path.name for path in sorted(folder.iterdir())]
    days = [backup.at.date() for backup in keeping.kept() if backup.occasion == DAILY]
    assert 7 <= len(days) == len(set(days)) <= 10
    assert len([name for name in names if name.startswith("book-")]) == 1
    assert len(names) == len(days) + 1
    assert keeping.standing.words == "the last one was made 0 days ago"
    assert keeping.standing.warning == ""
    assert f"copied to {folder}/book-" in capsys.readouterr().out


def test_two_processes_make_one(folder):
    together = threading.Barrier(2)

    def look():
        together.wait()
        keeping.look_after()
        connections.close_all()

    looking = [threading.Thread(target=look) for _ in range(2)]
    for each in looking:
        each.start()
    for each in looking:
        each.join()

    assert len(keeping.kept()) == 1


def test_a_name_opens_it_again(folder):
    Person.objects.create(name="Maren")
    keeping.look_after()
    QuerySet(Person).delete()

    call_command("restore", keeping.kept()[0].name)

    assert Person.objects.get().name == "Maren"


def test_a_name_that_is_none_is_answered_with_those_that_are(folder):
    keeping.look_after()

    with pytest.raises(CommandError, match=keeping.kept()[0].name):
        call_command("restore", "daily-2020-01-01-120000.zip")


def no_room(self, name, content):
    raise OSError(errno.ENOSPC, "No space left on device")


def torn(self, name, content):
    Uploads_bring_back(self, name, content)
    with open(self.path(name), "r+b") as file:
        file.seek(40)
        file.write(b"torn on the way")


Uploads_bring_back = Uploads.bring_back


def test_what_does_not_arrive_whole_is_no_backup(folder, monkeypatch, caplog):
    monkeypatch.setattr(Uploads, "bring_back", torn)

    keeping.look_after()

    assert list(folder.iterdir()) == []
    assert "damaged" in keeping.standing.words or "cannot be read" in keeping.standing.words
    assert "no backup was made" in caplog.text


def test_a_folder_that_takes_none_is_told_to_keyholders_until_it_does(folder, keyholder, member, on, monkeypatch):
    def bench(of):
        return of.get(reverse("bench:bench")).content.decode()

    monkeypatch.setattr(keeping, "OLD", timedelta(days=2))
    stocked("500 g")
    with monkeypatch.context() as full:
        full.setattr(Uploads, "bring_back", no_room)
        keeping.look_after()

    assert "The last backup failed." in bench(keyholder)
    assert "The last backup failed." not in bench(member)
    assert "the last try failed: " in keyholder.get(reverse("workshop:studio")).content.decode()
    assert not health.backup().is_well
    on(2.5)
    assert "There is no backup of this book." in bench(keyholder)

    keeping.look_after()

    assert "backup" not in bench(keyholder)
    assert health.backup().is_well
    on(5.6)
    assert keeping.standing.warning == "The last backup is 3 days old."


def test_a_folder_that_cannot_be_looked_at_is_told(folder):
    folder.write_text("a file where a folder should be")

    keeping.look_after()

    assert "cannot be looked at" in keeping.standing.why_not
    assert keeping.standing.warning == "The last backup failed."


def test_what_was_left_half_made_goes_after_a_day(folder, tmp_path, on):
    folder.mkdir()
    half_written = folder / f".daily-2026-11-25-120000.zip{uploads.HALF_WRITTEN}"
    half_written.touch()
    drafts = [tmp_path / f"{name}ended" for name in (keeping.DRAFT, backups.RESTORING)]
    for draft in drafts:
        draft.mkdir()
    keeping.look_after()
    stood = half_written.exists() and all(draft.exists() for draft in drafts)
    on(2)

    keeping.look_after()

    assert stood
    assert not half_written.exists() and not any(draft.exists() for draft in drafts)
    assert len(keeping.kept()) == 2


def test_after_a_failure_an_hour_goes_by(folder, on, monkeypatch):
    tries = []

    def fails(occasion):
        tries.append(occasion)
        raise backups.Failed("no room")

    monkeypatch.setattr(keeping, "make", fails)
    for minutes in (0, 10, 50, 61):
        on(minutes / 24 / 60)
        keeping.look_after()

    assert len(tries) == 2
    assert keeping.standing.why_not == "no room"


def test_a_clock_that_was_wrong_once_hides_nothing(folder, on):
    on(400)
    keeping.look_after()
    on(0)

    assert not keeping.looked_at().is_any
