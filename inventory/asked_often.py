"""Queries that every act asks: written as SQL once, and told each time what they are about."""

from collections.abc import Callable
from datetime import datetime
from inspect import signature
from threading import local
from typing import Any, ParamSpec, TypeVar, get_type_hints

from django.db import connections, models

Told = ParamSpec("Told")
Row = TypeVar("Row")
FIELDS: dict[Any, "models.Field[Any, Any]"] = {
    int: models.BigIntegerField(),
    datetime: models.DateTimeField(),
    str: models.TextField(),
}


class Place(models.Value):
    """Where a query is told the value of an argument."""

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        return "%s", [self]


class Written(local):
    """
    A query as SQL, and the compiler that reads its rows; each thread has its own, as it has its own connection.

    A compiler works both out whenever it is asked, which takes several times as long as the database needs.
    """

    def __init__(self, build: Callable[..., "models.QuerySet[Any, Any]"]):
        kinds = {name: kind for name, kind in get_type_hints(build).items() if name in signature(build).parameters}
        self.rows = build(**{name: Place(name, output_field=FIELDS[kind]) for name, kind in kinds.items()})
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
            each.output_field.get_db_prep_value(told[each.value], self.connection) if isinstance(each, Place) else each
            for each in self.parameters
        )
        iterable: Any = self.rows._iterable_class(self.rows)
        return list(iterable)


def asked_often(build: "Callable[Told, models.QuerySet[Any, Row]]") -> Callable[Told, list[Row]]:
    """
    Make of a function that builds a query out of its arguments one that asks it.

    It must be told, by annotated arguments, all that the query depends on: it is built once. None is no value here.
    """
    names, written = list(signature(build).parameters), None

    def ask(*args: Told.args, **kwargs: Told.kwargs) -> list[Row]:
        nonlocal written
        written = written or Written(build)
        return written.ask({**dict(zip(names, args, strict=False)), **kwargs})

    return ask
