"""Each test is a checkout of its own, whose lock names one small package that lies beside it: no network."""

import hashlib
import os
import re
import shutil
import subprocess
import sys
import time
import zipfile
from copy import copy
from pathlib import Path

import pytest

from studio.server import bootstrap

ROOT = bootstrap.ROOT
PYTHON = getattr(sys, "_base_executable", sys.executable)  # the one people type, with its own pip
MODULES = ["__init__.py", "server/__init__.py", "server/bootstrap.py", "server/locking.py"]
OPEN = """
import sys
from studio.server import bootstrap
bootstrap.enter(sys.argv)
import pigment
print(pigment.COLOUR, sys.prefix)
"""
WITHOUT_ENSUREPIP = """
import sys, venv
def refuse(self, context):
    sys.exit("The virtual environment was not created successfully because ensurepip is not available.")
venv.EnvBuilder._setup_pip = refuse
"""
WITHOUT_PIP = """
import importlib.metadata
def version(name):
    raise importlib.metadata.PackageNotFoundError(name)
importlib.metadata.version = version
"""
WITH_AN_OLD_PIP = """
import importlib.metadata
importlib.metadata.version = lambda name: "22.0.2"
"""


class Checkout:
    def __init__(self, folder: Path):
        self.stands_in(folder)
        (folder / "studio" / "server").mkdir(parents=True)
        for name in MODULES:
            shutil.copy(ROOT / "studio" / name, folder / "studio" / name)
        (folder / "open.py").write_text(OPEN)
        self.lock("requirements.lock", colour="verdigris")
        self.lock("requirements-nodes.lock", colour="umber", version="1.5")
        self.lock("requirements-dev.lock", colour="sienna", version="2.0")

    def stands_in(self, folder: Path) -> None:
        self.folder = folder
        self.venv = folder / ".venv"
        self.stamp = self.venv / "mordant.stamp"

    def copy(self, folder: Path) -> "Checkout":
        """Another one just like it: what is in its environment comes along."""
        other = copy(self)
        other.stands_in(shutil.copytree(self.folder, folder, symlinks=True))
        return other

    def lock(self, name: str, *, colour: str, version: str = "1.0", digest: str = "") -> None:
        wheel = _wheel(self.folder, colour, version)
        digest = digest or hashlib.sha256(wheel.read_bytes()).hexdigest()
        (self.folder / "studio" / name).write_text(f"pigment @ {wheel.as_uri()} --hash=sha256:{digest}\n")

    def begin(self, *arguments, python=PYTHON, cwd=None, **environ) -> subprocess.Popen:
        clean = {name: value for name, value in os.environ.items() if not name.startswith(("MORDANT_", "PIP_"))}
        return subprocess.Popen(
            [python, self.folder / "open.py", *arguments],
            cwd=cwd or self.folder,
            env={**clean, "PIP_CONFIG_FILE": os.devnull, **environ},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )

    def open(self, *arguments, **how) -> str:
        begun = self.begin(*arguments, **how)
        return begun.communicate(timeout=60)[0]


def _wheel(folder: Path, colour: str, version: str) -> Path:
    wheel = folder / f"pigment-{version}-py3-none-any.whl"
    about = f"pigment-{version}.dist-info"
    with zipfile.ZipFile(wheel, "w") as file:
        file.writestr("pigment.py", f"COLOUR = {colour!r}\n")
        file.writestr(f"{about}/METADATA", f"Metadata-Version: 2.1\nName: pigment\nVersion: {version}\n")
        file.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        file.writestr(f"{about}/RECORD", f"pigment.py,,\n{about}/METADATA,,\n{about}/WHEEL,,\n{about}/RECORD,,\n")
    return wheel


@pytest.fixture
def checkout(tmp_path):
    """A bare checkout."""
    return Checkout(tmp_path / "checkout")


@pytest.fixture(scope="module")
def opened_once(tmp_path_factory):
    """A checkout that was bare when it was opened."""
    checkout = Checkout(tmp_path_factory.mktemp("once") / "checkout")
    return checkout, checkout.open()


@pytest.fixture
def filled(opened_once, tmp_path):
    """A checkout with its environment in it, where no other test sees it."""
    return opened_once[0].copy(tmp_path / "checkout")


@pytest.fixture
def on_a_python(tmp_path):
    """Changes the Python that a checkout is opened with, as systems do that package its parts apart."""

    def changed(*changes: str) -> dict[str, str]:
        (tmp_path / "sitecustomize.py").write_text("".join(changes))
        return {"PYTHONPATH": str(tmp_path)}

    return changed


def test_a_bare_checkout_makes_its_own_environment(opened_once):
    checkout, said = opened_once

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"


def test_a_filled_environment_is_entered_without_a_word(filled):
    assert filled.open() == f"verdigris {filled.venv}\n"


def test_without_ensurepip_the_pip_that_is_there_fills_the_environment(checkout, on_a_python):
    said = checkout.open(**on_a_python(WITHOUT_ENSUREPIP))

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"


@pytest.mark.parametrize("change", [WITHOUT_PIP, WITH_AN_OLD_PIP], ids=["no pip", "an old pip"])
def test_without_a_pip_of_use_ensurepip_brings_one(checkout, on_a_python, change):
    said = checkout.open(**on_a_python(change))

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"


def test_without_ensurepip_and_pip_it_names_the_packages_that_bring_them(checkout, on_a_python):
    said = checkout.open(**on_a_python(WITHOUT_ENSUREPIP, WITHOUT_PIP))

    assert "ensurepip is not available" in said
    assert "apt-get install python3-venv" in said
    assert "Traceback" not in said


def test_an_environment_left_half_made_is_made_anew(filled):
    filled.stamp.write_text(bootstrap.UNFINISHED)
    leftover = filled.venv / "half-written"
    leftover.touch()

    said = filled.open()

    assert said.splitlines()[-1] == f"verdigris {filled.venv}"
    assert not leftover.exists()


def test_an_environment_whose_python_is_gone_is_made_anew(filled):
    for python in filled.venv.glob("bin/python*"):
        python.unlink()
    (filled.venv / "bin" / "python").symlink_to("/nowhere/python3")

    said = filled.open()

    assert said.splitlines()[-1] == f"verdigris {filled.venv}"


def test_an_environment_made_by_hand_is_topped_up_and_kept(checkout):
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", checkout.venv], check=True)
    kept = checkout.venv / "kept"
    kept.touch()

    said = checkout.open()

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"
    assert kept.exists()


def test_a_new_lock_is_installed_at_the_next_start(filled):
    filled.lock("requirements.lock", colour="ochre", version="3.0")

    said = filled.open()

    assert said.splitlines()[-1].startswith("ochre")


def test_the_test_lock_serves_both_commands(checkout):
    said = checkout.open("test")

    assert said.splitlines()[-1].startswith("sienna")
    assert checkout.open("start").startswith("sienna")


def test_two_starts_at_once_fill_one_environment_once(checkout):
    first = checkout.begin()
    second = checkout.begin()

    said = first.communicate(timeout=60)[0] + second.communicate(timeout=60)[0]

    assert said.count(f"verdigris {checkout.venv}") == 2
    assert said.count("Setting up .venv") == 1


def test_a_start_beside_one_that_is_filling_says_that_it_waits(checkout):
    checkout.venv.mkdir()
    with bootstrap.locking.held(checkout.venv / "mordant.lock"):
        waiting = checkout.begin()
        first_line = waiting.stdout.readline()

    waiting.communicate(timeout=60)
    assert "waiting" in first_line


def test_without_network_it_says_what_failed(checkout):
    wanted = f"pigment==2.0 --hash=sha256:{'0' * 64}\n"
    (checkout.folder / "studio" / "requirements.lock").write_text(wanted)

    said = checkout.open(PIP_INDEX_URL="http://127.0.0.1:9/", PIP_RETRIES="0")

    assert "packages of requirements.lock could not be installed. Is this machine online?" in said
    assert "pigment==2.0" in said
    assert "Traceback" not in said


def test_a_start_after_a_failed_one_succeeds(checkout):
    checkout.lock("requirements.lock", colour="verdigris", digest="0" * 64)
    checkout.open()
    checkout.lock("requirements.lock", colour="verdigris")

    said = checkout.open()

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"


def test_a_package_with_another_hash_is_refused(checkout):
    checkout.lock("requirements.lock", colour="verdigris", digest="0" * 64)

    said = checkout.open()

    assert "could not be installed" in said
    assert not list(checkout.venv.glob("lib/*/site-packages/pigment.py"))


def test_an_environment_that_cannot_be_entered_does_not_loop(filled):
    (filled.venv / "pyvenv.cfg").unlink()  # its Python now believes it is the system's

    said = filled.open()

    assert "does not run inside" in said
    assert "Delete that folder" in said


def test_it_starts_from_any_folder(checkout, tmp_path):
    said = checkout.open(cwd=tmp_path)

    assert said.splitlines()[-1] == f"verdigris {checkout.venv}"


def test_whoever_built_the_environment_may_switch_it_off(checkout):
    said = checkout.open(MORDANT_NO_BOOTSTRAP="1")

    assert "No module named 'pigment'" in said
    assert not checkout.venv.exists()


def test_ctrl_c_while_setting_up_leaves_no_traceback(checkout):
    for _ in range(5):
        begun = checkout.begin()
        begun.stdout.readline()
        while not checkout.stamp.exists():
            time.sleep(0.01)

        begun.send_signal(2)

        said = begun.communicate(timeout=60)[0]
        if checkout.stamp.read_text() == bootstrap.UNFINISHED:
            break
        # on a busy machine it may be set up before it hears the signal
        shutil.rmtree(checkout.venv)
    assert "the next start begins it again" in said
    assert "Traceback" not in said


PIN = re.compile(r"^([a-z0-9-]+)(?:\[[a-z,-]+\])?==(\S+)", re.MULTILINE)


LOCKS = [bootstrap.LOCK, bootstrap.NODES_LOCK, bootstrap.TEST_LOCK]


def test_each_lock_holds_all_that_the_one_before_it_holds():
    plain, nodes, test = (set(PIN.findall(lock.read_text())) for lock in LOCKS)

    assert len(plain) > 15
    assert plain < nodes < test
    assert not {"boto3", "redis"} & {name for name, _ in plain}


@pytest.mark.parametrize(
    ("environ", "far"),
    [
        ({}, False),
        ({"MORDANT_DOCUMENTS": "/srv/shared"}, False),
        ({"MORDANT_DOCUMENTS": "s3://bucket"}, True),
        ({"MORDANT_BACKUPS": "s3://bucket"}, True),
        ({"MORDANT_CACHE": "redis://cache"}, True),
    ],
)
def test_what_reaches_far_is_installed_only_where_it_is_asked_for(monkeypatch, environ, far):
    for name in ("MORDANT_DOCUMENTS", "MORDANT_BACKUPS", "MORDANT_CACHE"):
        monkeypatch.setenv(name, environ.get(name, ""))

    assert bootstrap.reaches_far() == far


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_a_lock_names_hashes_and_no_host(lock):
    text = lock.read_text()
    pins = re.split(r"^(?=[a-z])", text, flags=re.MULTILINE)[1:]

    assert all("--hash=sha256:" in pin for pin in pins)
    assert "://" not in text
