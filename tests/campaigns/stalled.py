"""
Clients that stall in every way there is, two hundred of each at once: pages go on answering meanwhile.

They begin and say nothing, stop in a header, stop in what they send, send a byte at a time, or never read the answer.
"""

import socket
import tempfile
import time
from pathlib import Path

from tests.campaigns.table import table
from tests.postgres import free_port
from tests.studio.opened import Opened

SHORT, LONG, ASKED = 60, 400, 10
SLOWEST_S = 10
POST = "POST /studio/begin/ HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: mordant_csrf=" + "a" * 32 + "\r\n"
FORM = "Content-Type: application/x-www-form-urlencoded\r\n"
WAYS = {
    "say nothing": "",
    "stop in the first line": "GET /first",
    "stop in a header": "GET /first-aid/ HTTP/1.1\r\nHost: 127.0",
    "stop in what they send": f"{POST}{FORM}Content-Length: 50000\r\n\r\nname=",
    "send in pieces and stop": f"{POST}{FORM}Transfer-Encoding: chunked\r\n\r\n5\r\nname=\r\n",
    "ask and never read": "GET /first-aid/ HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n" * 20,
    "send a byte at a time": f"{POST}{FORM}Content-Length: 50000\r\n\r\n",
}


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    began, rows, many = time.monotonic(), [], LONG if long else SHORT
    with tempfile.TemporaryDirectory(prefix="mordant-stalled-") as folder:
        port = free_port()
        environ = {"MORDANT_BIND": f"127.0.0.1:{port}", "MORDANT_NO_BOOTSTRAP": "1"}
        book = Opened(Path(folder), "--empty", **environ | ({"DATABASE_URL": url} if url else {}))
        try:
            for what, said in WAYS.items():
                rows.append([what, many, *answering(book, port, said, many, by_bytes=what.startswith("send a byte"))])
        finally:
            book.process.kill()
            book.ended()
    told = table(["clients that", "at once", "pages answered", "the slowest took"], rows)
    return f"{told}\n{time.monotonic() - began:.0f} s"


def answering(book: Opened, port: int, said: str, many: int, *, by_bytes: bool) -> list[str]:
    clients = []
    try:
        for _ in range(many):
            client = socket.create_connection(("127.0.0.1", port), timeout=10)
            client.sendall(said.encode())
            clients.append(client)
        took = []
        for _ in range(ASKED):
            began = time.monotonic()
            status = book.ask("/first-aid/")
            took.append(time.monotonic() - began)
            assert status == 200, status
            for client in clients if by_bytes else ():
                client.sendall(b"n")
    finally:
        for client in clients:
            client.close()
    assert max(took) < SLOWEST_S, f"a page took {max(took):.1f} s"
    return [f"{ASKED} of {ASKED}", f"{max(took):.2f} s"]
