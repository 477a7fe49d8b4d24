from itertools import chain, islice

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from inventory import integrity, seals, uploads
from inventory.models import Container, Entry, Seal
from studio.baths import estimate
from studio.baths.models import Bath
from studio.bites import integrity as bites

# of a book that is wrong throughout twenty tell as much as all
MOST_NAMED = 20


class Command(BaseCommand):
    help = "Work out every running figure anew from the entries, and say whether the book is sound."

    def handle(self, **options):
        baths = (f"what is kept of {bath} differs from its log" for bath in estimate.unsound_baths())
        looked = chain(integrity.integrity_errors(), baths, bites.integrity_errors(), seals.errors(), uploads.missing())
        faults: list[str] = []
        try:
            faults.extend(islice(looked, MOST_NAMED))
        # a page that cannot be read at all
        except DatabaseError as error:
            faults.append(f"the database cannot be read: {error}")
        # a page that can, and holds what nobody wrote: whatever was made of it
        except Exception as error:
            faults.append(f"what the database holds makes no sense: {error!r}")
        if faults:
            more = ", and perhaps more" if len(faults) == MOST_NAMED else ""
            raise CommandError(f"The book is not sound: {'; '.join(faults)}{more}.")
        counts = ", ".join(f"{model.objects.count():,} {name}" for model, name in COUNTED)
        self.stdout.write(f"The book is sound: {counts}.")
        if last := Seal.objects.defer("marks").last():
            self.stdout.write(f"{last}. All {Seal.objects.count():,} hold; compare the code with one that was printed.")
        if strays := uploads.unnamed():
            named = "; ".join(strays[:MOST_NAMED])
            self.stderr.write(f"No line names these files, {len(strays):,} in all; they may be deleted: {named}")


COUNTED = ((Entry, "entries"), (Container, "containers"), (Bath, "baths"))
