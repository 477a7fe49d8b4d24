"""Bringing in an existing list: what each row would do, row by row, and then all of it as one entry."""

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any
from uuid import uuid4

from django.db.models import CharField, Exists, F, OuterRef, Subquery, Value
from django.db.models.functions import Cast, Concat
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from chemistry import units
from chemistry.hazards.substances import recognised
from inventory import cells, months
from inventory.cells import CellNotUnderstood
from inventory.ledger import refresh_opened_on
from inventory.lists import Row
from inventory.models import Container, Entry, Material, Movement, Opening, Place
from inventory.wording import translated

UNSORTED = "Unsorted"
CODE = re.compile(r"[A-Za-z0-9-]{1,12}")
GIVEN_BY_THE_BOOK = re.compile(r"C\d+", re.IGNORECASE)
AT_ONCE = 500


class Outcome(StrEnum):
    NEW_MATERIAL = gettext_noop("new material")
    NEW_CONTAINER = gettext_noop("new container")
    THERE = gettext_noop("already there")
    NOT_UNDERSTOOD = gettext_noop("not understood")


COMING = (Outcome.NEW_MATERIAL, Outcome.NEW_CONTAINER)


@dataclass(frozen=True, kw_only=True)
class RowPlan:
    number: int
    outcome: Outcome
    name: str
    shown: str = ""
    why: str = ""
    amount: int = 0
    unit: tuple[str, str] = ("", "")
    category: str = ""
    place: str = ""
    code: str = ""
    batch: str = ""
    received_on: date | None = None
    opened_on: date | None = None
    use_by_on: date | None = None
    bath_use: str = ""
    purity: float = 1.0
    reorder_level: int = 0

    @property
    def known_as(self) -> str:
        """The substance that its name means, where it says more than the name."""
        known = None if self.bath_use else recognised(self.name)
        return known.substance.name if known and known.substance.name.casefold() != self.name.casefold() else ""


def plan(
    rows: Sequence[tuple[int, Row]], *, cups: units.Cups, place: Place, ask: Callable[[str], str] = lambda name: ""
) -> list[RowPlan]:
    """
    What each row would do to the book as it is now; nothing is written.

    place: where a row that names no place stands.
    ask: what a new material's name leaves open, in a sentence; empty when it leaves nothing open.
    """
    reading = BookAsRead(cups=cups, place=place, ask=ask)
    return [reading.line(number, row) for number, row in rows]


class BookAsRead:
    """The book as the rows meet it: what is written down, and what rows above have brought."""

    def __init__(self, *, cups: units.Cups, place: Place, ask: Callable[[str], str]):
        self.cups, self.place, self.ask = cups, place.name, ask
        self.materials = {material.name.casefold(): material for material in Material.objects.all()}
        self.coming: dict[str, tuple[str, str]] = {}
        self.places = {name.casefold(): name for name in Place.objects.values_list("name", flat=True)}
        self.codes: dict[str, tuple[str, bool]] = {}
        self.without_code: dict[tuple[str, str], int] = defaultdict(int)
        receipts = Movement.objects.standing().filter(container=OuterRef("pk"), amount__gt=0)
        containers = Container.objects.annotate(is_there=Exists(receipts))
        facts: Any = containers.values_list("code", "material__name", "batch", "is_there")
        for code, name, batch, is_there in facts.iterator():
            self.codes[code.casefold()] = (name.casefold(), is_there)
            self.without_code[name.casefold(), batch.casefold()] += is_there

    def line(self, number: int, row: Row) -> RowPlan:
        name = row.get("material", "")
        try:
            return self.understood(number, name, row)
        except (CellNotUnderstood, units.NotUnderstood) as error:
            shown = f"{row.get('amount', '')} {row.get('unit', '')}".strip()
            return RowPlan(
                number=number, outcome=Outcome.NOT_UNDERSTOOD, name=name, shown=shown, why=str(translated(error))
            )

    def understood(self, number: int, name: str, row: Row) -> RowPlan:
        check_lengths(row)
        amount, unit = self.amount_of(name, row)
        place, level = row.get("place") or self.place, row.get("reorder_at", "")
        if level and not any(map(str.isalpha, level)):
            level = f"{level} {unit[1]}"  # a bare number is in the unit of the row's amount
        line = RowPlan(
            number=number,
            outcome=Outcome.NEW_CONTAINER,
            name=name,
            shown=translated(units.show(amount, *unit)),
            amount=amount,
            unit=unit,
            category=row.get("category") or UNSORTED,
            place=self.places.setdefault(place.casefold(), place),
            code=row.get("code", ""),
            batch=row.get("batch", ""),
            received_on=cells.day(row.get("received", ""), "received", not_after=timezone.localdate()),
            opened_on=cells.day(row.get("opened", ""), "opened", not_after=timezone.localdate()),
            use_by_on=cells.day(row.get("use_by", ""), "use by"),
            bath_use=cells.bath_use(row.get("in_a_bath", ""), unit[0]),
            purity=cells.purity(row.get("purity", "")),
            reorder_level=units.parse(level, unit[0], cups=self.cups) if level else 0,
        )
        if self.is_there(line):
            return replace(line, outcome=Outcome.THERE)
        if not amount:
            raise CellNotUnderstood(_("There is nothing of it to put on the shelf."))
        if line.code:
            self.codes[line.code.casefold()] = (name.casefold(), True)
        if name.casefold() in self.materials or name.casefold() in self.coming:
            return line
        if not line.bath_use and (question := self.ask(name)):
            raise CellNotUnderstood(question)
        self.coming[name.casefold()] = unit
        return replace(line, outcome=Outcome.NEW_MATERIAL)

    def amount_of(self, name: str, row: Row) -> tuple[int, tuple[str, str]]:
        """The amount in base units, with its dimension and the unit to show it in."""
        typed, unit = row.get("amount", ""), row.get("unit", "")
        text = typed if any(letter.isalpha() for letter in typed) else f"{typed} {unit}".strip()
        material = self.materials.get(name.casefold())
        known = (material.dimension, material.shown_unit) if material else self.coming.get(name.casefold())
        if known:
            return units.parse(text, known[0], cups=self.cups), known
        # of a new material only the unit can tell what it is measured in
        for dimension in Material.Dimension.values:
            try:
                amount = units.parse(text, dimension, cups=self.cups)
            except units.NotUnderstood:
                continue
            return amount, (dimension, cells.shown_unit(text, dimension))
        raise CellNotUnderstood(
            _("“%(text)s” is no amount with a unit; write it like 2.5 kg, 500 mL or 30 cm.") % {"text": text}
        )

    def is_there(self, line: RowPlan) -> bool:
        """Known by its code; without one, as the next of its material and batch, wherever it stands now."""
        if line.code:
            name, is_there = self.codes.get(line.code.casefold(), ("", False))
            if name and name != line.name.casefold():
                raise CellNotUnderstood(_("%(code)s is on another container.") % {"code": line.code})
            if not name and GIVEN_BY_THE_BOOK.fullmatch(line.code):
                raise CellNotUnderstood(
                    _("Codes like %(code)s are given out by the book; leave it empty.") % {"code": line.code}
                )
            return is_there
        key = (line.name.casefold(), line.batch.casefold())
        # two jars of one batch in the list are the two in the book, not one of them twice
        self.without_code[key] -= 1
        return self.without_code[key] >= 0


def check_lengths(row: Row) -> None:
    if not row.get("material"):
        raise CellNotUnderstood(_("It names no material."))
    for column, most in (("material", 120), ("category", 60), ("place", 80), ("batch", 60)):
        if len(row.get(column, "")) > most:
            raise CellNotUnderstood(
                _("Its %(column)s is longer than %(most)s letters.") % {"column": column, "most": most}
            )
    if row.get("code") and not CODE.fullmatch(row["code"]):
        raise CellNotUnderstood(
            _("The code “%(row)s” is not one of up to 12 letters, digits and hyphens.") % {"row": row["code"]}
        )


def write(lines: Sequence[RowPlan], *, entry: Entry, tell: Callable[[str], None] = lambda words: None) -> int:
    """
    Put everything that comes onto the shelf under one entry; answer how many containers that were.

    tell: hears how far it has come.
    """
    coming = [line for line in lines if line.outcome in COMING]
    materials, places = materials_by_name(coming), places_by_name(coming)
    receipts = Movement.objects.standing().filter(container=OuterRef("pk"), amount__gt=0)
    # containers whose receipts were all struck: their codes are free to come again
    left = {jar.code.casefold(): jar for jar in Container.objects.exclude(Exists(receipts)).filter(on_hand=0)}
    received_on = timezone.localdate(entry.happened_at)
    containers = [
        left.get(line.code.casefold())
        or Container(
            # a mark of its own until the key is known from which its number is made
            code=line.code or f"+{uuid4().hex[:11]}",
            material=materials[line.name.casefold()],
            place=places[line.place.casefold()],
            batch=line.batch,
            # what stood open on a day had come by then, whatever the list says
            received_on=min(filter(None, (line.received_on, line.opened_on, received_on))),
            opened_on=line.opened_on,
            use_by_on=materials[line.name.casefold()].use_by(line.use_by_on, line.opened_on),
            sealed_use_by_on=line.use_by_on,
        )
        for line in coming
    ]
    new = [jar for jar in containers if jar.pk is None]
    for first in range(0, len(new), AT_ONCE):
        tell(_("%(first)s of %(new)s containers") % {"first": first, "new": len(new)})
        Container.objects.bulk_create(new[first : first + AT_ONCE])
    tell(_("adding up what came"))
    brought = list(zip(containers, coming, strict=True))
    write_receipts(brought, entry)
    write_openings(brought, entry)
    return len(coming)


def write_openings(brought: list[tuple[Container, RowPlan]], entry: Entry) -> None:
    opened = (Opening(entry=entry, container=jar, opened_on=line.opened_on) for jar, line in brought if line.opened_on)
    Opening.objects.bulk_create(opened, batch_size=AT_ONCE)
    for jar, line in brought:
        if jar.opened_on != line.opened_on:  # one whose code came again; a new one is open as its line says
            refresh_opened_on(jar)


def write_receipts(brought: list[tuple[Container, RowPlan]], entry: Entry) -> None:
    """What `ledger.receive` writes for one container, for many in a few statements."""
    movements = [
        Movement(
            entry=entry,
            container=container,
            happened_at=entry.happened_at,
            amount=line.amount,
            kind=Movement.Kind.RECEIVED,
        )
        for container, line in brought
    ]
    Movement.objects.bulk_create(movements, batch_size=AT_ONCE)
    mine = Container.objects.filter(movements__entry=entry)
    # in one statement: a list of 20,000 rows would take as many
    amount = Movement.objects.filter(entry=entry, container=OuterRef("pk")).values("amount")[:1]
    Container.objects.filter(pk__in=mine.values("pk")).update(on_hand=F("on_hand") + Subquery(amount))
    unnumbered = Container.objects.filter(pk__in=mine.filter(code__startswith="+").values("pk"))
    unnumbered.update(code=Concat(Value("C"), Cast("pk", CharField())))
    months.add_movements(Movement.objects.filter(entry=entry))


def materials_by_name(coming: list[RowPlan]) -> dict[str, Material]:
    new = [
        Material(
            name=line.name,
            category=line.category,
            dimension=line.unit[0],
            shown_unit=line.unit[1],
            bath_use=line.bath_use,
            purity=line.purity,
            reorder_level=line.reorder_level,
        )
        for line in coming
        if line.outcome is Outcome.NEW_MATERIAL
    ]
    Material.objects.bulk_create(new, batch_size=AT_ONCE)
    return {material.name.casefold(): material for material in Material.objects.all()}


def places_by_name(coming: list[RowPlan]) -> dict[str, Place]:
    known = {place.name.casefold(): place for place in Place.objects.all()}
    for name in dict.fromkeys(line.place for line in coming):
        if name.casefold() not in known:
            known[name.casefold()] = Place.objects.create(name=name)
    return known
