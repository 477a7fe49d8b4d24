"""Sessions that know whose they are, so that one query brings the session, the account and the person."""

from contextvars import ContextVar
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.backends import db

came_with_session: ContextVar[User | None] = ContextVar("came_with_session", default=None)


class SessionStore(db.SessionStore):
    """Kept in the database; `SESSION_ENGINE` names this module."""

    @classmethod
    def get_model_class(cls) -> Any:
        from studio.people.models import Session  # Django asks for this module before there are models

        return Session

    def create_model_instance(self, data: Any) -> Any:
        row: Any = super().create_model_instance(data)
        row.account_id = data.get(SESSION_KEY)
        return row

    def load(self) -> dict[str, Any]:
        row: Any = self._get_session_from_db()  # type: ignore[attr-defined]  # which its stubs leave out
        came_with_session.set(row and row.account)
        return self.decode(row.session_data) if row else {}


def take_account(pk: int) -> User | None:
    """The account of this number, if the session that was just read brought it; once, as it was then."""
    account = came_with_session.get()
    came_with_session.set(None)
    return account if account is not None and account.pk == pk else None
