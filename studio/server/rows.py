"""
Every row of a book as lines of JSON, whichever database and build it comes from and goes to.

A line says which model and fields follow, then comes a line for each row; the last says how many there were. Nothing is
held in memory but some rows at a time.
"""

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from graphlib import TopologicalSorter
from typing import Any
from uuid import UUID

from django.apps import apps
from django.contrib.auth.models import Permission
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections, models, transaction

from studio.server.copies import Failed

FORM = 1  # of the lines; a build that writes them otherwise counts on
AT_ONCE = 1_000
OF_THIS_MACHINE = {"contenttypes", "axes"}  # made by migrations, or who knocked at this door
READ_BACK = (models.DateField, models.UUIDField, models.DecimalField)

Line = dict[str, Any] | list[Any]


@cache
def kept_models() -> list[type[models.Model]]:
    """What makes up a book, each model behind all that its rows point at."""
    found = apps.get_models(include_auto_created=True)
    to = {each: {field.related_model for field in each._meta.concrete_fields if field.is_relation} for each in found}
    ours = {
        each: to[each] - {each}
        for each in found
        # nobody is given a permission here
        if each._meta.app_label not in OF_THIS_MACHINE and Permission not in {each, *to[each]}
    }
    return [each for each in TopologicalSorter(ours).static_order() if each in ours]


def written_rows(
    *,
    using: str = DEFAULT_DB_ALIAS,
    without: Collection[type[models.Model]] = (),
    secrets: Mapping[type[models.Model], Collection[str]] | None = None,
) -> Iterator[bytes]:
    """
    The lines of one moment, if the connection reads at one, as `backups.snapshot` does.

    without: models that stay here. secrets: by model the fields that stay here, whose default takes their place.
    """
    rows: dict[str, int] = {}
    yield as_line({"form": FORM})
    for model in kept_models():
        if model in without:
            continue
        left_out = (secrets or {}).get(model, ())
        fields = [field.attname for field in model._meta.concrete_fields if field.name not in left_out]
        yield as_line({"model": model._meta.label_lower, "fields": fields})
        rows[model._meta.label_lower] = 0
        found = model._base_manager.using(using).order_by("pk").values_list(*fields)
        for row in found.iterator(AT_ONCE):
            rows[model._meta.label_lower] += 1
            yield as_line(row)
    yield as_line({"rows": rows})


def as_line(told: Any) -> bytes:
    return ENCODER.encode(told).encode() + b"\n"


def as_text(value: object) -> str:
    if isinstance(value, date):  # a moment is one too
        return value.isoformat()
    if isinstance(value, (UUID, Decimal)):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no form in a line")


ENCODER = json.JSONEncoder(default=as_text, ensure_ascii=False, separators=(",", ":"))


def read_rows(lines: Iterable[bytes], *, using: str = DEFAULT_DB_ALIAS) -> dict[str, int]:
    """
    Write the rows into an empty book, all of them or none; returns how many of each model there are.

    Refuses (Failed) what this build does not know, what breaks off and what does not go together.
    """
    connection = connections[using]
    try:
        with transaction.atomic(using=using):
            refuse_written_book(using)
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    # left to the end, each row would be remembered until then
                    cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            told = take_in(map(json.loads, lines), connection)
            connection.check_constraints()
            with connection.cursor() as cursor:
                for statement in connection.ops.sequence_reset_sql(no_style(), kept_models()):
                    cursor.execute(statement)
    except (DatabaseError, ValueError) as error:
        raise Failed(f"What it holds does not go together here: {error}. The book stays empty.") from error
    return told


def refuse_written_book(using: str) -> None:
    for model in kept_models():
        if model._base_manager.using(using).exists():
            raise Failed("There is a book here already, and this opens in an empty one: name another in MORDANT_DATA.")


def take_in(lines: Iterator[Line], connection: Any) -> dict[str, int]:
    match next(lines, None):
        case {"form": int(form)} if form <= FORM:
            pass
        case {"form": form}:
            raise Failed(f"It was written by a newer build, in form {form}; this one reads forms up to {FORM}.")
        case _:
            raise Failed("It holds no rows of a book.")
    known = {model._meta.label_lower: model for model in kept_models()}
    read: dict[str, int] = {}
    write: Callable[[list[list[Any]]], None] | None = None
    waiting: list[list[Any]] = []
    model = ""
    for line in lines:
        if isinstance(line, list):
            if write is None:
                raise Failed(f"It holds {model}, which this build does not know.")
            waiting.append(line)
            read[model] += 1
        if waiting and write and (isinstance(line, dict) or len(waiting) == AT_ONCE):
            write(waiting)
            waiting = []
        match line:
            case {"model": str(model), "fields": list(fields)}:
                write = writer(known[model], fields, connection) if model in known else None
                read[model] = 0
            case {"rows": rows}:
                if rows != read:
                    raise Failed("It does not hold as many rows as it says.")
                return read
    raise Failed("It breaks off before its end.")


def writer(model: type[models.Model], names: list[str], connection: Any) -> Callable[[list[list[Any]]], None]:
    """Writes rows of these fields; what they do not tell begins as it does for a new one."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    told = [(at, fields.pop(name)) for at, name in enumerate(names) if name in fields]
    strange = set(range(len(names))) - {at for at, _ in told}
    missing = list(fields.values())
    quote = connection.ops.quote_name
    columns = [quote(field.column) for field in (*(field for _, field in told), *missing)]
    insert = (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"
    )

    def prepared(row: list[Any]) -> list[Any]:
        if any(row[at] not in (None, "", [], {}, False) for at in strange):
            unknown = ", ".join(names[at] for at in sorted(strange))
            raise Failed(f"It tells {unknown} of {model._meta.label_lower}, which this build does not know.")
        values = [(field, field.to_python(row[at]) if isinstance(field, READ_BACK) else row[at]) for at, field in told]
        values += [(field, field.get_default()) for field in missing]
        return [field.get_db_prep_save(value, connection) for field, value in values]

    def write(rows: list[list[Any]]) -> None:
        with connection.cursor() as cursor:
            cursor.executemany(insert, map(prepared, rows))

    return write
