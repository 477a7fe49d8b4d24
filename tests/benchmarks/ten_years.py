"""
Ten years of a studio in a book that holds its lists, written past its operations as they would have left them.

`write` pours rows (COPY on PostgreSQL, executemany on SQLite) and keeps beside them all that the ledger keeps: what is
in each jar, when it was opened, where it stands, the sums of the months. `manage.py verify` finds such a book sound.
"""

import json
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random
from uuid import uuid4

from django.core.management.color import no_style
from django.db import connection, models, transaction
from django.utils import timezone

from inventory import months
from inventory.dates import months_after
from inventory.models import (
    Container,
    Count,
    Entry,
    FactChange,
    Material,
    MonthSum,
    Move,
    Movement,
    Person,
    Place,
)
from studio.server import database
from studio.shelf import kinds

YEARS, STANDING = 10, 50
OF_A_JAR = 500  # movements
IN_ONE_TRANSACTION = 100_000  # movements
MOST_USED = 9  # of the units below
SPARE = 4  # uses for which a new jar holds more, so that no count empties it
UNIT = {"mass": 1_000, "volume": 1_000, "area": 100, "length": 10, "count": 1}  # in base units
USED_AT_ONCE = (4, 5, 5, 6, 6)  # jars
COUNTED, MOVED, NOTED, STRUCK = 0.03, 0.005, 0.001, 0.004  # shares of the entries; in the others several jars are used
POURED: dict[type[models.Model], tuple[str, ...]] = {
    Entry: (
        *("id", "kind", "subject", "done_by_id", "happened_at", "recorded_at", "note", "key", "form_digest", "allowed"),
        *("struck_by_id", "struck_at", "strike_reason"),
    ),
    Movement: ("id", "entry_id", "container_id", "happened_at", "amount", "kind"),
    Count: ("id", "entry_id", "container_id", "amount"),
    Move: ("id", "entry_id", "container_id", "from_place_id", "to_place_id"),
    FactChange: ("id", "entry_id", "thing_kind", "thing_id", "field", "old", "new"),
    MonthSum: ("month", "material_id", "person_id", "kind", "amount", "lines"),
}


@dataclass(slots=True)
class Jar:
    """A container while it is in use; its row is written when it is finished, or when the years end."""

    row: Container
    material: Material
    uses: int
    amount: int = 0


@dataclass
class Years:
    """What was written so far, and the rows that wait for the end of a transaction."""

    movements: int
    random: Random
    waiting: dict[type[models.Model], list[tuple[object, ...]]] = field(default_factory=lambda: defaultdict(list))
    sums: dict[months.MonthKey, list[int]] = field(default_factory=lambda: defaultdict(lambda: [0, 0]))
    ended: list[Container] = field(default_factory=list)
    written: int = 0

    def __post_init__(self) -> None:
        self.last = {model: model._base_manager.aggregate(last=models.Max("pk"))["last"] or 0 for model in POURED}
        self.last_container = Container.objects.aggregate(last=models.Max("pk"))["last"] or 0
        self.people = list(Person.objects.at_work().values_list("pk", flat=True))
        self.places = list(Place.objects.exclude(kind=Place.Kind.AWAY))
        materials = list(Material.objects.listed().order_by("pk"))
        self.stuff = [materials[number % len(materials)] for number in range(STANDING)]
        self.notes = {material.pk: material.note for material in materials}
        self.ends = timezone.now() - timedelta(hours=1)
        self.begins = self.ends.replace(year=self.ends.year - YEARS, day=1)
        self.entries = 0
        containers = max(STANDING, self.movements // OF_A_JAR)
        self.uses = max(self.movements // containers - 2, 1)

    def write(self) -> None:
        jars = [self.receive(material, self.random.randint(1, self.uses)) for material in self.stuff]
        while self.written < self.movements:
            for at in self.happen(jars):
                if self.written + 2 <= self.movements:
                    self.finish(jars[at])
                    jars[at] = self.receive(jars[at].material, self.uses)
            if len(self.waiting[Movement]) >= IN_ONE_TRANSACTION:
                self.pour()
        for jar in jars:
            jar.row.on_hand = jar.amount
            self.ended.append(jar.row)
        self.pour()
        self.keep_notes_and_sums()

    def happen(self, jars: list[Jar]) -> list[int]:
        """One entry; answers which jars have had their uses."""
        drawn = self.random.random()
        if drawn < COUNTED:
            self.count(self.random.choice(jars))
        elif drawn < COUNTED + MOVED:
            self.move(self.random.choice(jars))
        elif drawn < COUNTED + MOVED + NOTED:
            self.change_note()
        else:
            used = self.random.sample(range(STANDING), self.random.choice(USED_AT_ONCE))[
                : self.movements - self.written
            ]
            self.use([jars[at] for at in used], is_struck=drawn > 1 - STRUCK)
            return [at for at in used if jars[at].uses <= 0]
        return []

    def entry(self, kind: str, subject: str, *, note: str = "", is_struck: bool = False) -> int:
        gone = (self.ends - self.begins) * (self.written / self.movements)
        self.now = self.begins + gone + timedelta(microseconds=self.entries)  # each has a moment of its own
        self.entries += 1
        self.person = self.random.choice(self.people)
        self.moment = connection.ops.adapt_datetimefield_value(self.now)
        self.month = self.now.date().replace(day=1)
        self.last[Entry] += 1
        key = uuid4()
        struck = (self.person, self.moment, "the wrong jars") if is_struck else (None, None, "")
        self.waiting[Entry].append(
            (
                *(self.last[Entry], str(kind), subject, self.person, self.moment, self.moment, note),
                *(key if connection.features.has_native_uuid_field else key.hex, "", "[]", *struck),
            )
        )
        return self.last[Entry]

    def line(self, model: type[models.Model], entry: int, *values: object) -> None:
        self.last[model] += 1
        self.waiting[model].append((self.last[model], entry, *values))

    def movement(self, jar: Jar, entry: int, amount: int, kind: str, *, is_struck: bool = False) -> None:
        self.written += 1
        self.line(Movement, entry, jar.row.pk, self.moment, amount, kind)
        if not is_struck:
            jar.amount += amount
            kept = self.sums[months.MonthKey(self.month, jar.material.pk, self.person, kind)]
            kept[0] += amount
            kept[1] += 1

    def receive(self, material: Material, uses: int) -> Jar:
        entry = self.entry(kinds.RECEIVED, f"Received {material}")
        self.last_container += 1
        received_on = timezone.localdate(self.now)
        sealed = months_after(received_on, material.sealed_months) if material.sealed_months else None
        row = Container(
            pk=self.last_container,
            code=f"C{self.last_container}",
            material=material,
            place=self.random.choice(self.places),
            received_on=received_on,
            use_by_on=sealed,
            sealed_use_by_on=sealed,
        )
        jar = Jar(row, material, uses)
        self.movement(jar, entry, MOST_USED * unit(jar) * (uses + SPARE), str(Movement.Kind.RECEIVED.value))
        return jar

    def use(self, jars: list[Jar], *, is_struck: bool) -> None:
        subject = f"Used {', '.join(jar.row.code for jar in jars)}"
        entry = self.entry(kinds.USED, subject, note=f"plate {self.written}", is_struck=is_struck)
        for jar in jars:
            jar.uses -= 1
            amount = self.random.randint(1, MOST_USED) * unit(jar)
            self.movement(jar, entry, -amount, str(Movement.Kind.USED.value), is_struck=is_struck)
            if not is_struck:
                self.open(jar)

    def finish(self, jar: Jar) -> None:
        entry = self.entry(kinds.FINISHED, f"Finished {jar.row.code}")
        self.movement(jar, entry, -jar.amount, str(Movement.Kind.USED.value))
        self.open(jar)
        self.ended.append(jar.row)

    def open(self, jar: Jar) -> None:
        if jar.row.opened_on is None:
            jar.row.opened_on = timezone.localdate(self.now)
            jar.row.use_by_on = jar.material.use_by(jar.row.sealed_use_by_on, jar.row.opened_on)

    def count(self, jar: Jar) -> None:
        entry = self.entry(kinds.COUNTED, f"Counted {jar.row.code}")
        difference = self.random.randint(-1, 1) * unit(jar)
        self.line(Count, entry, jar.row.pk, jar.amount + difference)
        if difference:
            self.movement(jar, entry, difference, str(Movement.Kind.COUNTED.value))

    def move(self, jar: Jar) -> None:
        entry = self.entry(kinds.MOVED, f"Moved {jar.row.code}")
        there = self.random.choice([place for place in self.places if place.pk != jar.row.place_id])
        self.line(Move, entry, jar.row.pk, jar.row.place_id, there.pk)
        jar.row.place = there

    def change_note(self) -> None:
        material = self.random.choice(self.stuff)
        entry = self.entry(kinds.MATERIAL_CHANGED, f"Changed {material}")
        before, since = self.notes[material.pk], f"of shelf {self.random.randint(1, 1_000)}"
        if since != before:
            self.notes[material.pk] = since
            told = (material._meta.label_lower, material.pk, "note", json.dumps(before), json.dumps(since))
            self.line(FactChange, entry, *told)

    def pour(self) -> None:
        with transaction.atomic():
            Container._base_manager.bulk_create(self.ended, batch_size=500)
            for model, rows in self.waiting.items():
                pour(model, rows)
        self.ended.clear()
        self.waiting.clear()

    def keep_notes_and_sums(self) -> None:
        kept = {months.MonthKey(*key) for key in MonthSum.objects.values_list(*months.MonthKey._fields)}
        new = [(*key, amount, lines) for key, (amount, lines) in self.sums.items() if key not in kept]
        with transaction.atomic():
            pour(MonthSum, new)
            for key in kept & self.sums.keys():
                months.add_to_sum(key, *self.sums[key])
            for pk, note in self.notes.items():
                models.QuerySet.update(Material.objects.filter(pk=pk), note=note)


def unit(jar: Jar) -> int:
    return UNIT[jar.material.dimension]


def pour(model: type[models.Model], rows: Sequence[tuple[object, ...]]) -> None:
    """What `bulk_create` does, in a tenth of its time."""
    quote = connection.ops.quote_name
    columns = ", ".join(map(quote, POURED[model]))
    table = quote(model._meta.db_table)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            places = ", ".join(["%s"] * len(POURED[model]))
            cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({places})", rows)
            return
        with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as target:
            for row in rows:
                target.write_row(row)


@contextmanager
def unchecked() -> Iterator[None]:
    """Rows may come before what they point at, which `verify` looks over; on PostgreSQL a superuser alone may do so."""
    if connection.vendor == "sqlite":
        with connection.constraint_checks_disabled():
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        try:
            yield
        finally:
            cursor.execute("SET session_replication_role = DEFAULT")


def write(movements: int, *, seed: int = 7) -> None:
    """So many movements over ten years, a fifth as many entries and, from 25,000 on, a five-hundredth as many jars."""
    with unchecked():
        Years(movements, Random(seed)).write()
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [*POURED, Container]):
            cursor.execute(statement)
    database.survey()
