import http.cookiejar
import re
import signal
import subprocess
import sys
import urllib.parse
import urllib.request

import pytest

from studio.server.bootstrap import ROOT
from tests.studio.opened import opened

pytestmark = pytest.mark.fresh_clone
SYSTEM_PYTHON = getattr(sys, "_base_executable", sys.executable)


@pytest.fixture(scope="module")
def newcomer(tmp_path_factory):
    """A folder with what a newcomer has: the committed files and nothing else."""
    folder = tmp_path_factory.mktemp("newcomer")
    subprocess.run(["git", "clone", "--quiet", ROOT, folder / "mordant"], check=True)
    return folder


def _sign_in(address: str, name: str, password: str) -> str:
    """The address a browser stands at after it has signed in on the first page it was led to."""
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()))
    with browser.open(address) as page:
        form, at = page.read().decode(), page.url
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', form)[1]
    answers = {"csrfmiddlewaretoken": token, "username": name, "password": password}
    with browser.open(at, urllib.parse.urlencode(answers).encode()) as page:
        return page.url


def test_one_command_brings_a_newcomer_to_the_demo_s_bench(newcomer):
    manage = (SYSTEM_PYTHON, newcomer / "mordant" / "manage.py")

    with opened(newcomer / "data", manage=manage) as book:
        stands_at = _sign_in(book.address, "maren", "tallow-street")
        exit_status = book.close(signal.SIGINT)

    assert "sign in as maren with the password tallow-street" in book.said
    assert stands_at == f"{book.address}/"
    assert exit_status == 0


def test_the_second_start_has_nothing_left_to_set_up(newcomer):
    manage = (SYSTEM_PYTHON, newcomer / "mordant" / "manage.py")

    with opened(newcomer / "data", manage=manage) as book:
        book.close(signal.SIGINT)

    assert "Setting up" not in book.said
