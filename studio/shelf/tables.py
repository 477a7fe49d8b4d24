import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join

from chemistry import units
from inventory.models import Container

LEVELS = {"sealed": "fine", "open": "fine", "past use-by": "act"}


def level(state: str) -> str:
    """How a state is hatched."""
    return LEVELS.get(state, "look")


def shown_states(*states: str) -> str:
    return format_html_join(" ", '<span class="status {}">{}</span>', ((level(state), state) for state in states))


def code_link(code: str) -> str:
    return format_html('<a class="code" href="{}">{}</a>', reverse("shelf:container", args=[code]), code)


class ShelfTable(tables.Table):
    """The rows of `shelf_rows`."""

    caption = "What stands on the shelf"

    name = tables.Column(verbose_name="Material", order_by=("name", "standing__pk"))
    code = tables.Column(default="none left", order_by="standing__pk")
    category = tables.Column(order_by=("category", "name", "standing__pk"))
    place = tables.Column(default="", order_by=("place", "name", "standing__pk"))
    on_hand = tables.Column(verbose_name="Left", attrs={"cell": {"class": "num"}}, orderable=False, default="")
    state = tables.Column(empty_values=(), orderable=False)

    class Meta:
        order_by = "category"
        empty_text = "Nothing on the shelf is like that."

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = timezone.localdate()

    def render_name(self, record):
        return format_html('<a href="{}">{}</a>', reverse("shelf:material", args=[record["pk"]]), record["name"])

    def render_code(self, value):
        return code_link(value)

    def render_on_hand(self, record):
        return units.show(record["on_hand"], record["dimension"], record["shown_unit"])

    def render_state(self, record):
        states = []
        if record["code"]:
            known = {name: record[name] for name in ("on_hand", "opened_on", "use_by_on")}
            states.append(Container(**known).state_on(self.today))
        if record["total"] <= record["reorder_level"]:
            states.append("low" if record["total"] else "none left")
        if record["is_without_sheet"]:
            states.append("sheet not on file")
        return shown_states(*states)


class ContainerTable(tables.Table):
    """The containers of one material."""

    caption = "Its containers"

    code = tables.Column()
    place = tables.Column()
    batch = tables.Column(default="")
    received_on = tables.DateColumn(verbose_name="Came", format="j F Y")
    on_hand = tables.Column(verbose_name="Left", attrs={"cell": {"class": "num"}})
    state = tables.Column(empty_values=())

    class Meta:
        orderable = False
        empty_text = "None has come yet."

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = timezone.localdate()

    def render_code(self, value):
        return code_link(value)

    def render_on_hand(self, record):
        return record.shown_on_hand()

    def render_state(self, record):
        return shown_states(record.state_on(self.today))
