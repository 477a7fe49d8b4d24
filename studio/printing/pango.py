"""Pango, the native library that lays out the papers: without it the book works but prints nothing."""

import ctypes
import os
import shutil
import subprocess
import sys
from functools import cache

DEBIAN_PACKAGES = ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"]
LIBRARIES = {
    "darwin": ["libpango-1.0.dylib", "libpangoft2-1.0.dylib", "libharfbuzz-subset.0.dylib"],
    "win32": ["libpango-1.0-0.dll", "libpangoft2-1.0-0.dll", "libharfbuzz-subset-0.dll"],
}
LINUX_LIBRARIES = ["libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz-subset.so.0"]
WINDOWS_FOLDER = r"C:\msys64\ucrt64\bin"  # where WeasyPrint looks first
COMMANDS = {
    "apt-get": "sudo apt-get install " + " ".join(DEBIAN_PACKAGES),
    "dnf": "sudo dnf install pango",
    "pacman": "sudo pacman -S pango",
    "zypper": "sudo zypper install libpango-1_0-0 libharfbuzz-subset0",
    "apk": "sudo apk add pango",
}


@cache
def is_here() -> bool:
    """Whether this process can print; the answer stands until it ends."""
    if sys.platform == "win32" and os.path.isdir(WINDOWS_FOLDER):
        # Windows looks for libraries only where it has been told to
        os.add_dll_directory(WINDOWS_FOLDER)
    try:
        for library in LIBRARIES.get(sys.platform, LINUX_LIBRARIES):
            ctypes.CDLL(library)
    except OSError:
        return False
    return True


def command() -> str:
    """The one line that brings Pango to this system."""
    if sys.platform == "darwin":
        return "brew install pango"
    if sys.platform == "win32":
        return "pacman -S mingw-w64-ucrt-x86_64-pango   (in the MSYS2 shell, from msys2.org)"
    found = [line for tool, line in COMMANDS.items() if shutil.which(tool)]
    return found[0] if found else "install Pango 1.44 or newer with the system's own package manager"


def bring() -> bool:
    """Install Pango if it is missing and this is an administrator's account on a Debian-like system."""
    if is_here():
        return True
    if not hasattr(os, "geteuid") or os.geteuid() != 0 or not shutil.which("apt-get"):
        return False
    print("Installing Pango, which lays out the papers ...", flush=True)
    # a question in the middle of an installation would hang a start that nobody watches
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for arguments in (["update"], ["install", "--yes", "--no-install-recommends", *DEBIAN_PACKAGES]):
        command = ["apt-get", "-qq", *arguments]
        subprocess.run(command, env=quiet, stdout=subprocess.DEVNULL, umask=0o022, check=False)  # for everybody
    # the answer from before the installation would stand until the next start
    is_here.cache_clear()
    return is_here()
