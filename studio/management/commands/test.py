import subprocess
import sys

from django.conf import settings
from django.core.management.base import BaseCommand

from studio.printing import pango

MANAGE = [sys.executable, str(settings.ROOT / "manage.py")]
CHECKS = {
    "formatting": [sys.executable, "-m", "ruff", "format", "--check"],
    "style": [sys.executable, "-m", "ruff", "check"],
    "types": [sys.executable, "-m", "mypy"],
    "migrations": [*MANAGE, "makemigrations", "--check", "--dry-run"],
}
PYTEST = [sys.executable, "-m", "pytest"]


class Command(BaseCommand):
    help = "Check all that must hold before a change goes in; arguments go to pytest, which then runs alone."

    def run_from_argv(self, argv):
        self.handle(*argv[2:])  # pytest reads its own options

    def handle(self, *pytest_arguments, **options):
        pango.bring()
        checks = {} if pytest_arguments else CHECKS
        checks = {**checks, "tests": [*PYTEST, *pytest_arguments]}
        failed = [name for name, command in checks.items() if not self._holds(name, command)]
        if failed:
            sys.exit(f"Does not hold: {', '.join(failed)}.")

    def _holds(self, name: str, command: list[str]) -> bool:
        self.stdout.write(self.style.MIGRATE_HEADING(name))
        self.stdout.flush()
        return subprocess.run(command, cwd=settings.ROOT, check=False).returncode == 0
