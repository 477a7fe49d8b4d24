from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from studio.server import backups, locking, serving


class Command(BaseCommand):
    help = "Put a backup in the place of the present book, which is kept beside it."

    def add_arguments(self, parser):
        parser.add_argument("archive", type=Path)

    def handle(self, archive, **options):
        try:
            with serving.open_book() as leave_note:
                leave_note("being restored")
                kept = backups.restore(archive)
        except locking.LockTaken as taken:
            raise CommandError(f"The book is {taken}; close it first.") from taken
        except backups.Failed as failure:
            raise CommandError(failure) from failure
        self.stdout.write(f"Restored {archive}. The book it replaced is kept in {kept}.")
