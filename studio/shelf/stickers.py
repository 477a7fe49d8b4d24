"""Stickers for containers: one on its own, or on sheets of common label stock, from the first one that is left."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from studio.pages.fields import with_quantities

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class LabelStock:
    """Sheets of stickers as paper shops sell them; their measures stand in paper.css under the id."""

    id: str
    name: str | Promise
    page: str
    on_a_sheet: int


STOCKS = {
    stock.id: stock
    for stock in (
        LabelStock(
            id="a4-24",
            name=with_quantities(gettext_lazy("A4, 3 × 8 of %(sides)s"), of=(70, 37)),
            page="A4",
            on_a_sheet=24,
        ),
        LabelStock(
            id="a4-40",
            name=with_quantities(gettext_lazy("A4, 4 × 10 of %(sides)s"), of=(52.5, 29.7)),
            page="A4",
            on_a_sheet=40,
        ),
        LabelStock(id="letter-20", name=gettext_lazy("Letter, 2 × 10 of 4 × 1 in"), page="Letter", on_a_sheet=20),
        LabelStock(id="letter-30", name=gettext_lazy("Letter, 3 × 10 of 2⅝ × 1 in"), page="Letter", on_a_sheet=30),
    )
}
SINGLE = LabelStock(
    id="single", name=with_quantities(gettext_lazy("one of %(sides)s"), of=(70, 37)), page="A4", on_a_sheet=1
)


def sheets(stickers: Sequence[T], stock: LabelStock, *, start: int = 1) -> Iterator[list[T | None]]:
    """
    What goes on each sheet; None where a sticker is gone already.

    >>> stock = LabelStock(id="", name="", page="A4", on_a_sheet=3)
    >>> list(sheets("abc", stock, start=2))
    [[None, 'a', 'b'], ['c']]
    """
    # a sheet begun before is put in again, and its free stickers are used up
    places = [None] * (start - 1) + list(stickers)
    for first in range(0, len(places), stock.on_a_sheet):
        yield places[first : first + stock.on_a_sheet]
