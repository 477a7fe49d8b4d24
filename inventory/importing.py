"""Bringing in an existing list: what each row would do, row by row, and then all of it as one entry."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from enum import StrEnum
from functools import partial
from typing import Any, Self
from uuid import uuid4

from django.db.models import CharField, Exists, F, OuterRef, Subquery, Value
from django.db.models.functions import Cast, Concat
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import units, vessels
from chemistry.copper import gauges
from chemistry.hazards.substances import recognised
from inventory import amounts, cells, facts, guessing, months
from inventory.cells import CellNotUnderstood
from inventory.headings import FIELDS, REACHES_DOWN, guess, heading_row, plain, unit_named
from inventory.ledger import refresh_opened_on
from inventory.models import AuditedModel, Container, Entry, FactChange, Material, Movement, Opening, Place
from inventory.wording import translated
from inventory.workbooks import Sheet

CODE = re.compile(r"[A-Za-z0-9-]{1,12}")
GIVEN_BY_THE_BOOK = re.compile(r"C\d+", re.IGNORECASE)
SUMS = frozenset(
    ("total", "totals", "sum", "subtotal", "summe", "gesamt", "zwischensumme", "somme", "totale", "totaal")
)
LONGEST = {"material": 120, "place": 80, "batch": 60, "supplier": 80, "order_code": 40}
AT_ONCE, ROWS_AT_ONCE = 500, 2_000
DAYS = ("received", "opened", "use_by")

Row = dict[str, str]


class Outcome(StrEnum):
    NEW_MATERIAL = "new material"
    NEW_CONTAINER = "new container"
    NAME_ALONE = "none left, its name alone"
    THERE = "already there"
    NO_THING = "no thing of its own"
    LEFT_OUT = "left out"
    NOT_UNDERSTOOD = "not understood"


COMING = (Outcome.NEW_MATERIAL, Outcome.NEW_CONTAINER, Outcome.NAME_ALONE)


@dataclass(kw_only=True)
class Choices:
    """
    What somebody said of a list, beside what stands in it.

    sheet: which of its sheets. heading: the row that heads the columns, nought for none, None to look for it.
    columns: the field in each column, None to guess. days: which of day and month comes first. thousand: what a mark
    before three figures is. cells: typed instead, by row and field. materials, places: what is new, by its name.
    """

    sheet: int | None = None
    heading: int | None = None
    columns: list[str] | None = None
    days: str = ""
    thousand: str = ""
    cells: dict[str, Row] = field(default_factory=dict)
    left_out: list[int] = field(default_factory=list)
    again: list[int] = field(default_factory=list)
    materials: dict[str, dict[str, str]] = field(default_factory=dict)
    places: dict[str, str] = field(default_factory=dict)

    @classmethod
    def kept(cls, known: Mapping[str, Any]) -> Self:
        return cls(**known)

    def to_keep(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True, kw_only=True)
class Studio:
    """What reading depends on: its cups, its currency, which of day and month it writes first, where things stand."""

    cups: units.Cups = "metric"
    imperial: bool = False
    currency: str = "EUR"
    days: str = cells.DAY_FIRST
    place: Place


@dataclass(frozen=True, kw_only=True)
class RowPlan:
    """notes: what of the row is guessed or stays behind, in sentences. typed: its cells, as they are read."""

    number: int
    outcome: Outcome
    name: str
    shown: str = ""
    why: str = ""
    notes: tuple[str, ...] = ()
    containers: int = 1
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
    supplier: str = ""
    pack: int = 0
    price_cents: int | None = None
    order_code: str = ""
    note: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def known_as(self) -> str:
        """The substance that its name means, where it says more than the name."""
        known = None if self.bath_use else recognised(self.name)
        return known.substance.name if known and known.substance.name.casefold() != self.name.casefold() else ""


class Reading:
    """
    A list as it is read: its headings, its columns and its rows, by what was picked and what is guessed.

    remembered: which field was picked for a heading before.
    """

    def __init__(self, sheets: Sequence[Sheet], choices: Choices, remembered: Mapping[str, str]):
        self.sheets, self.choices, self.remembered = sheets, choices, remembered
        picked = choices.sheet is not None and 0 <= choices.sheet < len(sheets)
        self.at = choices.sheet if picked and choices.sheet is not None else self.likeliest_sheet()
        self.sheet = sheets[self.at]
        self.heading = heading_row(self.sheet.rows, remembered) if choices.heading is None else choices.heading
        below = [cells for number, cells in self.sheet.rows if number > self.heading]
        width = max((len(row) for row in below[:AT_ONCE]), default=0)
        named = next((cells for number, cells in self.sheet.rows if number == self.heading), [])
        self.head = [*named, *[""] * (width - len(named))]
        guessed = guess(self.head, below[:AT_ONCE], remembered)
        chosen = choices.columns
        self.columns = chosen if chosen is not None and len(chosen) == len(self.head) else guessed
        self.samples = [
            [row[at] for row in below[:20] if at < len(row) and row[at]][:3] for at in range(len(self.head))
        ]

    def likeliest_sheet(self) -> int:
        """The first whose headings are known, else the longest."""
        for at, sheet in enumerate(self.sheets):
            if heading_row(sheet.rows, self.remembered):
                return at
        return max(range(len(self.sheets)), key=lambda at: len(self.sheets[at].rows))

    @property
    def missing(self) -> list[str]:
        return [name for name in ("material", "amount") if name not in self.columns and not self.has_instead(name)]

    def has_instead(self, name: str) -> bool:
        """So many of such a size is an amount too."""
        return name == "amount" and ("count" in self.columns or "size" in self.columns)

    @property
    def left_out(self) -> list[str]:
        """The columns that nothing is read from, by their headings or letters."""
        found = zip(self.head, self.columns, self.samples, strict=True)
        return [name or f"{at}." for at, (name, known, some) in enumerate(found, 1) if not known and (name or some)]

    def picked_by_heading(self) -> dict[str, str]:
        return {plain(name): known for name, known in zip(self.head, self.columns, strict=True) if plain(name)}

    @cached_property
    def rows(self) -> list[tuple[int, Row]]:
        """Each row's number and its fields; what was typed instead of a cell stands in its place."""
        units_named = [unit_named(name) for name in self.head]
        read = []
        for number, given in filled_down(
            self.sheet, [self.columns.index(name) for name in self.columns if name in REACHES_DOWN]
        ):
            if number <= self.heading:
                continue
            row: Row = {}
            for text, known, unit in zip(given, self.columns, units_named, strict=False):
                if text and known:
                    text = f"{text} {unit}" if known == "amount" and unit and not vessels.has_letter(text) else text
                    row[known] = f"{row[known]} {text}" if known in row else text
            if len(given) > len(self.head):
                row["beyond"] = str(len(given))
            if given[: len(self.head)] == self.head[: len(given)] and len(given) > 1:
                row["alone"] = ""  # printed lists repeat their headings
            elif len(alone := [cell for cell in given if cell]) == 1 and sum(map(bool, self.columns)) > 2:
                row |= {"alone": alone[0]} if vessels.has_letter(alone[0]) else {}
            row |= self.choices.cells.get(str(number), {})
            read.append((number, row))
        return read

    @property
    def days(self) -> set[str]:
        """Which of day and month comes first, as far as the list tells by itself."""
        return cells.orders_of_days([row[name] for _number, row in self.rows for name in DAYS if name in row])


def filled_down(sheet: Sheet, columns: Sequence[int]) -> Iterator[tuple[int, list[str]]]:
    """Its rows, with what reaches over several of them in each, in those columns alone."""
    reaching = [(first, last, column) for first, last, column in sheet.merged if column in columns]
    if not reaching:
        yield from sheet.rows
        return
    by_number = {number: [*given] for number, given in sheet.rows}
    for first, last, column in reaching:
        text = by_number[first][column] if first in by_number and column < len(by_number[first]) else ""
        # a row that holds nothing else is no row of the list
        for given in (by_number[number] for number in range(first + 1, last + 1) if number in by_number):
            given.extend([""] * (column + 1 - len(given)))
            given[column] = given[column] or text
    yield from by_number.items()


@dataclass
class NewMaterial:
    """Something the book does not know yet. same: what it is taken for, where it is only spelled otherwise."""

    name: str
    category: str
    bath_use: str | None
    asks_hydrate: bool
    same: str = ""

    @property
    def is_unsure(self) -> bool:
        """Of copper sulfate somebody ought to look whichever the name says."""
        return self.asks_hydrate or bool(self.same) or self.category == guessing.UNSORTED


class BookAsRead:
    """The book as the rows meet it: what is written down, and what rows above have brought."""

    def __init__(self, reading: Reading, studio: Studio):
        self.reading, self.studio, self.choices = reading, studio, reading.choices
        self.order = self.choices.days or next(iter(reading.days), "") if len(reading.days) < 2 else self.choices.days
        self.order = self.order or studio.days
        self.measures = amounts.Measures(studio.cups, studio.imperial, self.choices.thousand)
        self.materials = {material.name.casefold(): material for material in Material.objects.all()}
        self.alike = {plain(name): material for name, material in self.materials.items() if plain(name)}
        self.coming: dict[str, tuple[str, str]] = {}
        self.new: dict[str, NewMaterial] = {}
        self.places = {place.name.casefold(): place for place in Place.objects.all()}
        self.new_places: dict[str, str] = {}
        self.section = ""
        self.codes: dict[str, tuple[str, bool]] = {}
        self.without_code: Counter[tuple[str, str]] = Counter()
        self.seen: Counter[tuple[str, ...]] = Counter()
        receipts = Movement.objects.standing().filter(container=OuterRef("pk"), amount__gt=0)
        containers = Container.objects.annotate(is_there=Exists(receipts))
        known: Any = containers.values_list("code", "material__name", "batch", "is_there")
        for code, name, batch, is_there in known.iterator():
            self.codes[code.casefold()] = (name.casefold(), is_there)
            self.without_code[name.casefold(), batch.casefold()] += is_there

    def line(self, number: int, row: Row) -> RowPlan:
        name = " ".join(row.get("material", "").split())
        shown = " ".join(
            filter(None, (row.get("count", ""), row.get("amount", ""), row.get("unit", ""), row.get("size", "")))
        )
        plain_line = RowPlan(number=number, outcome=Outcome.NOT_UNDERSTOOD, name=name, shown=shown, typed=row)
        if number in self.choices.left_out:
            return replace(plain_line, outcome=Outcome.LEFT_OUT)
        if "alone" in row and str(number) not in self.choices.cells:
            self.section = row["alone"]
            return replace(
                plain_line, name=name or row["alone"], outcome=Outcome.NO_THING, why=_("A heading inside the list.")
            )
        if set(plain(name).split()) & SUMS and len(plain(name).split()) < 3:
            return replace(plain_line, outcome=Outcome.NO_THING, why=_("A sum of the rows above."))
        try:
            return self.understood(number, name, row)
        except CellNotUnderstood as error:
            return replace(plain_line, why=str(error))
        except units.NotUnderstood as error:
            return replace(plain_line, why=str(translated(error)))

    def understood(self, number: int, name: str, row: Row) -> RowPlan:
        self.check(name, row)
        notes: list[str] = []
        name, material = self.known_under(name, notes)
        measured = (material.dimension, material.shown_unit) if material else self.coming.get(name.casefold())
        # plates of a size that only their name tells
        if not row.get("size") and (measured or ("area",))[0] == "area" and amounts.counts_alone(row):
            row = row | {"size": guessing.size_in(name)}
        amount = amounts.read(row, known=measured, measures=self.measures)
        is_new = material is None or not material.is_listed
        decided = self.decided(name, row) if is_new else None
        today = timezone.localdate()
        tell = partial(self.left_behind, notes)
        day = partial(cells.day, order=self.order)
        line = RowPlan(
            number=number,
            outcome=Outcome.NEW_CONTAINER,
            name=name,
            typed=row,
            containers=amount.containers,
            amount=amount.each,
            unit=amount.unit,
            shown=shown_amount(amount.containers, amount.each, amount.unit),
            category=decided.category if decided else "",
            place=self.place_of(row.get("place") or self.studio.place.name),
            code=row.get("code", ""),
            batch=row.get("batch", ""),
            received_on=tell(lambda: day(row.get("received", ""), str(FIELDS["received"]), not_after=today)),
            opened_on=tell(lambda: day(row.get("opened", ""), str(FIELDS["opened"]), not_after=today)),
            use_by_on=tell(lambda: day(row.get("use_by", ""), str(FIELDS["use_by"]), is_end=True)),
            bath_use=self.bath_use_of(row, decided, amount.unit[0]),
            purity=tell(lambda: cells.purity(row.get("purity", ""))) or 1.0,
            reorder_level=tell(lambda: self.level_of(row, amount.unit)) or 0,
            supplier=row.get("supplier", ""),
            price_cents=tell(lambda: cells.cents(row.get("price", ""), self.studio.currency)),
            pack=tell(lambda: self.pack_of(row, amount)) or 0,
            order_code=row.get("order_code", ""),
            note=row.get("note", "")[:500],
        )
        if line.price_cents is not None and not line.supplier:
            notes.append(_("Its price stays behind: nobody is named who sells it."))
        if line.supplier and not line.pack:
            notes.append(_("Who sells it stays behind: no size of a pack is told."))
        if decided and (thick := guessing.thickness_um(name, decided.category)):
            notes.append(_("%(thickness)s thick, by its name.") % {"thickness": gauges.written(thick)})
        line = replace(line, notes=tuple(notes))
        if decided:
            if decided.bath_use is None:
                raise CellNotUnderstood(_("Blue crystals, pale powder or monohydrate? Choose it under what is new."))
            self.coming.setdefault(name.casefold(), amount.unit)
        there = 0 if number in self.choices.again else self.how_many_are_there(line)
        if line.amount and there >= line.containers:
            return replace(line, outcome=Outcome.THERE, notes=(*line.notes, *self.twice(line)))
        is_first = is_new and name.casefold() not in self.brought
        self.brought.add(name.casefold())
        if not line.amount:
            return replace(line, outcome=Outcome.NAME_ALONE if is_first else Outcome.LEFT_OUT, why=_("None is left."))
        if line.code:
            self.codes[line.code.casefold()] = (name.casefold(), True)
        outcome = Outcome.NEW_MATERIAL if is_first else Outcome.NEW_CONTAINER
        return replace(
            line, outcome=outcome, containers=line.containers - there, notes=(*line.notes, *self.twice(line))
        )

    @cached_property
    def brought(self) -> set[str]:
        return set()

    def check(self, name: str, row: Row) -> None:
        if not plain(name):
            raise CellNotUnderstood(_("It names no material."))
        if "beyond" in row:
            told = _("More cells than headings, %(cells)s and %(headings)s: one mark too many?")
            raise CellNotUnderstood(told % {"cells": row["beyond"], "headings": len(self.reading.head)})
        for column, most in LONGEST.items():
            if len(row.get(column, "")) > most:
                told = ngettext(
                    "What stands under “%(column)s” is longer than %(most)s letter.",
                    "What stands under “%(column)s” is longer than %(most)s letters.",
                    most,
                )
                raise CellNotUnderstood(told % {"column": FIELDS[column], "most": most})
        if row.get("code") and not CODE.fullmatch(row["code"]):
            told = _("The code “%(code)s” is not one of up to 12 letters, digits and hyphens.")
            raise CellNotUnderstood(told % {"code": row["code"]})

    def left_behind(self, notes: list[str], read: Callable[[], Any]) -> Any:
        """What a cell beside the amount says; what nobody can read of it stays behind, and the row says so."""
        try:
            return read()
        except (CellNotUnderstood, units.NotUnderstood) as error:
            notes.append(_("Comes without it: %(why)s") % {"why": translated(error)})
            return None

    def known_under(self, name: str, notes: list[str]) -> tuple[str, Material | None]:
        """The name it comes under and its material, also where the book spells it otherwise."""
        chosen = self.choices.materials.get(name.casefold(), {}).get("same")
        found = self.materials.get(name.casefold())
        if found is None and chosen != "":
            found = self.materials.get((chosen or "").casefold()) or self.alike.get(plain(name))
            if found:
                self.new.setdefault(
                    name.casefold(), NewMaterial(name, found.category, found.bath_use, False, found.name)
                )
                notes.append(_("Taken for %(name)s.") % {"name": found.name})
        return (found.name, found) if found else (name, None)

    def decided(self, name: str, row: Row) -> NewMaterial:
        """Where a new material belongs and what it is in a bath: as somebody chose, else as its name and list say."""
        if known := self.new.get(name.casefold()):
            return known
        chosen = self.choices.materials.get(name.casefold(), {})
        guessed = guessing.bath_use_of(name, row.get("cas", ""))
        asks = guessing.sounds_like_copper_sulfate(f"{name} {row.get('cas', '')}")
        self.new[name.casefold()] = NewMaterial(
            name=name,
            category=chosen.get("category") or guessing.category_of(name, row.get("category") or self.section),
            bath_use=chosen.get("bath_use") if chosen.get("bath_use") is not None else guessed,
            asks_hydrate=asks,
        )
        return self.new[name.casefold()]

    def bath_use_of(self, row: Row, decided: NewMaterial | None, dimension: str) -> str:
        if said := row.get("in_a_bath"):
            use = cells.bath_use(said, dimension)
            if decided:
                decided.bath_use = use
            return use
        use = (decided.bath_use if decided else "") or ""
        # bags and bottles of it that are only counted go into no bath
        return use if not use or cells.MEASURED_BY.get(Material.BathUse(use)) == dimension else ""

    def place_of(self, name: str) -> str:
        known = self.places.get(name.casefold())
        if known is None or not known.is_listed:
            kind = self.choices.places.get(name.casefold()) or guessing.kind_of_place(name)
            self.new_places.setdefault(known.name if known else name, kind)
        if known is None:
            self.places[name.casefold()] = Place(name=name, is_listed=False)
        return self.places[name.casefold()].name

    def level_of(self, row: Row, unit: tuple[str, str]) -> int:
        level = row.get("reorder_at", "")
        if not level:
            return 0
        # a bare number is in the unit of the row's amount
        text = level if vessels.has_letter(level) else f"{level} {unit[1]}"
        return amounts.amount_of(text, unit, self.measures)[1]

    def pack_of(self, row: Row, amount: amounts.AmountRead) -> int:
        """What a supplier's pack holds: as its column says, else the size of a container, else what is in one."""
        if not row.get("supplier"):
            return 0
        text = row.get("pack") or (row.get("size", "") if vessels.has_letter(row.get("size", "")) else "")
        if not text:
            return amount.each
        times, each, _unit = amounts.amount_of(text, amount.unit, self.measures)
        return times * each

    def how_many_are_there(self, line: RowPlan) -> int:
        """Known by its code; without one, as the next of its material and batch, wherever it stands now."""
        if line.code:
            name, is_there = self.codes.get(line.code.casefold(), ("", False))
            if name and name != line.name.casefold():
                raise CellNotUnderstood(_("%(code)s is on another container.") % {"code": line.code})
            if not name and GIVEN_BY_THE_BOOK.fullmatch(line.code):
                told = _("Codes like %(code)s are given out by the book; leave it empty.")
                raise CellNotUnderstood(told % {"code": line.code})
            return line.containers if is_there else 0
        key = (line.name.casefold(), line.batch.casefold())
        # two jars of one batch in the list are the two in the book, not one of them twice
        there = max(0, min(self.without_code[key], line.containers))
        self.without_code[key] -= there
        return there

    def twice(self, line: RowPlan) -> list[str]:
        key = (line.name.casefold(), str(line.amount), line.batch, line.place, line.code, str(line.received_on))
        self.seen[key] += 1
        return [_("The same stands further up; leave this row out if it is one thing.")] if self.seen[key] > 1 else []


def shown_amount(containers: int, each: int, unit: tuple[str, str]) -> str:
    shown = str(translated(units.show(each, *unit)))
    return f"{containers} × {shown}" if containers > 1 else shown


@dataclass(frozen=True)
class Plan:
    """materials: what is new, what is not told yet first. places: those that are new, and of which kind."""

    reading: Reading
    lines: list[RowPlan]
    materials: list[NewMaterial]
    places: dict[str, str]
    days: str
    tells_no_days: bool

    @property
    def coming(self) -> list[RowPlan]:
        return [line for line in self.lines if line.outcome in COMING]

    @property
    def there(self) -> list[RowPlan]:
        return [line for line in self.lines if line.outcome is Outcome.THERE]


def plan(reading: Reading, studio: Studio, *, tell: Callable[[str], None] = lambda words: None) -> Plan:
    """What each row would do to the book as it is now; nothing is written. tell: hears how far it has come."""
    book = BookAsRead(reading, studio)
    lines: list[RowPlan] = []
    rows = [] if reading.missing else reading.rows
    for first in range(0, len(rows), ROWS_AT_ONCE):
        tell(_("rows: %(first)s of %(all)s") % {"first": first, "all": len(rows)})
        lines += [book.line(number, row) for number, row in rows[first : first + ROWS_AT_ONCE]]
    new = sorted(book.new.values(), key=lambda each: (each.bath_use is not None, not each.is_unsure))
    has_days = any(each in row for _number, row in reading.rows[:AT_ONCE] for each in DAYS)
    return Plan(reading, lines, new, book.new_places, book.order, has_days and len(reading.days) != 1)


def write(
    lines: Sequence[RowPlan],
    *,
    entry: Entry,
    places: Mapping[str, str] | None = None,
    tell: Callable[[str], None] = lambda words: None,
) -> dict[str, Material]:
    """
    Put everything that comes onto the shelf under one entry; answer its materials by name.

    places: of which kind those are that are new. tell: hears how far it has come.
    """
    coming = [line for line in lines if line.outcome in COMING]
    materials, standing = materials_by_name(coming, entry), places_by_name(coming, places or {}, entry)
    receipts = Movement.objects.standing().filter(container=OuterRef("pk"), amount__gt=0)
    # containers whose receipts were all struck: their codes are free to come again
    left = {jar.code.casefold(): jar for jar in Container.objects.exclude(Exists(receipts)).filter(on_hand=0)}
    received_on = timezone.localdate(entry.happened_at)
    brought = [
        (container_of(line, at, materials, standing, left, received_on), line)
        for line in coming
        if line.amount
        for at in range(line.containers)
    ]
    new = [jar for jar, _line in brought if jar.pk is None]
    for first in range(0, len(new), AT_ONCE):
        tell(_("containers: %(first)s of %(all)s") % {"first": first, "all": len(new)})
        Container.objects.bulk_create(new[first : first + AT_ONCE])
    tell(_("adding up what came"))
    write_receipts(brought, entry)
    write_openings(brought, entry)
    return materials


def container_of(
    line: RowPlan,
    at: int,
    materials: Mapping[str, Material],
    places: Mapping[str, Place],
    left: dict[str, Container],
    came_on: date,
) -> Container:
    """One of a row's containers; the first of them has its code."""
    code, material = line.code if at == 0 else "", materials[line.name.casefold()]
    return left.pop(code.casefold(), None) or Container(
        # a mark of its own until the key is known from which its number is made
        code=code or f"+{uuid4().hex[:11]}",
        material=material,
        place=places[line.place.casefold()],
        batch=line.batch,
        # what stood open on a day had come by then, whatever the list says
        received_on=min(filter(None, (line.received_on, line.opened_on, came_on))),
        opened_on=line.opened_on,
        use_by_on=material.use_by(line.use_by_on, line.opened_on),
        sealed_use_by_on=line.use_by_on,
    )


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


def materials_by_name(coming: Iterable[RowPlan], entry: Entry) -> dict[str, Material]:
    """All by their names; those that are new, and those that a struck list had left behind, come onto the lists."""
    known = {material.name.casefold(): material for material in Material.objects.all()}
    new: dict[str, Material] = {}
    for line in coming:
        material, told = known.get(line.name.casefold()), facts_of_material(line)
        if material is None:
            fresh = Material(name=line.name, dimension=line.unit[0], shown_unit=line.unit[1], **told)
            new.setdefault(line.name.casefold(), fresh)
        elif not material.is_listed:
            facts.change(material, {"is_listed": True, **told}, entry=entry)
            material.is_listed = True
    list_new(new.values(), entry)
    return known | new


def facts_of_material(line: RowPlan) -> dict[str, Any]:
    return {
        "category": line.category,
        "bath_use": line.bath_use,
        "purity": line.purity,
        "thickness_um": guessing.thickness_um(line.name, line.category),
        "reorder_level": line.reorder_level,
        "note": line.note,
    }


def places_by_name(coming: Iterable[RowPlan], kinds: Mapping[str, str], entry: Entry) -> dict[str, Place]:
    known = {place.name.casefold(): place for place in Place.objects.all()}
    kind_of = {name.casefold(): kind for name, kind in kinds.items()}
    new: dict[str, Place] = {}
    for key, name in {line.place.casefold(): line.place for line in coming}.items():
        kind = kind_of.get(key, Place.Kind.SHELF)
        if key not in known:
            new[key] = Place(name=name, kind=kind)
        elif not known[key].is_listed:
            facts.change(known[key], {"is_listed": True, "kind": kind}, entry=entry)
    list_new(new.values(), entry)
    return known | new


def list_new(things: Iterable[AuditedModel], entry: Entry) -> None:
    """Write many new things of one kind, so that striking the entry takes them off the lists again."""
    written = list(things)
    if written:
        kind = type(written[0])
        kind._base_manager.bulk_create(written, batch_size=AT_ONCE)
        label = kind._meta.label_lower
        listed = (
            FactChange(entry=entry, thing_kind=label, thing_id=thing.pk, field="is_listed", old=False, new=True)
            for thing in written
        )
        FactChange.objects.bulk_create(listed, batch_size=AT_ONCE)
