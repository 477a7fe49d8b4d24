"""The kinds of entries that this book has."""

from django.db import connection

# One step of the index from each kind to the next: a DISTINCT would walk through the whole book.
EVERY_KIND = """
    WITH RECURSIVE found(kind) AS (
        SELECT MIN(kind) FROM inventory_entry
        UNION ALL
        SELECT (SELECT MIN(kind) FROM inventory_entry WHERE kind > found.kind) FROM found WHERE found.kind IS NOT NULL
    )
    SELECT kind FROM found WHERE kind IS NOT NULL
"""


def kinds() -> list[tuple[str, str]]:
    """All of them, as choices."""
    with connection.cursor() as cursor:
        cursor.execute(EVERY_KIND)
        return [(kind, kind.capitalize()) for (kind,) in cursor.fetchall()]
