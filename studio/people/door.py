"""Who came in, who was turned away: in the server's log, with the address they came from."""

import logging

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest

from studio.pages import errands
from studio.people import sessions
from studio.server.network import client_address

log = logging.getLogger("studio.door")


def who(request: HttpRequest) -> str:
    """The account's number and not its name: a log is read by more people than the book."""
    account = getattr(request, "user", None)
    name = f"account {account.pk}" if account is not None and account.is_authenticated else "a stranger"
    return f"{name} from {client_address(request)}"


def read_private(request: HttpRequest, what: str) -> None:
    """Who was hurt, how somebody is reached: whoever reads it of somebody else is known to have."""
    log.info("read %s: %s", what, who(request))


@receiver(user_logged_in)
def came_in(request: HttpRequest, user: AbstractBaseUser, **signal: object) -> None:
    sessions.begin(request.session, agent=request.headers.get("User-Agent", ""))
    request.came_or_went = str(user.pk)  # type: ignore[attr-defined]  # for the middleware
    errands.take_up(request.session, str(user.pk))
    log.info("signed in: %s", who(request))


@receiver(user_logged_out)
def went(request: HttpRequest, **signal: object) -> None:
    request.came_or_went = ""  # type: ignore[attr-defined]  # as above
    log.info("signed out: %s", who(request))


@receiver(user_login_failed)
def turned_away(request: HttpRequest | None = None, **signal: object) -> None:
    # nothing of what was typed: a password often lands in the field above its own
    if request is not None:
        log.warning("a name and a password or PIN that do not go together: %s", who(request))
