"""What is asked of a list that is brought in: the file, and all that may be said of it before anything is written."""

import re
from collections.abc import Iterable, Mapping
from hashlib import sha256
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from inventory import amounts, cells, lists
from inventory.guessing import UNSORTED
from inventory.headings import FIELDS
from inventory.importing import NewMaterial, Outcome, Plan, RowPlan
from inventory.models import Material, Place
from inventory.workbooks import LONGEST_CELL, MOST_ROWS
from studio.pages.documents import scanned
from studio.pages.fields import PlainForm, WholeNumberField
from studio.shelf.forms.materials import KINDS, NOT_A_SALT
from studio.shelf.hydrates import BathUse

MOST_SHOWN = 40  # of what is new; what nobody is sure of comes first
LEFT_OUT = ("", _("left out"))
CATEGORIES = [(name, _(name)) for name in (*Material.Category.values, UNSORTED)]
BATH_USES = [(use.value or NOT_A_SALT, use.label) for use in BathUse]
DAYS = [(cells.DAY_FIRST, _("4/3 is 4 March")), (cells.MONTH_FIRST, _("4/3 is April 3"))]
THOUSANDS = [("", _("ask at each row")), (amounts.THOUSANDS, _("a thousand")), (amounts.DECIMALS, _("one"))]
NEW = "new"
NUMBERED = re.compile(r"([a-z]+)-(\d+)(?:-([a-z_]+))?")


class FileForm(PlainForm):
    file = forms.FileField(
        label=_("The list"),
        help_text=ngettext_lazy(
            "CSV or XLSX, at most %(mb)s MB and %(rows)s line.",
            "CSV or XLSX, at most %(mb)s MB and %(rows)s lines.",
            "rows",
        )
        % {"mb": lists.LARGEST_BYTES // 1_000_000, "rows": MOST_ROWS},
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        error_messages={"empty": _("That file is empty.")},
        validators=[scanned],
    )
    place = forms.ModelChoiceField(
        Place.objects.listed(), label=_("Where stands what names no place?"), empty_label=_("choose a place")
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > lists.LARGEST_BYTES:
            told = _("The file is larger than %(most)s MB; bring it in part by part.")
            raise forms.ValidationError(told % {"most": lists.LARGEST_BYTES // 1_000_000})
        return file


class ListForm(PlainForm):
    """
    How a list was read and what is guessed of it: columns, what is new, and rows to put right.

    Its fields are those that a plan asks about, or those that were sent back.

    waiting: what was typed into these fields before somebody left them; of other fields than these it tells nothing.
    """

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        plan: Plan | None = None,
        rows: Iterable[RowPlan] = (),
        waiting: QueryDict | None = None,
    ):
        super().__init__(data, prefix="list", initial=initial_of(plan, rows) if plan else {})
        names = self.initial if data is None else (name.removeprefix("list-") for name in data if name[:5] == "list-")
        self.plan = plan
        for name in names:
            if field := field_for(name, plan):
                self.fields[name] = field
        if waiting and waiting.get("as_shown") == self.as_shown:
            self.data, self.is_bound, self.is_taken_up = waiting, True, True

    def said(self) -> dict[str, Any]:
        """What was sent, as `bringing_in.choose` is told it."""
        typed: Mapping[str, Any] = self.cleaned_data
        numbered = [(*match.groups(), value) for name, value in typed.items() if (match := NUMBERED.fullmatch(name))]

        def of_kind(wanted: str) -> dict[int, Any]:
            return {int(at): value for kind, at, _rest, value in numbered if kind == wanted}

        names, places = of_kind("material"), of_kind("place")
        materials: dict[str, dict[str, str]] = {name.casefold(): {} for name in names.values()}
        for kind, at, _rest, value in numbered:
            if kind in ("category", "bath", "same") and int(at) in names and value:
                materials[names[int(at)].casefold()] |= chosen(kind, value)
        rows: dict[str, dict[str, str]] = {}
        for kind, at, column, value in numbered:
            if kind == "cell":
                rows.setdefault(at, {})[column] = value
        columns = of_kind("column")
        return {
            "sheet": int(typed["sheet"]) if typed.get("sheet") else None,
            "heading": typed.get("heading"),
            "columns": [columns[at] for at in sorted(columns)],
            "days": typed.get("days", ""),
            "thousand": typed.get("thousand", ""),
            "places": {places[at].casefold(): kind for at, kind in of_kind("kind").items() if at in places},
            "materials": {name: known for name, known in materials.items() if known},
            "cells": rows,
            "shown": set(of_kind("row")),
            "left_out": {at for at, ticked in of_kind("out").items() if ticked},
            "again": {at for at, ticked in of_kind("again").items() if ticked},
        }

    @property
    def as_shown(self) -> str:
        """A mark of all that the page asks as it shows it; `as_sent` of what nobody touched is the same."""
        values = {f"list-{name}": value for name, value in self.initial.items() if value is not False}
        return mark_of({name: "" if value is None else str(value) for name, value in values.items()})

    @property
    def how_it_was_read(self):
        return [self[name] for name in ("sheet", "heading", "days", "thousand") if name in self.fields]

    @property
    def columns(self):
        return [(self[name], *told) for name, told in zip(self.of_kind("column"), self.told_of_columns, strict=True)]

    @property
    def told_of_columns(self):
        reading = self.plan.reading
        return [
            (name or f"{at}.", ", ".join(some))
            for at, (name, some) in enumerate(zip(reading.head, reading.samples, strict=True), 1)
        ]

    @property
    def places(self):
        return [(name, self[f"place-{at}"], self[f"kind-{at}"]) for at, name in enumerate(self.shown_places)]

    @property
    def shown_places(self):
        return list(self.plan.places)[:MOST_SHOWN]

    @property
    def unsure(self):
        return [each for each in self.materials if each[0].is_unsure]

    @property
    def guessed(self):
        return [each for each in self.materials if not each[0].is_unsure]

    @property
    def materials(self):
        for at, new in enumerate(self.plan.materials[:MOST_SHOWN]):
            asked = [self[f"{kind}-{at}"] for kind in ("same", "category", "bath") if f"{kind}-{at}" in self.fields]
            yield new, self[f"material-{at}"], asked

    def of_kind(self, kind: str) -> list[str]:
        return [name for name in self.fields if name.startswith(f"{kind}-")]

    def of_row(self, number: int):
        """The row's own fields: hidden ones, its cells, and whether it stays out or comes all the same."""
        hidden = [self[name] for name in self.fields if name == f"row-{number}"]
        cells_of_row = [self[name] for name in self.of_kind(f"cell-{number}")]
        return {
            "hidden": hidden,
            "cells": cells_of_row,
            "ticks": [self[name] for name in (f"out-{number}", f"again-{number}") if name in self.fields],
        }


def as_sent(data: Mapping[str, str]) -> str:
    return mark_of({name: data[name] for name in data if name.startswith("list-")})


def mark_of(values: Mapping[str, str]) -> str:
    return sha256(repr(sorted(values.items())).encode()).hexdigest()


def chosen(kind: str, value: str) -> dict[str, str]:
    if kind == "bath":
        return {"bath_use": "" if value == NOT_A_SALT else value}
    return {kind: "" if value == NEW else value}


def initial_of(plan: Plan, rows: Iterable[RowPlan]) -> dict[str, Any]:
    """Each field that a plan asks about, with what it stands at."""
    reading, choices = plan.reading, plan.reading.choices
    asked: dict[str, Any] = {"sheet": reading.at} if len(reading.sheets) > 1 else {}
    asked |= {"heading": reading.heading, "thousand": choices.thousand}
    if plan.tells_no_days or choices.days:
        asked["days"] = plan.days
    asked |= {f"column-{at}": known for at, known in enumerate(reading.columns)}
    for at, name in enumerate(list(plan.places)[:MOST_SHOWN]):
        asked |= {f"place-{at}": name, f"kind-{at}": plan.places[name]}
    for at, new in enumerate(plan.materials[:MOST_SHOWN]):
        asked |= {f"material-{at}": new.name} | of_material(at, new)
    for line in rows:
        asked |= of_line(line, is_again=line.number in choices.again)
    return asked


def of_material(at: int, new: NewMaterial) -> dict[str, Any]:
    if new.same:
        return {f"same-{at}": new.same}
    asked: dict[str, Any] = {f"category-{at}": new.category}
    if new.asks_hydrate or new.bath_use:
        asked[f"bath-{at}"] = "" if new.bath_use is None else new.bath_use or NOT_A_SALT
    return asked


def of_line(line: RowPlan, *, is_again: bool) -> dict[str, Any]:
    number = line.number
    asked: dict[str, Any] = {f"row-{number}": number, f"out-{number}": line.outcome is Outcome.LEFT_OUT}
    if is_again or line.outcome is Outcome.THERE:
        asked[f"again-{number}"] = is_again
    if line.outcome in (Outcome.NOT_UNDERSTOOD, Outcome.NO_THING) or line.notes:
        for column in [name for name in FIELDS if name in ("material", "amount") or name in line.typed]:
            asked[f"cell-{number}-{column}"] = line.typed.get(column, "")
    return asked


def field_for(name: str, plan: Plan | None) -> forms.Field | None:
    if name == "sheet":
        sheets = enumerate(plan.reading.sheets) if plan else ((at, None) for at in range(1000))
        return forms.ChoiceField(
            label=_("Sheet"), choices=[(str(at), sheet.name if sheet else "") for at, sheet in sheets]
        )
    if name == "heading":
        told = _("0 where none does.")
        return WholeNumberField(label=_("Row that heads the columns"), min_value=0, max_value=MOST_ROWS, help_text=told)
    if name == "days":
        return forms.ChoiceField(label=_("Days"), choices=DAYS)
    if name == "thousand":
        return forms.ChoiceField(label=_("1,000 is"), choices=THOUSANDS, required=False)
    match = NUMBERED.fullmatch(name)
    return field_of_kind(*match.groups()) if match else None


def field_of_kind(kind: str, at: str, column: str | None) -> forms.Field | None:
    if kind == "column":
        return forms.ChoiceField(choices=[LEFT_OUT, *FIELDS.items()], required=False)
    if kind == "kind":
        return forms.ChoiceField(label=_("Kind"), choices=KINDS)
    if kind == "category":
        return forms.ChoiceField(label=_("Category"), choices=CATEGORIES)
    if kind == "bath":
        return forms.ChoiceField(label=_("In a bath it is"), choices=[("", _("choose")), *BATH_USES], required=False)
    if kind == "same":
        return SameField(label=_("It is"), required=False)
    if kind in ("place", "material", "row"):
        return forms.CharField(widget=forms.HiddenInput, required=False, max_length=LONGEST_CELL, strip=False)
    if kind == "cell" and column in FIELDS:
        return forms.CharField(label=FIELDS[column], required=False, max_length=LONGEST_CELL)
    if kind == "out":
        return forms.BooleanField(label=_("Leave it out"), required=False)
    if kind == "again":
        return forms.BooleanField(label=_("Bring it in all the same"), required=False)
    return None


class SameField(forms.CharField):
    """A thing that the book spells otherwise, or something new; shown as a choice between the two."""

    def get_bound_field(self, form, field_name):
        bound = super().get_bound_field(form, field_name)
        self.widget = forms.Select(choices=[(bound.initial, bound.initial), (NEW, _("something new"))])
        return bound
