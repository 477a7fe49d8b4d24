"""What stands between the server and the pages: nobody who dawdles keeps the book from the others."""

import socket
import time
from types import SimpleNamespace

import pytest

from studio.server.gateway import environ_of
from tests.studio.opened import opened

STALLED = 200


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    with opened(tmp_path_factory.mktemp("book"), "--empty") as book:
        yield book


def connect(book) -> socket.socket:
    host, port = book.address.removeprefix("http://").split(":")
    return socket.create_connection((host, int(port)), timeout=10)


def asked(book, head: str, body: bytes = b"") -> bytes:
    """The whole answer to a request written by hand."""
    with connect(book) as connection:
        connection.sendall(f"{head}\r\nHost: 127.0.0.1\r\nConnection: close\r\n".encode() + b"\r\n" + body)
        return b"".join(iter(lambda: connection.recv(65536), b""))


def test_two_hundred_stalled_uploads_leave_the_pages_answering(book):
    # with the cookie of a form, so that what is sent is read
    announced = f"POST /studio/begin/ HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: mordant_csrf={'a' * 32}\r\n"
    announced += "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 50000\r\n\r\nname="
    stalled = [connect(book) for _ in range(STALLED)]
    try:
        for connection in stalled:
            connection.sendall(announced.encode())
        began = time.monotonic()
        answers = [book.ask("/first-aid/") for _ in range(10)]
        took = time.monotonic() - began
    finally:
        for connection in stalled:
            connection.close()

    assert set(answers) == {200}
    assert took < 10, "ten pages are seconds, where a held thread is for ever"


@pytest.mark.parametrize(
    ("head", "body", "answered"),
    [
        ("GET /first-aid/?a=%C3%A9 HTTP/1.1", b"", 200),
        ("HEAD /first-aid/ HTTP/1.1", b"", 200),
        ("GET /no%2Fpage/%C3%A9%FF HTTP/1.1", b"", 404),
        ("POST /studio/begin/ HTTP/1.1\r\nContent-Length: 50200000", b"", 413),
        ("POST /studio/begin/ HTTP/1.1\r\nTransfer-Encoding: chunked", b"5\r\nhello\r\n0\r\n\r\n", 403),
        ("POST /studio/begin/ HTTP/1.1\r\nContent-Length: 5", b"hello", 403),
    ],
    ids=["page", "head", "unknown", "too large", "in pieces", "whole"],
)
def test_each_way_of_asking_is_answered(book, head, body, answered):
    answer = asked(book, head, body)

    assert answer.split()[1] == str(answered).encode(), answer[:300]
    assert answer.startswith(b"HTTP/1.1")


def test_a_header_with_underscores_does_not_pass_for_the_proxys_own():
    scope = SimpleNamespace(
        server="[::1]:8000",
        client="[::1]:40000",
        scheme="http",
        method="GET",
        path="/é/",
        query_string="a=%C3%A9",
        http_version="1.1",
        authority=None,
        headers={"x-forwarded-for": "10.0.0.7", "x_forwarded_for": "6.6.6.6", "content-type": "text/plain"},
    )

    environ = environ_of(scope)

    assert environ["HTTP_X_FORWARDED_FOR"] == "10.0.0.7"
    assert (environ["REMOTE_ADDR"], environ["SERVER_PORT"], environ["CONTENT_TYPE"]) == ("::1", "8000", "text/plain")
    assert environ["PATH_INFO"].encode("latin-1").decode() == "/é/"
