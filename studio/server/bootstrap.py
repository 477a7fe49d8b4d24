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
NODES_LOCK = ROOT / "studio" / "requirements-nodes.lock"  # holds all that LOCK holds
TEST_LOCK = ROOT / "studio" / "requirements-dev.lock"  # holds all that NODES_LOCK holds
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
        prepare(VENV, TEST_LOCK if argv[1:2] == ["test"] else NODES_LOCK if reaches_far() else LOCK)
        if Path(sys.prefix).resolve() != VENV.resolve():
            hand_over()
        os.environ.pop(HANDED_OVER, None)
    except Stopped as reason:
        sys.exit(f"Mordant cannot start: {reason}")
    except KeyboardInterrupt:
        sys.exit("\nStopped while setting up; the next start begins it again.")


def prepare(venv: Path, lock: Path) -> None:
    if is_filled(venv, lock):
        return
    venv.mkdir(exist_ok=True)
    waiting = "Another start is filling .venv; waiting for it ..."
    with locking.held(venv / "mordant.lock", patience_s=1800, waiting=waiting):
        if is_filled(venv, lock):
            return
        print("Setting up .venv from a checked list of packages. This happens once and takes a minute ...", flush=True)
        probe = f"import sys; sys.exit(sys.version_info < {OLDEST})"
        runs = python_of(venv).exists() and run([python_of(venv), "-c", probe]).returncode == 0
        if stamp(venv) == UNFINISHED or not runs:
            make_anew(venv)
        # first, or an environment that was left half filled would pass for a whole one
        (venv / "mordant.stamp").write_text(UNFINISHED)
        install(venv, lock)
        (venv / "mordant.stamp").write_text(digest(lock))


def is_filled(venv: Path, lock: Path) -> bool:
    locks = [LOCK, NODES_LOCK, TEST_LOCK]
    enough = {digest(each) for each in locks[locks.index(lock) :]} if lock in locks else {digest(lock)}
    return stamp(venv) in enough and python_of(venv).exists()


def reaches_far() -> bool:
    """Whether documents, backups or what nodes share lie in storage that takes libraries of its own to reach."""
    said = (os.environ.get(f"MORDANT_{name}", "") for name in ("DOCUMENTS", "BACKUPS", "CACHE"))
    return any(each.startswith(("s3:", "redis")) for each in said)


def digest(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def stamp(venv: Path) -> str:
    """The digest of the lock this environment was filled from. An importable Django would prove nothing."""
    try:
        return (venv / "mordant.stamp").read_text()
    except FileNotFoundError:
        return ""


def python_of(venv: Path) -> Path:
    return venv / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def make_anew(venv: Path) -> None:
    for child in venv.iterdir():
        if child.is_dir() and not child.is_symlink():
            shutil.rmtree(child)
        elif child.name != "mordant.lock":
            child.unlink()
    (venv / "mordant.stamp").write_text(UNFINISHED)
    python = getattr(sys, "_base_executable", sys.executable)
    try:
        pip = [int(part) for part in re.findall(r"\d+", importlib.metadata.version("pip"))[:2]]
    except importlib.metadata.PackageNotFoundError:
        pip = []
    # since 22.3 the pip outside fills another environment as well, and two seconds sooner
    options = ["--without-pip"] if pip >= [22, 3] else []
    made = run([python, "-m", "venv", *options, venv])
    if made.returncode:
        raise Stopped(
            f"this Python cannot make an environment with pip in it.\n{last_words(made)}\n"
            "The system's packages bring what is missing:\n"
            "  sudo apt-get install python3-venv     (Debian, Ubuntu)\n"
            "  sudo dnf install python3-pip          (Fedora)\n"
            "Or take a Python from python.org."
        )


def install(venv: Path, lock: Path) -> None:
    has_pip = [*venv.glob("lib/python*/site-packages/pip"), *venv.glob("Lib/site-packages/pip")]
    pip = [python_of(venv), "-m", "pip"] if has_pip else [sys.executable, "-m", "pip", "--python", python_of(venv)]
    options = ["--require-hashes", "--only-binary=:all:", "--disable-pip-version-check", "--no-input", "--retries=2"]
    installed = run([*pip, "install", "--quiet", *options, "--requirement", lock])
    if installed.returncode:
        raise Stopped(
            f"the packages of {lock.name} could not be installed. Is this machine online?\n{last_words(installed)}"
        )


def hand_over() -> None:
    """Run the same command line with the environment's own Python."""
    if HANDED_OVER in os.environ:
        raise Stopped(f"{python_of(VENV)} does not run inside {VENV}. Delete that folder and start again.")
    os.environ[HANDED_OVER] = str(VENV)
    if sys.platform == "darwin":
        # where Homebrew puts Pango, a place macOS does not search
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", "/opt/homebrew/lib:/usr/local/lib:/usr/lib")
    command = [str(python_of(VENV)), *sys.orig_argv[1:]]
    sys.stdout.flush()
    if sys.platform == "win32":
        # exec there would leave the terminal before the command has ended
        sys.exit(subprocess.run(command, check=False).returncode)
    os.execv(command[0], command)


def run(command: list) -> subprocess.CompletedProcess:
    # a user's own pip settings may ask for what a venv cannot do
    environ = {**os.environ, "PIP_USER": "0"}
    return subprocess.run(
        command, env=environ, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )


def last_words(done: subprocess.CompletedProcess) -> str:
    return "\n".join("  " + line for line in done.stdout.strip().splitlines()[-8:])
