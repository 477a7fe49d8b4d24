#!/usr/bin/env python3
"""Every command of the workshop book: `python3 manage.py start` opens it, `help` lists the rest."""

import gc
import os
import sys


def main():
    if sys.version_info < (3, 11):  # noqa: UP036  # an older Python does get as far as this line
        sys.exit(f"Mordant needs Python 3.11 or newer, and this is {sys.version.split()[0]}.")
    from studio.server import bootstrap

    bootstrap.enter(sys.argv)
    if sys.argv[1:2] == ["start"]:
        gc.disable()  # until all is loaded: hardly any of it is rubbish, and to look for some takes a fifth of a start
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    testing = sys.argv[1:2] == ["test"]
    if not testing:
        os.umask(0o077)  # what the book writes is for its owner's eyes, whatever folder it lies in
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings" if testing else "studio.settings")
    if "--share" in sys.argv[2:]:
        os.environ["MORDANT_SHARE"] = "1"  # settings are read before any command sees its arguments
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as reason:
        sys.exit(f"Mordant cannot start: {reason}")
    except OSError as error:
        from studio.server import ground

        if not (words := ground.explained(error)):
            raise
        sys.exit(words)


if __name__ == "__main__":
    main()
