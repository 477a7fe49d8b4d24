"""Serves the book with a production server until it is told to stop."""

import http.client
import multiprocessing
import signal
import threading
import time
from collections.abc import Callable

from django.conf import settings
from django.db import connections
from granian.constants import Interfaces
from granian.log import LogLevels
from granian.server import Server

from studio.server import locking, network

JSON_LINES = {"formatters": dict.fromkeys(("generic", "access"), {"()": "studio.server.logs.JsonLines"})}
PATIENCE_S = 3  # a server that was killed a moment ago still has workers on their way out


def open_book():
    """Hold the book open: one server at a time, and no restore beneath it."""
    return locking.held(settings.DATA / "open.lock", patience_s=PATIENCE_S)


def serve(host: str, port: int, *, when_it_answers: Callable[[], None]) -> None:
    server = Server(
        "studio.server.worker:gateway",
        address=host,
        port=port,
        interface=Interfaces.RSGI,
        workers=2,
        websockets=False,
        log_level=LogLevels.error,
        log_dictconfig=JSON_LINES if settings.LOG_FORM == "json" else None,
        respawn_failed_workers=True,
        workers_kill_timeout=10,
        working_dir=settings.ROOT,
    )
    # what only waits for Ctrl+C needs none, and PostgreSQL counts them
    connections.close_all()
    # a worker forked beside a running thread may never wake up
    multiprocessing.set_start_method("spawn")
    waiting = threading.Thread(target=announce_when_it_answers, args=(host, port, when_it_answers), daemon=True)
    server.on_startup(waiting.start)
    if hasattr(signal, "SIGHUP") and signal.getsignal(signal.SIGHUP) != signal.SIG_IGN:  # as under nohup
        # a terminal window that is shut closes the book, which granian would rather open again
        server.on_startup(lambda: signal.signal(signal.SIGHUP, server.signal_handler_interrupt))
    server.serve()


def announce_when_it_answers(host: str, port: int, announce: Callable[[], None]) -> None:
    while True:
        connection = http.client.HTTPConnection(network.here(host), port, timeout=5)
        try:
            connection.request("HEAD", "/")
            connection.getresponse()
            return announce()
        except (OSError, http.client.HTTPException):
            time.sleep(0.05)
        finally:
            connection.close()
