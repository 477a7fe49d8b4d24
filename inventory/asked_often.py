"""Queries that acts and usual pages ask: written as SQL once, and told each time what they are about."""

import json
from collections.abc import Callable, Collection
from datetime import date, datetime
from inspect import signature
from threading import local
from typing import Any, ParamSpec, TypeVar, get_args, get_origin, get_type_hints

from django.db import connections, models

Told = ParamSpec("Told")
Row = TypeVar("Row")
FIELDS: dict[Any, "models.Field[Any, Any]"] = {
    int: models.BigIntegerField(),
    datetime: models.DateTimeField(),
    date: models.DateField(),
    str: models.TextField(),
}


class Place(models.Value):
    """Where a query is told the value of an argument."""

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        return "%s", [self]

    def told(self, value: Any, connection: Any) -> Any:
        return self.output_field.get_db_prep_value(value, connection)


class PlaceOfMany(Place):
    """Where it is told any number of them: a list of its own would make of each number another query."""

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        if connection.vendor == "postgresql":
            return f"(SELECT UNNEST(%s::{self.output_field.db_type(connection)}[]))", [self]
        return "(SELECT value FROM JSON_EACH(%s))", [self]

    def told(self, value: Any, connection: Any) -> Any:
        return list(value) if connection.vendor == "postgresql" else json.dumps(list(value))


def place_of(name: str, kind: Any) -> Place:
    [each, is_many] = [get_args(kind)[0], True] if get_origin(kind) is Collection else [kind, False]
    return (PlaceOfMany if is_many else Place)(name, output_field=FIELDS[each])


class Written(local):
    """
    A query as SQL, and the compiler that reads its rows; each thread has its own, as it has its own connection.

    A compiler works both out whenever it is asked, which takes several times as long as the database needs.
    """

    def __init__(self, build: Callable[..., "models.QuerySet[Any, Any]"]):
        kinds = {name: kind for name, kind in get_type_hints(build).items() if name in signature(build).parameters}
        self.rows = build(**{name: place_of(name, kind) for name, kind in kinds.items()})
        self.connection = connections[self.rows.db]
        compiler: Any = self.rows.query.get_compiler(connection=self.connection)
        self.sql, self.parameters = compiler.as_sql()
        converters = compiler.get_converters([column for column, *_ in compiler.select[: compiler.col_count]])
        compiler.as_sql = lambda: (self.sql, self.values)
        compiler.get_converters = lambda columns: converters
        # the rows are read as ever, by a compiler that has its SQL already
        self.rows.query.get_compiler = lambda *using, **elsewhere: compiler  # type: ignore[method-assign]

    def ask(self, told: dict[str, Any]) -> list[Any]:
        self.values = tuple(
            each.told(told[each.value], self.connection) if isinstance(each, Place) else each
            for each in self.parameters
        )
        iterable: Any = self.rows._iterable_class(self.rows)
        return list(iterable)


def asked_often(build: "Callable[Told, models.QuerySet[Any, Row]]") -> Callable[Told, list[Row]]:
    """
    Make of a function that builds a query out of its arguments one that asks it.

    It must be told, by annotated arguments, all that the query depends on: it is built once. None is no value here.
    What is told as a `Collection` stands behind an `__in`.
    """
    names, written = list(signature(build).parameters), None

    def ask(*args: Told.args, **kwargs: Told.kwargs) -> list[Row]:
        nonlocal written
        written = written or Written(build)
        return written.ask({**dict(zip(names, args, strict=False)), **kwargs})

    return ask
