"""Lists handed out as XLSX, or as CSV a few rows at a time: a long book then needs no more memory than a short one."""

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

import tablib
from django.http import HttpResponse, StreamingHttpResponse
from django.utils import timezone
from django.utils.text import slugify

ROWS_AT_ONCE = 500
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# at a cell's beginning; and behind what separates cells, because where a comma is the decimal mark a spreadsheet takes
# a line of ours apart at its semicolons
STARTS_A_FORMULA = re.compile(r"^(?=\s*\"?[=+\-@\t\r\0])|(?<=[;\t\r\n])(?=\s*\"?[=+\-@\0])")
BYTE_ORDER_MARK = "\ufeff"  # without it a spreadsheet takes "µ" and "°" for two letters each


def answer(name: str, head: Sequence[str], rows: Iterable[Sequence]) -> StreamingHttpResponse:
    """
    The rows as a file named for the list and the day.

    They are read after the view has answered: whatever they need of the request must be in them already.
    """
    file_name = f"{slugify(name)}-{timezone.localdate():%Y-%m-%d}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return StreamingHttpResponse(lines(head, rows), content_type="text/csv; charset=utf-8", headers=headers)


def workbook(name: str, head: Sequence[str], rows: Iterable[Sequence]) -> HttpResponse:
    """The same as an XLSX file; it is made in memory, so hand it a list that has an end."""
    # a sheet's name has 31 letters at most, or a spreadsheet calls the file damaged
    sheet = tablib.Dataset(*([guarded(cell) for cell in row] for row in rows), headers=head, title=name[:31])
    file_name = f"{slugify(name)}-{timezone.localdate():%Y-%m-%d}.xlsx"
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return HttpResponse(sheet.export("xlsx"), content_type=XLSX, headers=headers)


def lines(head: Sequence[str], rows: Iterable[Sequence]) -> Iterator[str]:
    yield BYTE_ORDER_MARK + tablib.Dataset(head).export("csv")
    waiting = iter(rows)
    while some := list(islice(waiting, ROWS_AT_ONCE)):
        yield tablib.Dataset(*([guarded(cell) for cell in row] for row in some)).export("csv")


def guarded(cell):
    """
    Text that a spreadsheet would run as a formula, as text; numbers stay numbers.

    >>> [guarded(cell) for cell in ("=1+1", "- 2 mm", "fine", -2, "x;=1+1")]
    ["'=1+1", "'- 2 mm", 'fine', -2, "x;'=1+1"]
    """
    return STARTS_A_FORMULA.sub("'", cell) if isinstance(cell, str) else cell
