"""What a start says in one sentence when it cannot go on, or should not."""

import errno
import json
import logging
import os
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command
from django.utils import timezone

from studio.management.commands import service, start
from studio.server import ground, health, logs, serving
from tests.studio.server.test_settings import run, setting


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path):
    (tmp_path / "file").touch()

    said = run(tmp_path / "file" / "data", "manage.py", "start")

    assert said.startswith(
        f"Mordant cannot start: The data folder {tmp_path}/file/data cannot be made: Not a directory."
    )
    assert "MORDANT_DATA" in said and said.count("\n") == 1


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "access", lambda path, mode: False)  # root may write anywhere

    with pytest.raises(ImproperlyConfigured, match="cannot be written. Give whoever starts"):
        ground.make(tmp_path)


def test_a_book_that_can_only_be_read_is_looked_at_and_not_opened(settings, tmp_path, monkeypatch):
    (tmp_path / "mordant.sqlite3").touch()
    monkeypatch.setattr(os, "access", lambda path, mode: mode == os.R_OK)
    settings.DATA = tmp_path

    ground.make(tmp_path)
    with pytest.raises(CommandError, match="cannot be written. Give whoever starts"):
        call_command("start")


@pytest.fixture
def little_room(monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda path: SimpleNamespace(free=3_000_000))


def test_a_full_disk_is_one_sentence_before_anything_is_touched(little_room, settings, tmp_path, monkeypatch):
    settings.DATA = tmp_path
    monkeypatch.setattr(start.preparation, "bring_up_to_date", lambda: pytest.fail("it went on"))

    with pytest.raises(CommandError, match="is full: 3 MB are free, and the book needs 50. Make room"):
        call_command("start")


@pytest.mark.parametrize(
    ("number", "told"), [(errno.ENOSPC, "The disk is full"), (errno.EROFS, "cannot be written"), (errno.EIO, None)]
)
def test_a_disk_that_gives_way_on_the_way_is_one_sentence(number, told):
    said = ground.explained(OSError(number, os.strerror(number), "/data/secret_key"))

    assert said is None if told is None else told in said


@pytest.mark.django_db
def test_a_clock_without_a_battery_is_said_and_the_book_opens(monkeypatch, capsys, settings, tmp_path):
    settings.DATA = tmp_path
    monkeypatch.setattr(timezone, "now", lambda: datetime(1970, 1, 1, tzinfo=UTC))
    monkeypatch.setattr(start.preparation, "bring_up_to_date", lambda: None)
    monkeypatch.setattr(start.preparation, "choose_book", lambda empty: None)
    monkeypatch.setattr(serving, "serve", lambda *where, **how: None)

    call_command("start")

    assert "The clock of this machine says 1970-01-01. Put the clock right." in capsys.readouterr().out
    assert not health.clock().is_needed


def test_a_line_of_the_log_is_one_object():
    try:
        raise ValueError("ten\nlines")
    except ValueError:
        record = logging.LogRecord("studio.door", logging.INFO, "", 1, "refused %s", ("Ünal",), sys.exc_info())
    line = logs.JsonLines().format(record)

    said = json.loads(line)
    assert "\n" not in line
    assert (said["level"], said["from"], said["words"]) == ("INFO", "studio.door", "refused Ünal")
    assert "ValueError: ten\nlines" in said["trace"]


def test_which_log_is_asked_for_by_name(tmp_path):
    assert "json" in setting(tmp_path, 'LOGGING["handlers"]', MORDANT_LOG="json")
    assert "MORDANT_LOG must be json" in run(tmp_path, "manage.py", "check", MORDANT_LOG="xml")


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="no systemd here")
def test_the_unit_is_one_that_systemd_takes(tmp_path):
    data = tmp_path / "ink 100%"
    told = {"MORDANT_URL": "https://book.example.org", "MORDANT_SECRET_KEY": "k" * 50, "DATABASE_URL": "sqlite:///x"}
    told |= {"MORDANT_BACKUPS": f"{tmp_path}/disk"}
    unit = run(data, "manage.py", "service", **told)
    (tmp_path / "mordant.service").write_text(unit)

    verified = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", tmp_path / "mordant.service"], capture_output=True, text=True
    )

    assert (verified.returncode, verified.stderr) == (0, "")
    assert f'Environment="MORDANT_DATA={tmp_path}/ink 100%%"' in unit
    assert f'ReadWritePaths="{tmp_path}/ink 100%%" "-{tmp_path}/disk" ' in unit
    assert "kkk" not in unit and "for DATABASE_URL, MORDANT_SECRET_KEY" in unit


def test_a_value_reaches_systemd_as_it_is():
    assert service.quoted("MORDANT_HOSTS", 'a "b" 5% \\') == '"MORDANT_HOSTS=a \\"b\\" 5%% \\\\"'
