"""
Brings a bare checkout to life with nothing but Python itself.

`.venv` beside manage.py is made once and filled from a lock whose every file is known by its hash; the command
is then handed over to it. MORDANT_NO_BOOTSTRAP=1 leaves all that to whoever built the environment.
"""

import hashlib
import importlib.metadata
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from studio.server import locking

ROOT = Path(__file__).resolve().parents[2]
VENV = ROOT / ".venv"
LOCK = ROOT / "studio" / "requirements.lock"
TEST_LOCK = ROOT / "studio" / "requirements-dev.lock"  # holds all that LOCK holds
OLDEST = (3, 11)
UNFINISHED = "unfinished"
HANDED_OVER = "MORDANT_HANDED_OVER"  # set while one Python hands over to another: it must arrive


class Stopped(Exception):
    """Setting up cannot go on; the message says why and what to do."""


def enter(argv: list[str]) -> None:
    """Return inside a filled environment; anywhere else, make it and hand the command over to it."""
    if os.environ.get("MORDANT_NO_BOOTSTRAP"):
        return
    try:
        prepare(VENV, TEST_LOCK if argv[1:2] == ["test"] else LOCK)
        if Path(sys.prefix).resolve() != VENV.resolve():
            _hand_over()
        os.environ.pop(HANDED_OVER, None)
    except Stopped as reason:
        sys.exit(f"Mordant cannot start: {reason}")
    except KeyboardInterrupt:
        sys.exit("\nStopped while setting up; the next start begins it again.")


def prepare(venv: Path, lock: Path) -> None:
    if _is_filled(venv, lock):
        return
    venv.mkdir(exist_ok=True)
    waiting = "Another start is filling .venv; waiting for it ..."
    with locking.held(venv / "mordant.lock", patience_s=1800, waiting=waiting):
        if not _is_filled(venv, lock):
            _fill(venv, lock)


def _is_filled(venv: Path, lock: Path) -> bool:
    enough = {_digest(lock), _digest(TEST_LOCK)} if lock == LOCK else {_digest(lock)}
    return _stamp(venv) in enough and _python(venv).exists()


def _digest(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def _stamp(venv: Path) -> str:
    """The digest of the lock this environment was filled from. An importable Django would prove nothing."""
    try:
        return (venv / "mordant.stamp").read_text()
    except FileNotFoundError:
        return ""


def _python(venv: Path) -> Path:
    return venv / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def _fill(venv: Path, lock: Path) -> None:
    print("Setting up .venv from a checked list of packages. This happens once and takes a minute ...", flush=True)
    if _stamp(venv) == UNFINISHED or not _runs(venv):
        _make_anew(venv)
    (venv / "mordant.stamp").write_text(UNFINISHED)
    _install(venv, lock)
    (venv / "mordant.stamp").write_text(_digest(lock))


def _runs(venv: Path) -> bool:
    probe = f"import sys; sys.exit(sys.version_info < {OLDEST})"
    return _python(venv).exists() and _succeeds([_python(venv), "-c", probe])


def _make_anew(venv: Path) -> None:
    for child in venv.iterdir():
        if child.is_dir() and not child.is_symlink():
            shutil.rmtree(child)
        elif child.name != "mordant.lock":
            child.unlink()
    (venv / "mordant.stamp").write_text(UNFINISHED)
    python = getattr(sys, "_base_executable", sys.executable)
    options = ["--without-pip"] if _pip_outside() else []  # it fills the environment as well, and two seconds sooner
    made = _run([python, "-m", "venv", *options, venv])
    if made.returncode:
        raise Stopped(
            f"this Python cannot make an environment with pip in it.\n{_last_words(made)}\n"
            "The system's packages bring what is missing:\n"
            "  sudo apt-get install python3-venv     (Debian, Ubuntu)\n"
            "  sudo dnf install python3-pip          (Fedora)\n"
            "Or take a Python from python.org."
        )


def _pip_outside() -> bool:
    """Whether this Python has a pip that can fill another environment, as it can since 22.3."""
    try:
        version = importlib.metadata.version("pip")
    except importlib.metadata.PackageNotFoundError:
        return False
    return tuple(int(part) for part in re.findall(r"\d+", version)[:2]) >= (22, 3)


def _install(venv: Path, lock: Path) -> None:
    has_pip = [*venv.glob("lib/python*/site-packages/pip"), *venv.glob("Lib/site-packages/pip")]
    pip = [_python(venv), "-m", "pip"] if has_pip else [sys.executable, "-m", "pip", "--python", _python(venv)]
    options = ["--require-hashes", "--only-binary=:all:", "--disable-pip-version-check", "--no-input", "--retries=2"]
    installed = _run([*pip, "install", "--quiet", *options, "--requirement", lock])
    if installed.returncode:
        raise Stopped(
            f"the packages of {lock.name} could not be installed. Is this machine online?\n{_last_words(installed)}"
        )


def _hand_over() -> None:
    """Run the same command line with the environment's own Python."""
    if HANDED_OVER in os.environ:
        raise Stopped(f"{_python(VENV)} does not run inside {VENV}. Delete that folder and start again.")
    os.environ[HANDED_OVER] = str(VENV)
    if sys.platform == "darwin":  # where Homebrew puts Pango, a place macOS does not search
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", "/opt/homebrew/lib:/usr/local/lib:/usr/lib")
    command = [str(_python(VENV)), *sys.orig_argv[1:]]
    sys.stdout.flush()
    if sys.platform == "win32":  # exec there would leave the terminal before the command has ended
        sys.exit(subprocess.run(command, check=False).returncode)
    os.execv(command[0], command)


def _succeeds(command: list) -> bool:
    return _run(command).returncode == 0


def _run(command: list) -> subprocess.CompletedProcess:
    environ = {**os.environ, "PIP_USER": "0"}  # a user's own pip settings may ask for what a venv cannot do
    return subprocess.run(
        command, env=environ, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )


def _last_words(done: subprocess.CompletedProcess) -> str:
    return "\n".join("  " + line for line in done.stdout.strip().splitlines()[-8:])
