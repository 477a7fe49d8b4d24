"""Between granian and Django: a request takes a thread only once all of it has arrived."""

import asyncio
import logging
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from tempfile import SpooledTemporaryFile
from typing import IO, Any

from django.conf import settings
from granian.rsgi import HTTPProtocol, ProtocolClosed, Scope  # type: ignore[attr-defined]  # it names them so

from studio.pages import documents

MOST_BYTES = documents.MOST_BYTES + documents.AROUND_IT
THREADS = 2  # of each worker
IN_MEMORY_BYTES = 1_000_000
PAUSE_S = 20  # the longest somebody may send nothing, or take nothing, in the midst of it
WHOLE_S = 600  # fifty megabytes over a slow line

log = logging.getLogger("studio.server")


class NothingMore(Exception):
    """Whoever sends something stopped in the midst of it."""


class Gateway:
    """
    An RSGI application around a WSGI one, with threads of its own.

    Granian's own WSGI hands a request to a thread before its body is there, so a few that send slowly, or stop, hold
    all threads and with them the book. Here the event loop waits for them, within limits of size and time.
    """

    def __init__(self, application: Callable[..., Any], *, threads: int, begin: Callable[[], object] = bool):
        self.application, self.begin = application, begin
        self.pool = ThreadPoolExecutor(threads, "pages")

    def __rsgi_init__(self, loop: asyncio.AbstractEventLoop) -> None:
        self.begin()

    async def __rsgi__(self, scope: Scope, proto: HTTPProtocol) -> None:
        environ = environ_of(scope)
        loop = asyncio.get_running_loop()
        with SpooledTemporaryFile(IN_MEMORY_BYTES) as body:
            try:
                environ["CONTENT_LENGTH"] = str(await read_body(environ, proto, body))
                environ["wsgi.input"] = body
                whole = await loop.run_in_executor(self.pool, self.answer, environ, StreamedAnswer(proto, loop))
                if whole:
                    proto.response_bytes(*whole)
            except NothingMore:
                proto.response_empty(408, [("connection", "close")])
            except (ProtocolClosed, TimeoutError):
                pass  # whoever asked has gone
            # Django answers for its own pages; what fails around them must not leave the other waiting
            except Exception:
                log.exception("no answer to %s", environ["PATH_INFO"])
                proto.response_empty(500, [])

    def answer(
        self, environ: dict[str, Any], stream: "StreamedAnswer"
    ) -> tuple[int, list[tuple[str, str]], bytes] | None:
        """In a thread: the answer, or None where it has gone out piece by piece."""
        began: list[tuple[str, list[tuple[str, str]]]] = []
        response = self.application(environ, lambda status, headers, exc_info=None: began.append((status, headers)))
        try:
            [(status, headers)] = began
            number = int(status.split(" ", 1)[0])
            if getattr(response, "streaming", False) and not is_small(headers):
                stream.send(number, headers, iter(response))
                return None
            return number, headers, b"".join(response)
        finally:
            response.close()


class StreamedAnswer:
    """An answer that is longer than fits in memory: the thread that makes it waits for whoever takes it."""

    def __init__(self, proto: HTTPProtocol, loop: asyncio.AbstractEventLoop):
        self.proto = proto
        self.loop = loop

    def send(self, status: int, headers: list[tuple[str, str]], pieces: Iterator[bytes]) -> None:
        transport = self.and_wait(self.begin(status, headers))
        for piece in pieces:
            self.and_wait(transport.send_bytes(piece))

    async def begin(self, status: int, headers: list[tuple[str, str]]) -> Any:
        return self.proto.response_stream(status, headers)

    def and_wait(self, step: Any) -> Any:
        async def awaited() -> Any:
            return await step

        return asyncio.run_coroutine_threadsafe(awaited(), self.loop).result(PAUSE_S)


async def read_body(environ: dict[str, Any], proto: HTTPProtocol, body: IO[bytes]) -> int:
    """
    Take all that is sent into a file, and tell its length; what is too large is left where it is.

    Raises NothingMore where it stops short of what was announced.
    """
    announced = environ.get("CONTENT_LENGTH", "")
    if announced.isdigit() and int(announced) > MOST_BYTES:
        return int(announced)
    if announced in ("", "0") and "HTTP_TRANSFER_ENCODING" not in environ:
        return 0
    loop, length = asyncio.get_running_loop(), 0
    ends = loop.time() + WHOLE_S
    try:
        async with asyncio.timeout(PAUSE_S) as pause:
            # by a plain loop: granian's worker does not survive the iterator being asked in another way
            async for piece in proto:
                length += len(piece)
                if length > MOST_BYTES:
                    break
                body.write(piece)
                pause.reschedule(min(ends, loop.time() + PAUSE_S))
    except TimeoutError as slow:
        raise NothingMore from slow
    if announced.isdigit() and length < int(announced):
        raise NothingMore
    body.seek(0)
    return length


def environ_of(scope: Scope) -> dict[str, Any]:
    """
    A request as WSGI tells it (PEP 3333).

    Headers with underscores are left out: `X_Forwarded_For` would pass for the proxy's own `X-Forwarded-For`.
    """
    server, _, port = scope.server.rpartition(":")
    environ = {
        "REQUEST_METHOD": scope.method,
        "SCRIPT_NAME": "",
        # as PEP 3333 wants it: bytes, each in the place of a letter
        "PATH_INFO": below(settings.BELOW, scope.path).encode().decode("latin-1"),
        "QUERY_STRING": scope.query_string,
        "SERVER_NAME": server,
        "SERVER_PORT": port,
        "SERVER_PROTOCOL": f"HTTP/{scope.http_version}",
        "REMOTE_ADDR": scope.client.rpartition(":")[0].strip("[]"),
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": scope.scheme,
        "wsgi.errors": sys.stderr,
        "wsgi.multithread": True,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
    }
    for name, value in scope.headers.items():
        if "_" in name:
            continue
        known = name.upper().replace("-", "_")
        known = known if known in ("CONTENT_TYPE", "CONTENT_LENGTH") else f"HTTP_{known}"
        joint = "; " if known == "HTTP_COOKIE" else ","
        environ[known] = f"{environ[known]}{joint}{value}" if known in environ else value
    if scope.authority:
        environ.setdefault("HTTP_HOST", scope.authority)
    return environ


def below(where: str, path: str) -> str:
    """
    A path without that below which the book is served; a proxy may have taken it off before.

    >>> below("/mordant", "/mordant/shelf/"), below("/mordant", "/shelf/"), below("/mordant", "/mordants/")
    ('/shelf/', '/shelf/', '/mordants/')
    """
    return path.removeprefix(where) or "/" if path == where or path.startswith(f"{where}/") else path


def is_small(headers: list[tuple[str, str]]) -> bool:
    """Whether an answer says that it fits in memory, as a style sheet does."""
    length = next((value for name, value in headers if name.lower() == "content-length"), "")
    return length.isdigit() and int(length) <= IN_MEMORY_BYTES
