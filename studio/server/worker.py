"""What each server process runs."""

import multiprocessing
import os
import signal
import threading
import time

from django.db.backends.signals import connection_created

from studio.printing import papers
from studio.server import database
from studio.server.gateway import THREADS, Gateway
from studio.wsgi import application

GRACE_S = 10  # to answer what it was asked
FIRST_PAGES_S = 2  # the press takes half a second to load: the first pages go before it


def end_with_the_server() -> None:
    """Left alone after its server was killed, a worker would keep the port and the book for itself."""
    if server := multiprocessing.parent_process():
        server.join()
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(GRACE_S)
        # a worker that is told to stop while it starts does not hear it
        os._exit(1)


if hasattr(os, "setpgid"):
    # Ctrl+C is the server's to hear: a worker that hears it too and is then told to stop may hang
    os.setpgid(0, 0)
for beside_the_pages in (threading.Thread(target=end_with_the_server), threading.Timer(FIRST_PAGES_S, papers.warm)):
    beside_the_pages.daemon = True
    beside_the_pages.start()
connection_created.connect(database.limit_waiting)
gateway = Gateway(application, threads=THREADS)
