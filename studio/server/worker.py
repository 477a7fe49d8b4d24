"""What each server process runs."""

import gc
import logging
import multiprocessing
import os
import random
import signal
import threading
import time
from contextlib import suppress

from django.conf import settings
from django.db import connection
from django.db.backends.signals import connection_created
from django.urls import set_script_prefix
from django.utils import timezone

from studio.server import database, locking
from studio.server.gateway import THREADS, Gateway
from studio.wsgi import application

log = logging.getLogger("studio.server")
OPEN_LOOKS_S = 5
GRACE_S = 10  # to answer what it was asked
SEAL_AFTER_S, HOUR_S = 30, 3600
BACKUP_AFTER_S, BACKUP_LOOKS_S = 45, 600
PRESS_LOOKS_S = 10
MAIL_AFTER_S = 30
FIRST_PAGES_S = 2  # in which most of what a worker loads late has been asked for


def end_with_the_server() -> None:
    """Left alone after its server was killed, a worker would keep the port and the book for itself."""
    if server := multiprocessing.parent_process():
        server.join()
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(GRACE_S)
        # a worker that is told to stop while it starts does not hear it
        os._exit(1)


def settle() -> None:
    # what is loaded by now lives as long as the worker: to search it for rubbish would hold all pages up for 50 ms
    gc.collect()
    gc.freeze()


def say_that_it_is_open() -> None:
    """One worker of each node, for as long as it runs; beside a SQLite book there is no other node."""
    while connection.vendor != "sqlite":
        # what is wrong with the database the pages say
        with locking.tried(settings.DATA / "node.lock") as is_ours, suppress(Exception):
            if is_ours:
                with database.open_here() as look:
                    while look():
                        time.sleep(OPEN_LOOKS_S)
        time.sleep(OPEN_LOOKS_S)


def seal_daily() -> None:
    """Each worker of each node asks once an hour; whichever is first seals, and the others find it done."""
    from inventory import seals  # there are no models before the application is made

    while True:
        # after the first pages, and not in the same moment as the other worker
        time.sleep(SEAL_AFTER_S * (1 + random.random()))
        try:
            with database.alone("seals") as is_ours:
                if is_ours:
                    seals.seal_the_day()
        # the book goes on without it, and the next hour tries again
        except Exception:
            log.exception("the book could not be sealed")
        finally:
            connection.close()
        time.sleep(HOUR_S)


def keep_backups() -> None:
    """Each worker of each node looks; whichever finds none of today makes one."""
    # there are no models before the application is made
    from studio.server import keeping
    from studio.workshop.models import Workshop

    while True:
        time.sleep(BACKUP_AFTER_S * (1 + random.random()))
        try:
            if Workshop.objects.filter(is_demo=False).exists():
                keeping.look_after()
        # the next look tries again
        except Exception:
            log.exception("the backups could not be looked at")
        finally:
            connection.close()
        time.sleep(BACKUP_LOOKS_S)


def work_off_papers() -> None:
    """What another node could not print, because it was ended or busy."""
    from studio.printing import print_jobs  # there are no models before the application is made

    while True:
        time.sleep(PRESS_LOOKS_S * (1 + random.random()))
        print_jobs.work_off_aside()


def send_mail() -> None:
    """Whichever process finds a mail first sends it; where the studio gave no account, there is none."""
    from studio.people import outbox  # there are no models before the application is made

    set_script_prefix(f"{settings.BELOW}/")  # which each thread has for itself
    planned_at = float("-inf")
    while outbox.is_set_up():
        time.sleep(MAIL_AFTER_S * (1 + random.random()))
        try:
            if time.monotonic() - planned_at > HOUR_S:
                outbox.plan(timezone.now())
                planned_at = time.monotonic()
            outbox.deliver(timezone.now())
        # the outbox keeps what is not sent, and the next round tries again
        except Exception:
            log.exception("the outbox could not be opened")
        finally:
            connection.close()


BESIDE_THE_PAGES = (end_with_the_server, say_that_it_is_open, seal_daily, keep_backups, work_off_papers, send_mail)


def begin() -> None:
    """Once in each worker, before its first page; whoever only imports this room starts nothing."""
    if hasattr(os, "setpgid"):
        # Ctrl+C is the server's to hear: a worker that hears it too and is then told to stop may hang
        os.setpgid(0, 0)
    connection_created.connect(database.limit_waiting)
    for beside in (
        *(threading.Thread(target=work) for work in BESIDE_THE_PAGES),
        threading.Timer(FIRST_PAGES_S, settle),
    ):
        beside.daemon = True
        beside.start()


gateway = Gateway(application, threads=THREADS, begin=begin)
