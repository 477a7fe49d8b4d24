"""Several nodes of one book, and what stands around them, for as long as a test runs."""

import re
import socket
import subprocess
import tempfile
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from uuid import uuid4

from tests import postgres
from tests.postgres import free_port
from tests.studio.opened import THIS_CHECKOUT, Opened, environ_of_nobody, opened

USERNAME, PASSWORD = "ada", "etched in blue"
SECRET = "tests-alone-know-it-" * 3
LONGEST_S = 30
SALT = {"name": "Whiting", "category": "Abrasives and scrubbing", "shown_unit": "g", "bath_use": "none"}
JAR = "/shelf/c/C1/"
HAPROXY = """
defaults
    mode http
    timeout connect 5s
    timeout client 60s
    timeout server 60s
    timeout check 20s
    option forwardfor
    option redispatch
    retries 2
frontend book
    bind 127.0.0.1:{port}
    http-request set-header X-Forwarded-Proto http
    {rule}
    default_backend nodes
backend nodes
    balance roundrobin
    option httpchk GET /health/
    default-server check inter 200ms fall 1 rise 1
{servers}
"""
PGBOUNCER = """
[databases]
* = host={host} port={port} user={user} password={password}
[pgbouncer]
listen_addr = 127.0.0.1
listen_port = {own}
unix_socket_dir =
auth_type = any
pool_mode = transaction
max_client_conn = 200
default_pool_size = 8
server_reset_query =
ignore_startup_parameters = extra_float_digits
"""


@contextmanager
def running(*command: object, port: int, **account) -> Iterator[None]:
    """A server of somebody else's, once it listens."""
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen([*map(str, command)], stdout=said, stderr=subprocess.STDOUT, **account)
        try:
            until = time.monotonic() + LONGEST_S
            while not listens(port):
                if process.poll() is not None or time.monotonic() > until:
                    said.seek(0)
                    raise AssertionError(f"{command[0]} does not run: {said.read().decode()}")
                time.sleep(0.02)
            yield
        finally:
            process.terminate()
            process.wait(timeout=LONGEST_S)


def listens(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def proxy(addresses: Sequence[str], folder: Path, *, port: int = 0, rule: str = "") -> Iterator[str]:
    """A proxy that gives every request to the next of the nodes that say they are well; rule: one line more."""
    port, config = port or free_port(), folder / f"haproxy-{uuid4()}.cfg"
    hosts = [urllib.parse.urlsplit(address).netloc for address in addresses]
    servers = "\n".join(f"    server node{number} {host}" for number, host in enumerate(hosts))
    config.write_text(HAPROXY.format(port=port, servers=servers, rule=rule))
    with running("haproxy", "-db", "-f", config, port=port):
        yield f"http://127.0.0.1:{port}"


@contextmanager
def pool(url: str, own: int) -> Iterator[str]:
    """A pool at a port of its own that gives each transaction whatever connection is free, as DATABASE_URL."""
    to = urllib.parse.urlsplit(url)
    there = {"host": to.hostname, "port": to.port, "user": to.username, "password": to.password}
    with tempfile.TemporaryDirectory(prefix="mordant-pool-") as name:
        config = Path(name) / "pgbouncer.ini"
        config.write_text(PGBOUNCER.format(own=own, **there))
        account = postgres.unprivileged(config.parent, config)
        with running("pgbouncer", config, port=own, **account):
            yield f"postgres://{to.username}@127.0.0.1:{own}{to.path}"


@contextmanager
def redis() -> Iterator[str]:
    port = free_port()
    options = ("--save", "", "--appendonly", "no", "--bind", "127.0.0.1")
    with running("redis-server", "--port", port, *options, port=port):
        yield f"redis://127.0.0.1:{port}"


def environ(url: str, **others: str) -> dict[str, str]:
    """What all nodes of a book are told."""
    return {"DATABASE_URL": url, "MORDANT_SECRET_KEY": SECRET, **others}


@contextmanager
def node(folder: Path, url: str, *, manage=THIS_CHECKOUT, **others: str) -> Iterator[Opened]:
    """One server of an own book, with a data folder that no other has."""
    bind = {"MORDANT_BIND": f"127.0.0.1:{free_port()}"}
    with opened(folder, "--empty", manage=manage, **(bind | environ(url, **others))) as started:
        assert started.address, started.said
        yield started


@contextmanager
def at_once(folders: Mapping[Path, str], **others: str) -> Iterator[list[Opened]]:
    """Several that start at one moment, each with its DATABASE_URL."""
    with ExitStack() as stack, ThreadPoolExecutor() as starting:
        yield list(starting.map(lambda each: stack.enter_context(node(*each, **others)), folders.items()))


def begin(folder: Path, url: str) -> None:
    """The studio and its first keyholder."""
    who = ("--studio", "Mill Lane", "--keyholder", "Ada Brook", "--username", USERNAME, "--region", "us")
    own = {**environ_of_nobody(), **environ(url), "MORDANT_DATA": str(folder)}
    subprocess.run([*THIS_CHECKOUT, "begin", *who], env=own, input=f"{PASSWORD}\n", text=True, check=True)


def command(name: str, folder: Path, *told: object, url: str, **others: str) -> str:
    """What a command says that is given what is told or, without that, the folder of its own data."""
    own = {**environ_of_nobody(), **environ(url, **others), "MORDANT_DATA": str(folder)}
    whole = [*THIS_CHECKOUT, name, *(told or [folder])]
    done = subprocess.run(whole, env=own, capture_output=True, text=True, check=False)
    return done.stdout + done.stderr


def fill(ada: "Browser", name: str = "Whiting") -> None:
    """A jar on the shelf, of a material of its own."""
    if "Back room" not in ada.read("/shelf/places/"):
        ada.send("/shelf/places/new/", {"name": "Back room", "kind": "shelf"})
    ada.send("/shelf/materials/new/", SALT | {"name": name})
    place = re.search(r'<option value="(\d+)"[^>]*>Back room', ada.read(ada.reached))
    assert place, ada.reached
    ada.send(ada.reached, {"amount": "2 kg", "place": place[1]})


class Browser:
    """Somebody who is signed in, whichever node answers; all of them are one host to cookies."""

    def __init__(self, address: str, *, name: str = USERNAME, password: str = PASSWORD):
        self.account = {"username": name, "password": password}
        self.address, self.reached = address, ""
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def sign_in(self) -> "Browser":
        self.send("/people/sign-in/", self.account)
        return self

    def read(self, path: str, *, at: str = "", form: bytes | None = None) -> str:
        with self.opener.open((at or self.address) + path, form, timeout=60) as answer:
            self.reached = urllib.parse.urlsplit(answer.url).path
            return answer.read().decode()

    def send(self, path: str, typed: dict[str, str], *, at: str = "") -> str:
        page = self.read(path, at=at)
        hidden = {name: hidden_of(name, page) for name in ("csrfmiddlewaretoken", "key") if f'name="{name}"' in page}
        return self.read(path, at=at, form=urllib.parse.urlencode(hidden | typed).encode())


def hidden_of(name: str, page: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]+)"', page)
    assert found, f"no {name} on the page: {page}"
    return found[1]


def answer(address: str) -> tuple[int, str]:
    """Status and page, also of what is refused."""
    try:
        with urllib.request.urlopen(address, timeout=LONGEST_S) as page:
            return page.status, page.read().decode()
    except HTTPError as refusal:
        with refusal:
            return refusal.code, refusal.read().decode()


def health(address: str) -> tuple[int, str]:
    """What it says of itself to whoever asks there."""
    return answer(f"{address}/health/")


def on_hand_g(page: str) -> float:
    """What the page of a jar or a material says is left."""
    found = re.search(r'<p class="figure(?: big)?">(?:<span class="name">On hand</span>)?([\d.,]+) (k?g)\b', page)
    assert found, page
    return float(found[1].replace(",", "")) * (1000 if found[2] == "kg" else 1)


def until(what, seconds: float = LONGEST_S):
    """What comes of asking again and again, once it is true."""
    ends = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < ends, "it did not come to that"
        time.sleep(0.05)
    return found
