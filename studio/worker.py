"""What each server process runs."""

import multiprocessing
import os
import signal
import threading

from studio.wsgi import application

__all__ = ["application"]


def _end_with_the_server() -> None:
    """Left alone after its server was killed, a worker would keep the port and the book for itself."""
    if server := multiprocessing.parent_process():
        server.join()
        os.kill(os.getpid(), signal.SIGTERM)


if hasattr(os, "setpgid"):
    os.setpgid(0, 0)  # Ctrl+C is the server's to hear: a worker that hears it too and is then told to stop may hang
threading.Thread(target=_end_with_the_server, daemon=True).start()
