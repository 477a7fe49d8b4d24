"""Every request knows whose book it reads, and in whose time."""

import functools
import zoneinfo

from django.core.cache import cache
from django.db import DEFAULT_DB_ALIAS, connection
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from chemistry import locale
from inventory.models import Entry
from studio.server import network
from studio.workshop.models import Workshop

Revision = tuple[object, ...]
MARKS = 4  # of which a revision is made


def workshop(get_response):
    """
    Put book and workshop on the request, the clock and the figures of the workshop on the thread.

    Without one, lead to its beginning.
    """

    def middleware(request):
        request.book_revision, request.workshop = book_and_workshop()
        if request.workshop is None:
            if request.path in (reverse("workshop:begin"), reverse("first_aid")):
                return get_response(request)
            return redirect("workshop:begin")
        if request.workshop.is_demo and not network.is_this_machine(request):
            # the demo's password is printed in the README
            return render(request, "workshop/demo_stays_here.html", status=403)
        with timezone.override(zoneinfo.ZoneInfo(request.workshop.time_zone)), locale.override(request.workshop.units):
            return get_response(request)

    return middleware


def book_and_workshop() -> tuple[Revision, Workshop | None]:
    """The mark of the book and the studio's row, which there may be none of yet, in one query."""
    with connection.cursor() as cursor:
        cursor.execute(sql_of_both(connection.vendor))
        found = cursor.fetchone()
    revision, row = found[:MARKS], found[MARKS:]
    kept: tuple[Revision, Workshop | None] | None = cache.get("workshop")
    # what is known of it changes by an entry alone
    if kept and kept[0] == revision:
        return kept
    told = dict(zip(Workshop._meta.concrete_fields, row, strict=True))
    workshop = None
    if told[Workshop._meta.pk] is not None:
        names, facts = zip(*((field.attname, field.to_python(value)) for field, value in told.items()), strict=True)
        workshop = Workshop.from_db(DEFAULT_DB_ALIAS, names, facts)
    cache.set("workshop", (revision, workshop), None)
    return revision, workshop


@functools.cache
def sql_of_both(vendor: str) -> str:
    quote = connection.ops.quote_name
    table, columns = (
        quote(Workshop._meta.db_table),
        [quote(str(field.column)) for field in Workshop._meta.concrete_fields],
    )
    mark = Entry.objects.revision_sql()
    return f"SELECT mark.*, {', '.join(columns)} FROM ({mark}) AS mark LEFT JOIN {table} ON 1 = 1 ORDER BY id LIMIT 1"


def workshop_on_pages(request):
    """The studio's row for every template: its name, its units, whether it is the demo."""
    return {"workshop": getattr(request, "workshop", None)}
