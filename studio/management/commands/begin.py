import getpass
import sys

from django.core.management.base import BaseCommand, CommandError

from inventory.refusals import Refused
from studio.people.beginning import BeginForm
from studio.people.operations import begin
from studio.workshop.models import Workshop
from studio.workshop.regions import time_zone_of_this_machine


class Command(BaseCommand):
    help = "Begin an own book without a browser; the password is asked for, or read from a pipe."

    def add_arguments(self, parser):
        parser.add_argument("--studio", required=True, help="its name")
        parser.add_argument("--keyholder", required=True, help="your name")
        parser.add_argument("--username", required=True, help="the name you sign in with")
        parser.add_argument("--region", required=True, choices=Workshop.Region.values)
        parser.add_argument("--waste-from", default="", choices=["", *Workshop.WasteFrom.values])
        parser.add_argument("--time-zone", help="such as Europe/Berlin; left out, that of this machine")

    def handle(self, **options):
        password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
        typed = {
            "name": options["studio"],
            "keyholder": options["keyholder"],
            "username": options["username"],
            "region": options["region"],
            "waste_from": options["waste_from"],
            "time_zone": options["time_zone"] or time_zone_of_this_machine(),
            "password1": password,
            "password2": password,
        }
        form = BeginForm(typed)
        if not form.is_valid():
            raise CommandError("; ".join(f"{name}: {' '.join(said)}" for name, said in form.errors.items()))
        try:
            begin(form.save(commit=False), **form.facts())
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        self.stdout.write(f"The book of {form.instance} is begun; {options['keyholder']} is its keyholder.")
