"""What all workers of all nodes must see, and nobody would miss: how far a long list has come."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from django.core.cache.backends.db import DatabaseCache
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import connection, connections

from studio.server import database

TABLE = "shared_cache"


def chosen(said: str, *, data: Path, of_database: str) -> dict[str, Any]:
    """The cache of MORDANT_CACHE; without it, PostgreSQL itself, or beside SQLite a folder."""
    if said:
        if not said.startswith(("redis://", "rediss://")):
            raise ImproperlyConfigured("MORDANT_CACHE must begin with redis:// or rediss://")
        return {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": said, "KEY_PREFIX": "mordant"}
    if of_database == database.POSTGRESQL:
        return {"BACKEND": "studio.server.shared_cache.AsideCache", "LOCATION": TABLE}
    return {"BACKEND": "django.core.cache.backends.filebased.FileBasedCache", "LOCATION": data / "shared"}


class AsideCache(DatabaseCache):
    """
    Writes by a connection of its own: what is told inside a transaction would be seen only once it is over.

    What is taken back too: a row that the transaction itself had deleted would keep the next word waiting for ever.
    """

    def _base_set(self, *how: Any) -> Any:
        return aside(super()._base_set, *how)  # type: ignore[misc]  # its stubs leave both out

    def _base_delete_many(self, keys: Any) -> Any:
        return aside(super()._base_delete_many, keys)  # type: ignore[misc]  # as above


def aside(work: Callable[..., Any], *how: Any) -> Any:
    def alone() -> Any:
        try:
            return work(*how)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as thread:
        return thread.submit(alone).result()


def is_missing() -> bool:
    """Whether the table of the cache has still to be made; a backup of a book on SQLite brings none."""
    if connection.vendor == "sqlite":
        return False
    with connection.cursor() as cursor:
        cursor.execute("SELECT to_regclass(%s) IS NULL", [TABLE])
        return bool(cursor.fetchone()[0])


def make() -> None:
    call_command("createcachetable", TABLE, verbosity=0)
