import io
import logging
import os
from contextlib import ExitStack
from functools import partial

import segno
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from studio import preparation
from studio.printing import pango
from studio.server import backups, database, ground, health, locking, network, serving

log = logging.getLogger("studio.start")

CANNOT_OPEN = (
    "The book in {data} could not be opened: {error}. See that its disk has room and may be written; "
    "`python3 manage.py verify` says whether the book is sound, and `restore` brings back a copy."
)


class Command(BaseCommand):
    help = "Open the workshop book: put in order what is missing, then serve it until Ctrl+C."
    requires_system_checks = []  # they would take longer than everything else here

    def add_arguments(self, parser):
        parser.add_argument("--empty", action="store_true", help="begin an own book instead of the demo studio's")
        parser.add_argument("--share", action="store_true", help="open an own book to the local network")

    def handle(self, empty, **options):
        if refusal := ground.unwritable(settings.DATA):
            raise CommandError(refusal)
        try:
            with serving.open_book() as leave_note:
                self.open_book(empty, leave_note)
        except locking.LockTaken as taken:
            raise CommandError(f"This book is already {taken}.") from taken
        except (backups.Failed, preparation.StartRefused) as reason:
            raise CommandError(reason) from reason
        except (OSError, DatabaseError) as error:
            raise CommandError(CANNOT_OPEN.format(data=settings.DATA, error=f"{error}".strip())) from error
        except KeyboardInterrupt:
            raise CommandError("Stopped before the book was open.", returncode=130) from None
        self.stdout.write("Closed.")

    def open_book(self, empty, leave_note):
        port, claimed = self.claimed_port()
        with claimed:
            self.open_at(port, empty, leave_note)

    def open_at(self, port, empty, leave_note):
        address = network.url(settings.SCHEME, network.here(settings.BIND_HOST), port) + settings.BELOW
        leave_note(f"open at {address}")
        if ground.is_full(settings.DATA):
            raise preparation.StartRefused(ground.full(settings.DATA))
        if connection.vendor != "sqlite":
            with database.open_here():  # which waits while another node restores the book
                pass
        kept = serving.aside(partial(preparation.prepare, empty=empty))
        if not (clock := health.clock()).is_well:
            self.stdout.write(clock.words)
        if connection.vendor != "sqlite" and (words := preparation.other_key()):
            self.stdout.write(words)
        if kept:
            self.stdout.write(f"The demo's book has made room for your own; a copy is kept in {kept}.")
        if connection.vendor == "sqlite" and (drive := database.network_drive(settings.DATA)):
            self.stdout.write(f"{settings.DATA} lies on a network drive ({drive}), where a SQLite book can be damaged.")
        if not pango.bring():
            self.stdout.write(f"Printing is off until Pango is here:\n  {pango.command()}")
        # put together now: once it serves, this process has no connection to the book any more
        said = announcement(address)
        serving.serve(settings.BIND_HOST, port, when_it_answers=lambda: tell(address, said))

    def claimed_port(self) -> tuple[int, ExitStack]:
        host, port = settings.BIND_HOST, settings.BIND_PORT
        if claimed := network.claim(host, port):
            return port, claimed
        other, claimed = network.claim_next(host, port)
        # an address that somebody chose, or that printed codes point at, must not move by itself
        if settings.SHARED or "MORDANT_BIND" in os.environ:
            claimed.close()
            raise CommandError(f"Port {port} is taken by another program. MORDANT_BIND={host}:{other} is free.")
        self.stdout.write(f"Port {port} is taken by another program; taking {other} instead.")
        return other, claimed


def tell(address: str, said: str) -> None:
    if settings.LOG_FORM == "json":
        log.info("open at %s", address)
    else:
        print(said, flush=True)


def announcement(address: str) -> str:
    kept = settings.DATA if connection.vendor == "sqlite" else f"PostgreSQL, its sheets and backups in {settings.DATA}"
    lines = [f"Mordant is open at {address} (Ctrl+C closes it).", f"The book is kept in {kept}."]
    if preparation.is_demo():
        lines.append("This is the demo studio: sign in as maren with the password tallow-street.")
    if settings.PUBLIC_URL:
        code = io.StringIO()
        segno.make_qr(settings.PUBLIC_URL).terminal(code, compact=True)
        lines += [f"Others reach it at {settings.PUBLIC_URL}", code.getvalue()]
    return "\n".join(lines)
