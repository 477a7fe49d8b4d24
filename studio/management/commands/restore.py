from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError

from inventory.models import Person
from studio import preparation
from studio.server import backups, database, keeping, locking, serving


class Command(BaseCommand):
    help = "Put a backup in the place of the present book, or what was taken along as `everything.zip` in an empty one."

    def add_arguments(self, parser):
        parser.add_argument("archive", help="a file, or the name of a backup that is kept where MORDANT_BACKUPS says")

    def handle(self, archive, **options):
        try:
            with serving.open_book() as leave_note, database.closed_elsewhere(), keeping.at_hand(archive) as file:
                leave_note("being restored")
                if backups.holds_rows(file):
                    self.read_rows(file)
                else:
                    kept = backups.restore(file)
                    self.stdout.write(f"Restored {archive}. The book it replaced is kept in {kept}.")
        except locking.LockTaken as taken:
            raise CommandError(f"The book is {taken}; close it first.") from taken
        except (backups.Failed, preparation.StartRefused) as failure:
            raise CommandError(failure) from failure
        except OSError as error:
            raise CommandError(f"Nothing was restored: {error}. The book that was there still stands.") from error

    def read_rows(self, archive):
        preparation.bring_up_to_date()
        told = backups.restore_rows(archive)
        preparation.bring_up_to_date()  # another build may work baths out otherwise
        database.survey()
        self.stdout.write(f"{archive} is open here, {sum(told.values()):,} rows: `verify` says whether it is sound.")
        keyholders = User.objects.filter(person__role=Person.Role.KEYHOLDER, is_active=True).order_by("pk")
        names = ", ".join(keyholders.values_list("username", flat=True))
        self.stdout.write(
            "Passwords, PINs, second codes, telephone numbers and calendar addresses were not taken along. "
            f"`python3 manage.py changepassword NAME` gives a keyholder a password: {names}."
        )
