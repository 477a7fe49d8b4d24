from django.core.management.base import BaseCommand, CommandError

from inventory.refusals import Refused
from studio.demo import load


class Command(BaseCommand):
    help = "Write the year of an invented studio into an empty book."

    def handle(self, **options):
        try:
            load.load()
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        if options["verbosity"]:
            self.stdout.write(f"Tallow Street Print Room is in the book: sign in as maren, password {load.PASSWORD}.")
