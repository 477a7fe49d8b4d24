"""A mail server on this machine that does what a test asks of it, and the account that the book has there."""

import ssl
from contextlib import contextmanager

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult
from django.test import override_settings

from studio.server import mail_account

NAME, PASSWORD = "studio", "p@ss/word#1"


class Post:
    """Takes what comes, unless it is told to refuse."""

    def __init__(self, rcpt="", data=""):
        self.arrived, self.rcpt, self.data = [], rcpt, data

    async def handle_RCPT(self, server, session, envelope, address, options):
        if self.rcpt:
            return self.rcpt
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        if self.data:
            return self.data
        self.arrived.append(envelope)
        return "250 OK"


class Server(Controller):
    def _trigger_server(self):
        # it chose a free port of its own, so only now is one known
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


def knows(server, session, envelope, mechanism, auth_data):
    is_right = (auth_data.login, auth_data.password) == (NAME.encode(), PASSWORD.encode())
    return AuthResult(success=is_right, handled=False)


@contextmanager
def opened(handler=None, *, tls=None, from_the_start=None, asks_who=False):
    """Where a server listens, and what arrived there. tls: for STARTTLS; from_the_start: before anything is said."""
    handler = handler or Post()
    kwargs = {"tls_context": tls}
    if asks_who:
        kwargs |= {"authenticator": knows, "auth_required": True, "auth_require_tls": tls is not None}
    server = Server(handler, hostname="127.0.0.1", port=0, ssl_context=from_the_start, **kwargs)
    server.start()
    try:
        yield server.port, handler
    finally:
        server.stop()


@contextmanager
def account(url: str):
    """The book with this account, as its settings read it."""
    known = mail_account.from_url(url)
    with override_settings(
        EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
        MAIL=known,
        EMAIL_HOST=known.host,
        EMAIL_PORT=known.port,
        EMAIL_HOST_USER=known.user,
        EMAIL_HOST_PASSWORD=known.password,
        EMAIL_USE_TLS=known.starts_tls,
        EMAIL_USE_SSL=known.uses_tls,
        EMAIL_TIMEOUT=2,
        DEFAULT_FROM_EMAIL=known.sender,
        PUBLIC_URL="http://book.example.org",
    ):
        yield


def context_of(authority, *names) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert(*names).configure_cert(context)
    return context
