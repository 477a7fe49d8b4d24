import shutil
import subprocess
import sys

import pytest

from studio.printing import pango


@pytest.fixture(autouse=True)
def ask_again():
    """The answer is remembered for a process; here each test asks anew."""
    pango.is_here.cache_clear()
    yield
    pango.is_here.cache_clear()


@pytest.fixture
def missing(monkeypatch):
    """A system without Pango."""
    monkeypatch.setattr(pango, "LINUX_LIBRARIES", ["libno-such-library.so.0"])
    monkeypatch.setitem(pango.LIBRARIES, sys.platform, ["libno-such-library.so.0"])


def test_it_knows_whether_papers_can_be_laid_out():
    proof = subprocess.run([sys.executable, "-c", "import weasyprint"], capture_output=True)

    assert pango.is_here() is (proof.returncode == 0)


def test_it_knows_when_they_cannot(missing):
    assert not pango.is_here()


@pytest.mark.parametrize(
    ("platform", "tool", "line"),
    [
        ("linux", "apt-get", "sudo apt-get install libpango"),
        ("linux", "dnf", "sudo dnf install pango"),
        ("linux", "apk", "sudo apk add pango"),
        ("linux", None, "own package manager"),
        ("darwin", None, "brew install pango"),
        ("win32", None, "MSYS2"),
    ],
)
def test_each_system_is_told_its_own_line(monkeypatch, platform, tool, line):
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setattr(shutil, "which", lambda name: name if name == tool else None)

    assert line in pango.command()


def test_nothing_is_installed_without_an_administrator_s_rights(missing, monkeypatch):
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: pytest.fail("ran something"))

    assert not pango.bring()


def test_an_administrator_s_debian_gets_it_and_is_asked_again(missing, monkeypatch):
    ran = []
    monkeypatch.setattr("os.geteuid", lambda: 0)
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(subprocess, "run", lambda command, **_: ran.append(command))

    assert not pango.bring()
    assert ran[-1][-len(pango.DEBIAN_PACKAGES) :] == pango.DEBIAN_PACKAGES
