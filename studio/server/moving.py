"""
A book taken from one database to another: read at one moment, written all or nothing, compared on both sides.

The book it comes from is only read, so whenever it is cut off, that one stands as it was.
"""

import json
from collections.abc import Iterator, Mapping
from hashlib import sha256
from typing import Any

from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections, models, transaction
from django.db.models import Count, Sum

from inventory.models import Container, MonthSum
from inventory.seals import alike
from studio.server import backups, database, rows
from studio.server.copies import Failed

RUNNING = ((Container, "on_hand"), (MonthSum, "amount"))  # what is kept as a sum, beside what it is the sum of


def move(to: Mapping[str, Any]) -> dict[str, int]:
    """
    Write the book into another, empty database, and hold one against the other; returns how many rows of what.

    to: as from `database.from_url`. Refuses (Failed) what would not be the same there; the other one stays empty then.
    """
    with database.another_connection(dict(to), "moved_to") as there:
        refuse_itself(there)
        try:
            call_command("migrate", database=there, interactive=False, verbosity=0)
            with transaction.atomic(using=there):
                with backups.snapshot() as here:
                    told = rows.read_rows(rows.written_rows(using=here), using=there)
                # with the book itself, and not with what was read: somebody may have written in the meantime
                refuse_differences(DEFAULT_DB_ALIAS, there)
            database.survey(there)
        except DatabaseError as error:
            raise Failed(f"The other database would not take it: {error}. The book stands where it was.") from error
    return told


def refuse_itself(there: str) -> None:
    ours, theirs = (connections[alias].settings_dict for alias in (DEFAULT_DB_ALIAS, there))
    if all(ours[part] == theirs[part] for part in ("ENGINE", "NAME", "HOST", "PORT")):
        raise Failed("The book is there already: name the database that it is to move to.")


def refuse_differences(here: str, there: str) -> None:
    """Refuse where a table has other rows, or where the two databases count and add up otherwise."""
    ours, theirs = ({**digests(each), **totals(each)} for each in (here, there))
    if different := sorted(what for what in ours if ours[what] != theirs.get(what)):
        raise Failed(
            f"{', '.join(different)} differ on the two sides. Close the book on every machine, then move it again; "
            "it stands where it was, and the other database holds none of it."
        )


def digests(using: str) -> dict[str, str]:
    """Of each table a SHA-256 of all its rows, the same for the same rows in whichever database."""
    found: dict[str, Any] = {}
    table = ""
    for line in rows.written_rows(using=using):
        match json.loads(line):
            case {"model": str(table)}:
                found[table] = sha256()
            case list(row):
                found[table].update(rows.as_line(alike(row)))
    return {table: digest.hexdigest() for table, digest in found.items()}


def totals(using: str) -> dict[str, Any]:
    """Rows and running figures as the database itself counts and adds them up."""
    return dict(counted(using))


def counted(using: str) -> Iterator[tuple[str, Any]]:
    for model in rows.kept_models():
        yield f"the number of {named(model)}", of_all(model, using, Count("pk"))
    for model, sum_of in RUNNING:
        yield f"the {sum_of} of {named(model)}", of_all(model, using, Sum(sum_of))


def of_all(model: type[models.Model], using: str, what: models.Aggregate) -> Any:
    return model._base_manager.using(using).aggregate(all=what)["all"]


def named(model: type[models.Model]) -> str:
    return model._meta.label_lower
