#!/usr/bin/env python3
"""Every command of the workshop book: `python3 manage.py start` opens it, `help` lists the rest."""

import os
import sys


def main():
    settings = "tests.settings" if sys.argv[1:2] == ["test"] else "studio.settings"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", settings)
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
