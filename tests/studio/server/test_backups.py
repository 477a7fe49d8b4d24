import os
import shutil
import sqlite3
import stat
import threading
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import close_old_connections, connection, connections
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import QuerySet

from inventory import seals, uploads
from inventory.models import Person, Seal
from studio.server import backups, postgresql_copy, serving, sqlite_copy
from studio.shelf import operations as shelf
from tests.factories import signed, stocked

on_sqlite = pytest.mark.skipif("connection.vendor != 'sqlite'", reason="about SQLite's own file")
on_postgresql = pytest.mark.skipif("connection.vendor != 'postgresql'", reason="about PostgreSQL's own programs")


@pytest.fixture
def book(transactional_db, settings, tmp_path):
    """A book with one name and one safety sheet in it, and the folder that holds its sheets and backups."""
    settings.DATA = tmp_path
    settings.MEDIA_ROOT = tmp_path / "uploads"
    (settings.MEDIA_ROOT / "sheets").mkdir(parents=True)
    (settings.MEDIA_ROOT / "sheets" / "sulfate.pdf").write_bytes(b"%PDF- as the supplier sent it")
    Person.objects.create(name="Maren")
    yield tmp_path
    connection.close()


def _names():
    return list(Person.objects.values_list("name", flat=True))


def test_what_is_lost_after_a_backup_comes_back_with_it(book, capsys):
    call_command("backup", book / "stick")
    QuerySet(Person).delete()
    (book / "uploads" / "sheets" / "sulfate.pdf").unlink()
    [archive] = (book / "stick").iterdir()

    call_command("restore", archive)

    assert _names() == ["Maren"]
    assert (book / "uploads" / "sheets" / "sulfate.pdf").read_bytes() == b"%PDF- as the supplier sent it"
    assert f"copied to {archive}" in capsys.readouterr().out


def test_the_book_that_a_restore_replaces_is_kept(book):
    archive = backups.make(book / "stick")
    Person.objects.create(name="Joost")

    kept = backups.restore(archive)

    assert _names() == ["Maren"]
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(next(kept.glob("*.sqlite3*")))) as before:
            assert before.execute("SELECT count(*) FROM inventory_person").fetchone() == (2,)
        assert (kept / "uploads" / "sheets" / "sulfate.pdf").exists()
    else:
        backups.restore(kept)
        assert sorted(_names()) == ["Joost", "Maren"]


def test_a_restored_book_holds_the_seals_that_were_printed(book):
    jar = stocked("500 g")
    shelf.use(jar, amount=1_000, by=signed(1))
    printed = seals.seal().code
    archive = backups.make(book / "stick")
    shelf.use(jar, amount=2_000, by=signed(2))
    seals.seal()

    backups.restore(archive)

    assert [each.code for each in Seal.objects.all()] == [printed]
    assert list(seals.errors()) == []


def test_a_restored_book_can_be_written_on(book):
    backups.restore(backups.make(book / "stick"))

    Person.objects.create(name="Joost")

    assert sorted(_names()) == ["Joost", "Maren"]


def test_backups_are_sound_while_people_write(book):
    refused = []
    stop = threading.Event()

    def write(hand):
        try:
            count = 0
            while not stop.is_set():
                count += 1
                Person.objects.create(name=f"hand {hand}, line {count}")
        except Exception as error:  # noqa: BLE001  # whatever it is, the test must hear of it
            refused.append(error)
        finally:
            connections.close_all()

    hands = [threading.Thread(target=write, args=(hand,)) for hand in range(4)]
    for hand in hands:
        hand.start()
    archives = [backups.make(book / "stick") for _ in range(3)]
    stop.set()
    for hand in hands:
        hand.join()
    written = len(_names())

    backups.restore(archives[-1])
    close_old_connections()

    assert refused == []
    assert 1 < len(_names()) <= written


def test_a_backup_is_for_the_owner_s_eyes(book):
    archive = backups.make(book / "stick")

    assert stat.S_IMODE(archive.stat().st_mode) == 0o600
    assert sorted(book.joinpath("stick").iterdir()) == [archive]


def test_a_backup_is_on_the_disk_itself_before_it_counts(book, monkeypatch):
    synced, sync = [], backups.sync
    monkeypatch.setattr(backups, "sync", lambda path: sync(path) or synced.append(path))

    archive = backups.make(book / "stick")

    assert [path.suffix for path in synced] == [".zip", ""], "the file before its name, then the name"
    assert synced[1] == archive.parent


def test_an_empty_database_is_no_backup(book):
    MigrationRecorder(connection).migration_qs.filter(app="inventory", name="0001_initial").delete()

    with pytest.raises(CommandError, match="no workshop book"):
        call_command("backup", book / "stick")

    assert list((book / "stick").iterdir()) == []
    MigrationRecorder(connection).record_applied("inventory", "0001_initial")


def test_two_backups_in_one_second_keep_apart(book, monkeypatch):
    monkeypatch.setattr(backups, "now", lambda: "2026-11-25-120000")

    first, second = backups.make(book / "stick"), backups.make(book / "stick")

    assert (first.name, second.name) == ("book-2026-11-25-120000.zip", "book-2026-11-25-120000-2.zip")


def test_a_damaged_backup_is_refused_and_the_book_stays(book):
    archive = backups.make(book / "stick")
    torn = bytearray(archive.read_bytes())
    torn[200:260] = bytes(60)
    archive.write_bytes(torn)

    with pytest.raises(CommandError, match="damaged|cannot be read"):
        call_command("restore", archive)

    assert _names() == ["Maren"]


def test_something_else_is_not_taken_for_a_backup(book):
    with zipfile.ZipFile(book / "holiday.zip", "w") as file:
        file.writestr("beach.txt", "sun")

    with pytest.raises(CommandError, match="was not made from a"):
        call_command("restore", book / "holiday.zip")

    assert _names() == ["Maren"]


def test_a_missing_backup_is_named(book):
    with pytest.raises(CommandError, match="There is no .*nowhere.zip"):
        call_command("restore", book / "nowhere.zip")


def test_an_open_book_is_not_replaced(book, monkeypatch):
    archive = backups.make(book / "stick")
    monkeypatch.setattr(serving, "PATIENCE_S", 0)

    with serving.open_book() as leave_note:
        leave_note("open at http://127.0.0.1:8000")
        with pytest.raises(CommandError, match="open at http://127.0.0.1:8000"):
            call_command("restore", archive)


@on_sqlite
def test_an_unsound_book_is_not_passed_off_as_a_backup(book):
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys = OFF")
        cursor.execute("UPDATE inventory_person SET account_id = 999")

    with pytest.raises(CommandError, match="1 lines point at nothing"):
        call_command("backup", book / "stick")

    assert list((book / "stick").iterdir()) == []
    Person.objects.update(account=None)


@on_postgresql
def test_without_postgresql_s_programs_it_says_what_to_run(book, monkeypatch):
    monkeypatch.setattr("shutil.which", lambda program: None)

    with pytest.raises(CommandError, match="pg_dump was not found.*run: pg_dump --format=plain"):
        call_command("backup", book / "stick")


# what cannot be brought back, and what stands after each try


def a_file_that_is_no_book(path):
    path.write_bytes(b"")


def another_program_s_database(path):
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")
        other.commit()


def a_newer_build_s_book(path):
    sqlite_copy.copy_to(path)
    with closing(sqlite3.connect(path)) as newer:
        newer.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('inventory', '0099_later', '2027')")
        newer.commit()


@on_sqlite
@pytest.mark.parametrize(
    ("made", "why"),
    [
        (a_file_that_is_no_book, "no workshop book"),
        (another_program_s_database, "no workshop book"),
        (a_newer_build_s_book, "inventory 0099_later"),
    ],
)
def test_a_database_that_is_not_this_build_s_book_is_refused(book, made, why):
    made(book / "copy.sqlite3")
    with zipfile.ZipFile(book / "strange.zip", "w") as file:
        file.write(book / "copy.sqlite3", sqlite_copy.NAME)

    with pytest.raises(CommandError, match=why):
        call_command("restore", book / "strange.zip")

    assert _names() == ["Maren"]


@on_sqlite
def test_a_restore_is_made_ready_on_the_book_s_own_file_system(book, monkeypatch):
    archive, renamed = backups.make(book / "stick"), []
    monkeypatch.setattr(
        Path, "replace", lambda path, target: renamed.append((path, target)) or os.replace(path, target)
    )

    backups.restore(archive)

    [last] = [pair for pair in renamed if pair[1] == sqlite_copy.book()]
    assert last[0].parent.parent == sqlite_copy.book().parent


def break_at(monkeypatch, step):
    """The disk is full, or the power fails, at one step of a restore."""

    def broken(*_):
        raise OSError(28, "No space left on device")

    module, name = step
    monkeypatch.setattr(module, name, broken)


@on_sqlite
@pytest.mark.parametrize(
    "step",
    [
        (zipfile.ZipFile, "extractall"),
        (sqlite_copy, "copy_to"),
        (uploads, "kept"),
        (backups, "bring_back"),
        (sqlite_copy, "leave_no_journal"),
        (sqlite_copy, "sync"),
    ],
    ids=lambda step: step[1],
)
def test_a_restore_that_fails_on_the_way_leaves_the_book_that_was_there(book, monkeypatch, step):
    archive = backups.make(book / "stick")
    Person.objects.create(name="Joost")
    with monkeypatch.context() as during:
        break_at(during, step)
        with pytest.raises(CommandError, match="The book that was there still stands"):
            call_command("restore", archive)

    assert sorted(_names()) == ["Joost", "Maren"]
    assert (book / "uploads" / "sheets" / "sulfate.pdf").exists()


@on_sqlite
def test_a_book_that_cannot_be_read_any_more_is_kept_and_replaced(book):
    archive = backups.make(book / "stick")
    connection.close()
    sqlite_copy.book().write_bytes(b"scratched" * 1000)

    kept = backups.restore(archive)

    assert _names() == ["Maren"]
    assert next(kept.glob("*.sqlite3*")).read_bytes().startswith(b"scratched")


def test_documents_of_the_replaced_book_go_with_it(book):
    archive = backups.make(book / "stick")
    (book / "uploads" / "sheets" / "acetone.pdf").write_bytes(b"%PDF- came later")

    backups.restore(archive)

    assert [path.name for path in (book / "uploads" / "sheets").iterdir()] == ["sulfate.pdf"]


def test_what_would_not_fit_is_refused_before_it_is_unpacked(book, monkeypatch):
    archive = backups.make(book / "stick")
    monkeypatch.setattr(shutil, "disk_usage", lambda path: shutil._ntuple_diskusage(100, 99, 1))

    with pytest.raises(CommandError, match="and 1 are free"):
        call_command("restore", archive)


@pytest.mark.parametrize(("field", "value"), [("compress_type", 97), ("flag_bits", 1)])
def test_an_archive_of_another_make_is_refused_in_words(book, field, value):
    archive = backups.make(book / "stick")
    torn = bytearray(archive.read_bytes())
    offset = {"compress_type": (8, 10), "flag_bits": (6, 8)}[field]
    torn[offset[0] : offset[0] + 2] = value.to_bytes(2, "little")
    first = torn.index(b"PK\x01\x02")
    torn[first + offset[1] : first + offset[1] + 2] = value.to_bytes(2, "little")
    archive.write_bytes(torn)

    with pytest.raises(CommandError, match="cannot be read as a backup"):
        call_command("restore", archive)

    assert _names() == ["Maren"]


@on_postgresql
@pytest.mark.parametrize(
    ("hostile", "why"),
    [
        ("\\! touch {here}", "holds a command beside its data"),
        ("COPY django_migrations FROM PROGRAM 'touch {here}';", "holds what no copy of a book does: COPY"),
        ("COPY django_migrations TO PROGRAM 'touch {here}';", "holds what no copy of a book does: COPY"),
        ("DO $$ BEGIN COPY a TO PROGRAM 'touch {here}'; END $$;", "holds what no copy of a book does: DO"),
        ("CREATE TABLE a (b text); COPY a TO PROGRAM 'touch {here}';", "would not take it: .*multiple commands"),
    ],
    ids=["of psql", "reads a program", "writes to a program", "a block", "two in a line"],
)
def test_a_dump_that_would_run_a_command_is_refused(book, hostile, why):
    archive = backups.make(book / "stick")
    with zipfile.ZipFile(archive) as file:
        dump = file.read(postgresql_copy.NAME).decode()
    with zipfile.ZipFile(book / "hostile.zip", "w") as file:
        file.writestr(postgresql_copy.NAME, f"{hostile.format(here=book / 'here')}\n{dump}")

    with pytest.raises(CommandError, match=why):
        call_command("restore", book / "hostile.zip")

    assert not (book / "here").exists()
    assert _names() == ["Maren"]


@on_postgresql
def test_a_dump_that_breaks_off_changes_nothing(book):
    archive = backups.make(book / "stick")
    with zipfile.ZipFile(archive) as file:
        dump = file.read(postgresql_copy.NAME).decode()
    with zipfile.ZipFile(book / "torn.zip", "w") as file:
        file.writestr(postgresql_copy.NAME, f"{dump}\nALTER TABLE nowhere ADD COLUMN ink text;\n")

    with pytest.raises(CommandError, match="would not take it.*still stands"):
        call_command("restore", book / "torn.zip")

    assert _names() == ["Maren"]
