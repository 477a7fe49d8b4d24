"""Sessions that know whose they are, so that one query brings the session, the account and the person."""

import logging
import time
from contextvars import ContextVar
from datetime import UTC, datetime, timedelta
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.backends import db
from django.contrib.sessions.backends.base import SessionBase, UpdateError
from django.db import DatabaseError
from django.utils import timezone

from studio.pages.errands import TYPED

log = logging.getLogger("studio.people")
LONGEST_STAY = timedelta(days=14)  # then the password is asked again, however often the book was opened
BEGAN, TABLET, DEVICE, AWAKE = "began_at", "tablet", "device", "awake_at"
# in the order in which a browser's description is searched: an iPad calls itself a Mac, Android a Linux
DEVICES = ("iPhone", "iPad", "Android", "Windows", "Macintosh", "CrOS", "Linux")
came_with_session: ContextVar[User | None] = ContextVar("came_with_session", default=None)


class SessionStore(db.SessionStore):
    """Kept in the database; `SESSION_ENGINE` names this module."""

    @classmethod
    def get_model_class(cls) -> Any:
        from studio.people.models import Session  # Django asks for this module before there are models

        return Session

    def create_model_instance(self, data: Any) -> Any:
        data.setdefault(BEGAN, int(time.time()))
        row: Any = super().create_model_instance(data)
        row.account_id, row.tablet_id, row.device = data.get(SESSION_KEY), data.get(TABLET), data.get(DEVICE, "")
        row.began_at = datetime.fromtimestamp(data[BEGAN], UTC)
        return row

    def load(self) -> dict[str, Any]:
        from studio.people.models import stays_of  # as above

        now = timezone.now()
        row = next(iter(stays_of(self.session_key or "", now, now - LONGEST_STAY)), None)
        if row is None:
            self._session_key = None
        came_with_session.set(row.account if row else None)
        self.written = self.decode(row.session_data) if row else {}
        return dict(self.written)

    def save(self, must_create: bool = False) -> None:
        """What is merely handy and cannot be kept takes no answer with it: what was asked for is written by then."""
        held: dict[str, Any] = dict(self._session)  # type: ignore[attr-defined]  # which its stubs leave out
        try:
            super().save(must_create)
        # Django tells by one of its own what the database said
        except (DatabaseError, UpdateError):
            if must_create or not is_merely_handy(held, getattr(self, "written", {})):
                raise
            log.exception("a stay could not be brought up to date")
        self.written = held


def is_merely_handy(held: dict[str, Any], written: dict[str, Any]) -> bool:
    """Whether all that a stay lacks is a sign of life, units that were typed last, or that an errand is done."""
    from studio.pages.writing import TYPED_IN  # there are no models when Django asks for this module

    def rest(kept: dict[str, Any]) -> dict[str, Any]:
        return {name: value for name, value in kept.items() if name not in (AWAKE, TYPED_IN, TYPED)}

    return rest(held) == rest(written) and held.get(TYPED, {}).items() <= written.get(TYPED, {}).items()


def begin(session: SessionBase, *, agent: str) -> None:
    """Somebody has signed in: a stay begins, on a device of some kind."""
    session.pop(BEGAN, None)
    session[DEVICE] = next((device for device in DEVICES if device in agent), "")
    keep_awake(session)


def keep_awake(session: SessionBase) -> None:
    """
    A sign of life puts off the end of the stay.

    Written down once a minute at the studio's tablet and once an hour elsewhere, for each costs a write.
    """
    now = int(time.time() // (60 if TABLET in session else 3600))
    if session.get(AWAKE) != now:
        session[AWAKE] = now


def take_account(pk: int) -> User | None:
    """The account of this number, if the session that was just read brought it; once, as it was then."""
    account = came_with_session.get()
    came_with_session.set(None)
    return account if account is not None and account.pk == pk else None
