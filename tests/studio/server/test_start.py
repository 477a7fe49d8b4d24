import os
import signal
import socket
import stat
import subprocess
import time
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import psutil
import pytest

from studio.server import serving
from tests.postgres import free_port
from tests.studio.opened import THIS_CHECKOUT, Opened, environ_of_nobody, opened


class Morning(NamedTuple):
    """A new book that was opened, asked, opened a second time beside it, and closed by Ctrl+C."""

    data: Path
    book: Opened
    second: Opened
    statuses: list[int]


def own_book(data):
    return opened(data, "--empty", MORDANT_BIND=f"127.0.0.1:{free_port()}")


@pytest.fixture(scope="module")
def morning(tmp_path_factory):
    data = tmp_path_factory.mktemp("new") / "data"
    with own_book(data) as book:
        statuses = [book.ask("/first-aid/")]
        with opened(data) as second:
            second.ended()
        statuses.append(book.ask("/first-aid/"))
        book.close(signal.SIGINT)
    return Morning(data, book, second, statuses)


@pytest.fixture
def begun(morning):
    """The data folder of an own book that was opened once."""
    return morning.data


@pytest.fixture
def taken():
    """A port on which another program listens."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        yield other.getsockname()[1]


def assert_closed_well(book):
    assert book.process.returncode == 0
    assert book.said.endswith("Closed.\n")
    assert "Traceback" not in book.said


def test_it_opens_answers_and_closes(morning):
    assert morning.statuses[0] == 200
    assert_closed_well(morning.book)


@contextmanager
def a_window_that_is_shut(does):
    """What is begun meanwhile inherits what that does to it."""
    before = signal.signal(signal.SIGHUP, does)
    try:
        yield
    finally:
        signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGHUP], ids=["told to end", "window shut"])
def test_it_closes_however_it_is_ended(begun, ending):
    with a_window_that_is_shut(signal.SIG_DFL), own_book(begun) as book:
        status = book.ask("/first-aid/")
        book.close(ending)

    assert status == 200
    assert_closed_well(book)


def test_under_nohup_a_window_that_is_shut_does_nothing(begun):
    with a_window_that_is_shut(signal.SIG_IGN), own_book(begun) as book:
        workers = psutil.Process(book.process.pid).children()
        os.killpg(book.process.pid, signal.SIGHUP)
        status = book.ask("/first-aid/")
        stayed = psutil.Process(book.process.pid).children()
        book.close(signal.SIGTERM)

    assert status == 200 and workers and stayed == workers
    assert_closed_well(book)


def test_it_says_where_the_book_is_kept(morning):
    assert f"The book is kept in {morning.data}." in morning.book.said


def test_what_it_keeps_is_for_the_owner_s_eyes(morning):
    assert stat.S_IMODE(morning.data.stat().st_mode) == 0o700
    assert stat.S_IMODE((morning.data / "secret_key").stat().st_mode) == 0o600


def test_its_files_are_the_owner_s_alone_whatever_the_folder_s_mode(tmp_path):
    data = tmp_path / "chosen"
    data.mkdir()
    data.chmod(0o755)
    (data / "mordant.sqlite3").touch(0o644)  # as an earlier build left it

    with own_book(data) as book:
        book.close(signal.SIGINT)

    files = [path for path in data.rglob("*") if path.is_file()]
    assert {path.name for path in files if path.stat().st_mode & 0o077} == set()
    assert {"mordant.sqlite3", "secret_key"} <= {path.name for path in files}


def test_the_usual_port_is_taken_so_it_takes_another_and_says_so(begun):
    try:
        other = socket.create_server(("127.0.0.1", 8000))
    except OSError:
        other = socket.socket()  # something else has it already
    with other, opened(begun, "--empty") as book:
        status = book.ask("/first-aid/")
        book.close(signal.SIGINT)

    assert "Port 8000 is taken by another program; taking" in book.said
    assert not book.address.endswith(":8000")
    assert status == 200


def test_a_port_somebody_chose_is_never_swapped_for_another(begun, taken):
    with opened(begun, "--empty", MORDANT_BIND=f"127.0.0.1:{taken}") as book:
        exit_status = book.ended()

    assert exit_status == 1
    assert f"Port {taken} is taken" in book.said
    assert "is free." in book.said


def test_a_second_start_of_the_same_book_says_where_it_is_open(morning):
    assert morning.second.process.returncode == 1
    assert f"already open at {morning.book.address}." in morning.second.said
    assert morning.statuses[1] == 200


def test_a_killed_server_takes_its_workers_along_and_the_book_opens_again(begun):
    bind = f"127.0.0.1:{free_port()}"
    with opened(begun, "--empty", MORDANT_BIND=bind) as killed:
        killed.process.kill()

    with opened(begun, "--empty", MORDANT_BIND=bind) as book:
        status = book.ask("/first-aid/")
        book.close(signal.SIGINT)

    assert status == 200


@pytest.mark.skipif(not serving.FORKS, reason="nothing is prepared aside")
def test_what_a_killed_start_was_preparing_ends_with_it(tmp_path):
    """The demo year is loaded by a process of its own, which nobody would end."""
    environ = {**environ_of_nobody(), "MORDANT_DATA": str(tmp_path), "MORDANT_BIND": f"127.0.0.1:{free_port()}"}
    with subprocess.Popen([*THIS_CHECKOUT, "start"], env=environ, stdout=subprocess.DEVNULL) as start:
        while not (preparing := psutil.Process(start.pid).children(recursive=True)):
            assert start.poll() is None
            time.sleep(0.02)
        start.kill()

    _, still_there = psutil.wait_procs(preparing, timeout=20)

    assert still_there == []


def test_sharing_shows_the_address_and_a_code_that_leads_to_it(begun):
    with opened(begun, "--share", MORDANT_BIND=f"127.0.0.1:{free_port()}") as book:
        book.close(signal.SIGINT)

    assert "Others reach it at http://" in book.said
    assert "▄" in book.said or "█" in book.said


def test_printed_codes_point_at_the_address_that_was_given(begun):
    given = {"MORDANT_BIND": f"127.0.0.1:{free_port()}", "MORDANT_URL": "http://press.example"}

    with opened(begun, "--empty", **given) as book:
        book.close(signal.SIGINT)

    assert "Others reach it at http://press.example" in book.said
