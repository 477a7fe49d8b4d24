from collections.abc import Iterator
from datetime import date

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from chemistry.sentences import Sentence
from inventory.dates import long_day
from inventory.models import Container
from inventory.wording import translated

LEVELS = {"sealed": "fine", "open": "fine", "past use-by": "act", "finished": ""}


def level(state: str) -> str:
    """
    How a state is hatched; what is over asks for nothing.

    >>> level("low"), level("finished")
    ('look', '')
    """
    return LEVELS.get(state, "look")


def shown_states(*states: str) -> str:
    return format_html_join(
        " ", '<span class="status {}">{}</span>', ((level(state), translated(state)) for state in states)
    )


def code_link(code: str) -> str:
    return format_html('<a class="code" href="{}">{}</a>', reverse("shelf:container", args=[code]), code)


class ShelfTable(tables.Table):
    """The rows of `shelf_rows`."""

    caption = gettext_lazy("What stands on the shelf")

    # jars of one name follow their keys, or a page might show one twice and the next leave one out
    name = tables.Column(verbose_name=gettext_lazy("Material"), order_by=("name", "standing__pk"))
    code = tables.Column(
        verbose_name=gettext_lazy("Code"),
        attrs={"cell": {"class": "of-code"}},
        default=gettext_lazy("none left"),
        order_by="standing__pk",
    )
    category = tables.Column(
        verbose_name=gettext_lazy("Category"),
        attrs={"cell": {"class": "of-category"}},
        order_by=("category", "name", "standing__pk"),
    )
    place = tables.Column(
        verbose_name=gettext_lazy("Place"),
        attrs={"cell": {"class": "of-place"}},
        default="",
        order_by=("place", "name", "standing__pk"),
    )
    # grams, millilitres and pieces have no order among each other
    on_hand = tables.Column(
        verbose_name=gettext_lazy("Left"), attrs={"cell": {"class": "num"}}, orderable=False, default=""
    )
    state = tables.Column(
        verbose_name=gettext_lazy("State"), attrs={"cell": {"class": "of-state"}}, empty_values=(), orderable=False
    )

    class Meta:
        attrs = {"class": "cards jars"}
        order_by = "category"
        empty_text = gettext_lazy("Nothing on the shelf is like that.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # asked once, or around midnight the rows of one page would go by two days
        self.today = timezone.localdate()

    def render_name(self, record):
        return format_html('<a href="{}">{}</a>', reverse("shelf:material", args=[record["pk"]]), record["name"])

    def render_code(self, value):
        return code_link(value)

    def render_category(self, value):
        return _(value)

    def render_on_hand(self, record):
        return translated(units.show(record["on_hand"], record["dimension"], record["shown_unit"]))

    def render_state(self, record):
        return shown_states(*states(record, self.today))


EXPORTED = ("Material", "Code", "Category", "Place", "Left", "Unit", "Opened", "Use by", "State")


def exported_amount(row) -> tuple[float, str]:
    number, unit = units.in_largest(row["on_hand"], row["dimension"], row["shown_unit"])
    size = float(number.replace(",", ""))
    return size, unit.plural if unit.plural and size != 1 else unit.label or unit.name


def exported(rows, today: date) -> Iterator[tuple]:
    """The rows of `shelf_rows` for a spreadsheet: numbers stay numbers, dates are dates as ISO has them."""
    for row in rows:
        amount = exported_amount(row) if row["code"] else ("", "")
        dates = (row[name].isoformat() if row[name] else "" for name in ("opened_on", "use_by_on"))
        place = (row["code"] or "", row["category"], row["place"] or "")
        yield row["name"], *place, *amount, *dates, ", ".join(states(row, today))


def states(row, today: date) -> list[str]:
    """In English, what a row of `shelf_rows` says of its container and of its material."""
    said = []
    if row["code"]:
        # not saved: the row knows all that a container needs to say its state
        known = {name: row[name] for name in ("on_hand", "opened_on", "use_by_on")}
        said.append(Container(**known).state_on(today))
    if not row["total"]:
        said.append(Sentence("none left"))
    elif row["is_low"]:
        said.append(Sentence("low"))
    if row["is_without_sheet"]:
        said.append(Sentence("sheet not on file"))
    return said


class ContainerTable(tables.Table):
    caption = gettext_lazy("Its containers")

    code = tables.Column(verbose_name=gettext_lazy("Code"))
    place = tables.Column(verbose_name=gettext_lazy("Place"))
    batch = tables.Column(verbose_name=gettext_lazy("Batch"), default="")
    received_on = tables.Column(verbose_name=gettext_lazy("Came"))
    on_hand = tables.Column(verbose_name=gettext_lazy("Left"), attrs={"cell": {"class": "num"}})
    state = tables.Column(verbose_name=gettext_lazy("State"), empty_values=())

    class Meta:
        orderable = False
        empty_text = gettext_lazy("None has come yet.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = timezone.localdate()

    def render_code(self, value):
        return code_link(value)

    def render_received_on(self, value):
        return long_day(value)

    def render_on_hand(self, record):
        return record.shown_on_hand()

    def render_state(self, record):
        return shown_states(record.state_on(self.today))
