"""Serves the book with a production server until it is told to stop."""

import gc
import http.client
import multiprocessing
import os
import signal
import ssl
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from typing import Any, TypeVar

from django.conf import settings
from django.db import connection, connections
from django.urls import get_resolver
from granian.constants import Interfaces
from granian.log import LogLevels
from granian.server import Server

from studio.server import locking, network

FORKS = sys.platform == "linux"  # elsewhere the system's own libraries do not stand it
JSON_LINES = {"formatters": dict.fromkeys(("generic", "access"), {"()": "studio.server.logs.JsonLines"})}
Result = TypeVar("Result")
PATIENCE_S = 3  # a server that was killed a moment ago still has workers on their way out


def open_book():
    """Hold the book open: one server at a time, and no restore beneath it."""
    return locking.held(settings.DATA / "open.lock", patience_s=PATIENCE_S)


def serve(host: str, port: int, *, when_it_answers: Callable[[], None]) -> None:
    certificate = settings.CERTIFICATE
    server = Server(
        "studio.server.worker:gateway",
        address=host,
        port=port,
        interface=Interfaces.RSGI,
        # only one can write into SQLite at a time, and a second worker would take as much memory as the first
        workers=1 if connection.vendor == "sqlite" else 2,
        websockets=False,
        log_level=LogLevels.error,
        log_dictconfig=JSON_LINES if settings.LOG_FORM == "json" else None,
        respawn_failed_workers=True,
        workers_kill_timeout=10,
        working_dir=settings.ROOT,
        ssl_cert=certificate.chain if certificate else None,
        ssl_key=certificate.key if certificate else None,
    )
    # what only waits for Ctrl+C needs none, and PostgreSQL counts them
    connections.close_all()
    multiprocessing.set_start_method("fork" if FORKS else "spawn")
    load_pages()
    if hasattr(signal, "SIGHUP"):
        # a terminal window that is shut closes the book, or nothing under nohup; granian would rather open it again
        goes_on = signal.getsignal(signal.SIGHUP) == signal.SIG_IGN
        shut = signal.SIG_IGN if goes_on else server.signal_handler_interrupt
        server.on_startup(lambda: signal.signal(signal.SIGHUP, shut))
    waiting = threading.Thread(target=announce_when_it_answers, args=(host, port, when_it_answers), daemon=True)
    begin_workers = server.startup

    def startup(*workers: Any) -> None:
        begin_workers(*workers)
        # not before: a worker forked beside a running thread may never wake up
        waiting.start()

    server.startup = startup  # type: ignore[method-assign]  # granian has no hook that comes so late
    server.serve()


def aside(work: Callable[[], Result]) -> Result:
    """
    Do in a process of its own what leaves memory behind, or the server would hold it as long as it runs.

    Before this process has asked the book anything: no connection may be used by two.
    """
    load_pages()
    if not FORKS:
        return work()
    with ProcessPoolExecutor(1, multiprocessing.get_context("fork"), initializer=end_with_the_start) as process:
        return process.submit(work).result()


def end_with_the_start() -> None:
    """Left alone after the start was killed, a process would wait for more to do for ever."""

    def wait() -> None:
        if start := multiprocessing.parent_process():
            start.join()
            os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def load_pages() -> None:
    """What every page needs, so that processes forked from this one have it at once and in common."""
    _ = get_resolver().reverse_dict
    # searched for rubbish, every object would be written into, and each process have a copy of its own
    gc.freeze()
    gc.enable()  # a start that loads all of this looks for none: see manage.py


def announce_when_it_answers(host: str, port: int, announce: Callable[[], None]) -> None:
    asking: Callable[..., http.client.HTTPConnection] = http.client.HTTPConnection
    if settings.CERTIFICATE:
        # the certificate is for the name that others call it by; here it is called by its number
        asking = partial(http.client.HTTPSConnection, context=ssl._create_unverified_context())
    while True:
        connection = asking(network.here(host), port, timeout=5)
        try:
            connection.request("HEAD", "/")
            connection.getresponse()
            return announce()
        except (OSError, http.client.HTTPException):
            time.sleep(0.05)
        finally:
            connection.close()
