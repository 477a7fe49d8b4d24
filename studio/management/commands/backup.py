from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from studio.server import backups, keeping


class Command(BaseCommand):
    help = "Copy the whole book into one checked zip file, while people go on writing."

    def add_arguments(self, parser):
        parser.add_argument("folder", nargs="?", type=Path, help="otherwise where MORDANT_BACKUPS says")

    def handle(self, folder, **options):
        try:
            archive = backups.make(folder) if folder else f"{keeping.storage().place}/{keeping.make(keeping.BY_HAND)}"
        except backups.Failed as failure:
            raise CommandError(failure) from failure
        self.stdout.write(f"The book was copied to {archive} and checked.")
