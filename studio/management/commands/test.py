import subprocess
import sys

from django.conf import settings
from django.core.management.base import BaseCommand

from studio.printing import pango

QUICK = {
    "formatting": [sys.executable, "-m", "ruff", "format", "--check"],
    "style": [sys.executable, "-m", "ruff", "check"],
    "migrations": [sys.executable, str(settings.ROOT / "manage.py"), "makemigrations", "--check", "--dry-run"],
}
TYPES = [sys.executable, "-m", "mypy"]
PYTEST = [sys.executable, "-m", "pytest"]
ON_ALL_CORES = ["--numprocesses=logical", "--dist=worksteal"]


class Command(BaseCommand):
    help = "Check all that must hold before a change goes in; arguments go to pytest, which then runs alone."

    def run_from_argv(self, argv):
        self.handle(*argv[2:])  # pytest reads its own options

    def handle(self, *pytest_arguments, **options):
        # without it every test that prints a paper would be skipped or fail
        pango.bring()
        if pytest_arguments:
            sys.exit(subprocess.run([*PYTEST, *pytest_arguments], cwd=settings.ROOT, check=False).returncode)
        failed = [name for name, command in QUICK.items() if not self.holds(name, command)]
        # beside the tests, or a core would stand idle for as long as one alone takes
        types = subprocess.Popen(TYPES, cwd=settings.ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        if not self.holds("tests", [*PYTEST, *ON_ALL_CORES]):
            failed.append("tests")
        self.announce("types")
        self.stdout.write(types.communicate()[0])
        if types.returncode:
            failed.append("types")
        if failed:
            sys.exit(f"Does not hold: {', '.join(failed)}.")

    def holds(self, name: str, command: list[str]) -> bool:
        self.announce(name)
        return subprocess.run(command, cwd=settings.ROOT, check=False).returncode == 0

    def announce(self, name: str) -> None:
        self.stdout.write(self.style.MIGRATE_HEADING(name))
        self.stdout.flush()
