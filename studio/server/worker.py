"""What each server process runs."""

import multiprocessing
import os
import signal
import threading
import time

from studio.printing import papers
from studio.wsgi import application

__all__ = ["application"]
GRACE_S = 10  # to answer what it was asked
FIRST_PAGES_S = 2  # the press takes half a second to load: the first pages go before it


def _end_with_the_server() -> None:
    """Left alone after its server was killed, a worker would keep the port and the book for itself."""
    if server := multiprocessing.parent_process():
        server.join()
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(GRACE_S)
        os._exit(1)  # a worker that is told to stop while it starts does not hear it


def _beside_the_pages(thread: threading.Thread) -> None:
    thread.daemon = True
    thread.start()


if hasattr(os, "setpgid"):
    os.setpgid(0, 0)  # Ctrl+C is the server's to hear: a worker that hears it too and is then told to stop may hang
_beside_the_pages(threading.Thread(target=_end_with_the_server))
_beside_the_pages(threading.Timer(FIRST_PAGES_S, papers.warm))
