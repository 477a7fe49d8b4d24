import io
import os

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from studio import backups, locking, network, pango, preparation, serving
from studio.workshop.models import Workshop


class Command(BaseCommand):
    help = "Open the workshop book: put in order what is missing, then serve it until Ctrl+C."
    requires_system_checks = []  # they would take longer than everything else here

    def add_arguments(self, parser):
        parser.add_argument("--empty", action="store_true", help="begin an own book instead of the demo studio's")
        parser.add_argument("--share", action="store_true", help="open an own book to the local network")

    def handle(self, empty, **options):
        try:
            with serving.open_book() as leave_note:
                self._open(empty, leave_note)
        except locking.Taken as taken:
            raise CommandError(f"This book is already open at {taken}.") from taken
        except backups.Failed as failure:
            raise CommandError(failure) from failure
        except KeyboardInterrupt:
            raise CommandError("Stopped before the book was open.", returncode=130) from None
        self.stdout.write("Closed.")

    def _open(self, empty, leave_note):
        port = self._port()
        address = f"http://{settings.BIND_HOST}:{port}"
        leave_note(settings.PUBLIC_URL or address)
        preparation.bring_up_to_date()
        is_demo = self._choose_book(empty=empty)
        if not pango.bring():
            self.stdout.write(f"Printing is off until Pango is here:\n  {pango.command()}")
        serving.serve(settings.BIND_HOST, port, when_it_answers=lambda: self._announce(address, is_demo=is_demo))

    def _port(self) -> int:
        host, port = settings.BIND_HOST, settings.BIND_PORT
        if network.is_free(host, port):
            return port
        other = network.next_free(host, port)
        # an address that somebody chose, or that printed codes point at, must not move by itself
        if settings.SHARED or "MORDANT_BIND" in os.environ:
            raise CommandError(f"Port {port} is taken by another program. MORDANT_BIND={host}:{other} is free.")
        self.stdout.write(f"Port {port} is taken by another program; taking {other} instead.")
        return other

    def _choose_book(self, *, empty: bool) -> bool:
        """Whether the book is the demo's: on a first start it is, unless an own one is wanted."""
        workshop = Workshop.objects.first()
        if workshop is None and not empty and not settings.SHARED:
            call_command("demo", verbosity=0)
            return True
        if workshop is None or not workshop.is_demo:
            return False
        if empty:
            self._put_demo_aside()
            return False
        if settings.SHARED:
            raise CommandError(
                "This is the demo's book, and its password is known to all: it stays on this machine. "
                "`start --empty --share` puts it aside and begins your own."
            )
        return True

    def _put_demo_aside(self) -> None:
        if connection.vendor != "sqlite":
            raise CommandError("This database holds the demo's book. Name another one in DATABASE_URL for your own.")
        kept = backups.set_aside("demo")
        self.stdout.write(f"The demo's book was put aside in {kept}.")
        preparation.bring_up_to_date()

    def _announce(self, address: str, *, is_demo: bool) -> None:
        lines = [f"Mordant is open at {address} (Ctrl+C closes it).", f"The book is kept in {settings.DATA}."]
        if is_demo:
            lines.append("This is the demo studio: sign in as maren with the password tallow-street.")
        if settings.PUBLIC_URL:
            lines += [f"Others reach it at {settings.PUBLIC_URL}", _terminal_qr(settings.PUBLIC_URL)]
        self.stdout.write("\n".join(lines))
        self.stdout.flush()


def _terminal_qr(address: str) -> str:
    drawing = io.StringIO()
    segno.make_qr(address).terminal(drawing, compact=True)
    return drawing.getvalue()
