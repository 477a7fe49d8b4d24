"""Where this machine is found, on itself and on the local network, and whose request reaches it."""

import ipaddress
import socket
from contextlib import ExitStack
from urllib.parse import urljoin

import platformdirs
from django.conf import settings

from studio.server import locking

SOMEWHERE_ELSE = ("192.0.2.1", 9)  # a documentation address (RFC 5737): only the route is asked for, nothing is sent

FORWARDED = ("HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_PROTO", "HTTP_FORWARDED")  # what proxies add


def host_and_port(text: str) -> tuple[str, int]:
    """Read "127.0.0.1:8000", "[::1]:8000" or a port alone, which stays on this machine."""
    host, _, port = text.rpartition(":")
    is_bracketed = host.startswith("[") and host.endswith("]")
    if not port.isdecimal() or not 0 < int(port) < 65536 or (":" in host and not is_bracketed):
        raise ValueError(f"MORDANT_BIND must be an address and a port such as 127.0.0.1:8000, not {text!r}")
    return host.strip("[]") or "127.0.0.1", int(port)


def url(scheme: str, host: str, port: int) -> str:
    return f"{scheme}://[{host}]:{port}" if ":" in host else f"{scheme}://{host}:{port}"


def address() -> str:
    """This machine's address on the local network; the loopback address when it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(SOMEWHERE_ELSE)
        except OSError:
            return "127.0.0.1"
        return probe.getsockname()[0]


def public(path: str) -> str:
    """A page's address for whoever is elsewhere; the path of MORDANT_URL is part of every page's own."""
    return urljoin(settings.PUBLIC_URL, path)


def names() -> list[str]:
    """What others on the local network may call this machine."""
    name = socket.gethostname().lower()
    return [address(), name, f"{name}.local"]


def here(host: str) -> str:
    """Where this machine itself finds a server that listens on a host."""
    return "127.0.0.1" if host in ("0.0.0.0", "::") else host


def is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def is_free(host: str, port: int) -> bool:
    """Whether a server may listen there: two that share a port would each answer half of the requests."""
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as probe:
        # the last server's closed connections do not count, or no book could be opened again at once
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def claim(host: str, port: int) -> ExitStack | None:
    """
    Take a free port until the answer is closed; None where another program has it.

    Looking alone would not do: two books that start at one moment would both find it free, share it, and answer in
    turn.
    """
    with ExitStack() as claimed:
        try:
            # the user's own folder: in one that all share, somebody could lay a link where the lock is expected
            folder = platformdirs.user_cache_path("mordant", appauthor=False, ensure_exists=True)
            claimed.enter_context(locking.held(folder / f"port-{port}.lock"))
        except locking.LockTaken:
            return None
        except OSError:  # a container may have no folder to write in, and nothing that starts beside the book
            pass
        return claimed.pop_all() if is_free(host, port) else None


def claim_next(host: str, port: int) -> tuple[int, ExitStack]:
    """The next free port after this one, taken."""
    attempts = ((candidate, claim(host, candidate)) for candidate in range(port + 1, port + 1000))
    return next((candidate, claimed) for candidate, claimed in attempts if claimed)


def client_address(request) -> str:
    """
    The address sign-in attempts are counted by.

    Behind MORDANT_PROXIES proxies it is the entry the outermost of them wrote, counted from the right of
    X-Forwarded-For; what stands further left was written by the client and proves nothing.
    """
    trail = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if settings.PROXIES and len(trail) >= settings.PROXIES:
        return trail[-settings.PROXIES] or request.META["REMOTE_ADDR"]
    return request.META.get("REMOTE_ADDR", "")


def is_this_machine(request) -> bool:
    """Whether the request comes from this machine itself, with no proxy in between."""
    # behind a proxy on this machine everybody comes from this machine
    if any(name in request.META for name in FORWARDED):
        return False
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False
