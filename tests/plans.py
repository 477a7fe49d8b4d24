"""Which queries read a whole table that grows, as the database itself says when it is asked how it goes about them."""

import json
import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from math import inf
from typing import Any

from django.apps import apps
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.urls import resolve

NAMED = re.compile(r'(?:FROM|JOIN) "(\w+)"(?: (?:AS )?"?(\w+)"?)?')
# begin_own empties the demo, which no book of ten years is
NO_PAGE = re.compile(
    r"paper|csv|xlsx|everything|begin_own|:(card|run_card|log_sheet|look_over_sheet|sticker|label|worker)$"
)
MANY_ROWS = 5_000  # in a table of fewer, reading all of it may be the best plan
STEPS_AT_ONCE, MANY_STEPS = 1_000, 300_000
FEW_ROWS = 100  # so many are read before a page has what it wants
Queries = dict[str, Any]


@contextmanager
def queries() -> Iterator[Queries]:
    """What is asked meanwhile, each query once with what it was told."""
    found: Queries = {}

    def note(execute: Any, sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
        if sql.lstrip().startswith(("SELECT", "WITH")) and not many:
            found.setdefault(sql, params)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield found


def fetched(client: Client, asked: Queries, path: str) -> tuple[str, bytes]:
    """A page for whoever walks, as it is made where nothing is kept, and what it asked; what is no page is left out."""
    if NO_PAGE.search(resolve(path.partition("?")[0]).view_name):
        return "", b""
    cache.clear()
    with queries() as found:
        answer = client.get(path)
    if answer.streaming or not answer.headers.get("Content-Type", "").startswith("text/html"):
        b"".join(answer)  # or its file stays open
        return "", b""
    asked |= found
    return "text/html", answer.content


def growing_tables() -> set[str]:
    return {model._meta.db_table for model in apps.get_models() if model._base_manager.count() >= MANY_ROWS}


def whole_reads(asked: Queries, growing: Collection[str]) -> Iterator[str]:
    """What reads all of a growing table, and its query."""
    read = whole_reads_on_sqlite if connection.vendor == "sqlite" else whole_reads_on_postgresql
    for sql, params in asked.items():
        yield from (f"{what}: {sql}" for what in read(sql, params) if what.split()[0] in growing)


def whole_reads_on_sqlite(sql: str, params: Any) -> Iterator[str]:
    tables = {alias: table for table, alias in NAMED.findall(sql) if alias}
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}", params)
        told = [row[3].split() for row in cursor.fetchall()]
    in_order = "ORDER BY" in sql and not any(each[-2:] == ["ORDER", "BY"] for each in told)
    for _, name, *rest in (each for each in told if each[0] == "SCAN"):
        # what is walked in its order, by an index or by its numbers, ends where the page does
        if not (("USING" in rest or in_order) and "LIMIT" in sql):
            yield f"{tables.get(name, name)} is scanned"


def dear_on_sqlite(asked: Queries) -> Iterator[str]:
    """Queries of which no plan tells that an index leads them past much that they do not want."""
    if connection.vendor != "sqlite":
        return
    for sql, params in asked.items():
        if (steps := steps_on_sqlite(sql, params)) > MANY_STEPS:
            yield f"{steps:,} steps: {sql}"


def steps_on_sqlite(sql: str, params: Any) -> int:
    """How many instructions of its own machine a query takes, by the thousand."""
    steps = 0

    def count() -> int:
        nonlocal steps
        steps += STEPS_AT_ONCE
        return 0

    with connection.cursor() as cursor:
        connection.connection.set_progress_handler(count, STEPS_AT_ONCE)
        try:
            cursor.execute(sql, params)
            cursor.fetchall()
        finally:
            connection.connection.set_progress_handler(None, 0)
    return steps


def whole_reads_on_postgresql(sql: str, params: Any) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, TIMING OFF, FORMAT JSON) {sql}", params)
        [told] = cursor.fetchone()
    waiting = [told[0]["Plan"] if isinstance(told, list) else json.loads(told)[0]["Plan"]]
    while waiting:
        node = waiting.pop()
        waiting += node.get("Plans", [])
        passed = sum(node.get(f"Rows Removed by {why}", 0) for why in ("Filter", "Index Recheck"))
        read = round(node["Actual Loops"] * (node["Actual Rows"] + passed))
        if read > most_read(node):
            yield f"{node['Relation Name']} is read by {node['Node Type']}, {read:,} rows"


def most_read(node: dict[str, Any]) -> float:
    """How many rows a step may read of its table: few of one in no order, some along an index whose end it knows."""
    if node["Node Type"] == "Seq Scan":
        return FEW_ROWS
    return MANY_ROWS if "Index" in node["Node Type"] and "Index Cond" not in node else inf
