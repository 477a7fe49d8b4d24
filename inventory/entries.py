"""The book: its entries, the kinds of entry that features declare, and the lines that hang on an entry."""

import uuid
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, tzinfo
from functools import cache
from typing import Any, ClassVar, Self

from django.apps import apps
from django.conf import settings
from django.db import connection, models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from inventory.append_only import AppendOnlyModel, AppendOnlyQuerySet, Listed, ListedQuerySet, Row
from inventory.dates import day_of_year
from inventory.refusals import Questioned, Refused

BEING_WRITTEN = 100  # entries that can be under way at once, many times over


class Undeclared(Exception):
    """Something was written that no feature declares; see `EntryKind`."""


class EntryKind(str):
    """
    What an entry is called, as it is stored, and the lines it may hold.

    A feature declares its kinds in its module `kinds`, and writes no other.
    """

    lines: "tuple[type[EntryLine], ...]"
    declared: "ClassVar[dict[str, EntryKind]]" = {}

    def __new__(cls, name: str, *lines: "type[EntryLine]") -> "EntryKind":
        # a string, so that the database stores it and compares it like any other
        kind = super().__new__(cls, name)
        if name in cls.declared:
            raise Undeclared(f"“{name}” is declared twice; a later feature adds its lines by `also_holds`.")
        kind.lines = lines
        cls.declared[name] = kind
        return kind

    def __reduce__(self) -> Any:
        return EntryKind.known, (str(self),)  # a copy is the same kind

    def also_holds(self, *lines: "type[EntryLine]") -> None:
        """A later feature writes its side of the same act in the same entry."""
        self.lines = (*self.lines, *lines)

    @classmethod
    def known(cls, name: str) -> "EntryKind":
        if name not in cls.declared:
            raise Undeclared(f"No feature declares entries of the kind “{name}”.")
        return cls.declared[name]

    @property
    def words(self) -> str:
        words = _(self)
        return words[:1].upper() + words[1:]


class PersonQuerySet(ListedQuerySet["Person"]):
    def here(self) -> Self:
        return self.listed().filter(left_on=None)

    def at_work(self) -> Self:
        """Those whose deeds the book tells: a viewer, such as a landlord, reads and does nothing."""
        return self.here().exclude(role=Person.Role.VIEWER)

    def keyholders(self) -> Self:
        """Those who are one now."""
        return self.here().filter(role=Person.Role.KEYHOLDER, account__isnull=False)


class Person(Listed):
    """Somebody the book names; an account is optional."""

    class Role(models.TextChoices):
        NONE = "", gettext_lazy("nobody: does not sign in")
        VIEWER = gettext_noop("viewer"), gettext_lazy("Viewer")
        MEMBER = gettext_noop("member"), gettext_lazy("Member")
        KEYHOLDER = gettext_noop("keyholder"), gettext_lazy("Keyholder")

    KEPT_BY_CODE = ("account",)

    name = models.CharField(gettext_lazy("name"), max_length=80, unique=True)
    account = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="person",
    )
    role = models.CharField(
        gettext_lazy("may use the book as"), max_length=10, choices=Role, default=Role.NONE, blank=True
    )
    left_on = models.DateField(gettext_lazy("left on"), null=True, blank=True)

    objects: ClassVar = PersonQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("people:person", args=[self.pk])

    @classmethod
    def rows_to_lock(cls, keys: Collection[int]) -> "models.QuerySet[Self]":
        """The keyholders too: two of them must not release each other at the same moment."""
        return cls._base_manager.select_for_update().filter(Q(pk__in=keys) | Q(role=cls.Role.KEYHOLDER)).order_by("pk")

    @property
    def signs_in(self) -> bool:
        return bool(self.role) and self.left_on is None and self.is_listed

    @property
    def is_keyholder(self) -> bool:
        return self.signs_in and self.role == self.Role.KEYHOLDER

    def check_facts(self) -> None:
        super().check_facts()
        if there := Person.objects.filter(name__iexact=self.name).exclude(pk=self.pk).first():
            raise Refused(
                "name",
                _("The book names a %(name)s already; add something that tells the two apart.") % {"name": self.name},
                ways=[(str(there), there.get_absolute_url())],
            )
        if not self.is_keyholder and list(Person.objects.keyholders().values_list("pk", flat=True)) == [self.pk]:
            field = "left_on" if self.left_on else "role"
            raise Refused(
                field,
                _("%(self)s is the only keyholder; make somebody else a keyholder first.") % {"self": self},
                ways=[(_("Who is here"), reverse("people:people"))],
            )

    def shown_fact(self, name: str, value: Any) -> str:
        return _("still here") if name == "left_on" and value is None else super().shown_fact(name, value)


class EntryLineQuerySet(AppendOnlyQuerySet[Row]):
    ENTRY = "entry"  # the way from a line to its entry; lines of lines go by theirs

    def standing(self) -> Self:
        """Lines whose entry has not been struck."""
        return self.filter(**{f"{self.ENTRY}__struck_at": None})

    def standing_at(self, moment: datetime | None) -> Self:
        """Standing lines of what had happened by a moment; None is now, when all of it has."""
        happened = {f"{self.ENTRY}__happened_at__lte": moment} if moment else {}
        return self.standing().filter(**happened)

    def bulk_create(self, objs: Iterable[Any], *args: Any, **kwargs: Any) -> list[Any]:
        # what is written in bulk passes `save` by
        lines = list(objs)
        written = {(line.entry, type(line)) for line in lines if isinstance(line, EntryLine)}
        for entry, kind_of_line in written:
            entry.refuse_undeclared(kind_of_line)
        return super().bulk_create(lines, *args, **kwargs)


class EntryQuerySet(AppendOnlyQuerySet["Entry"]):
    def standing(self) -> Self:
        return self.filter(struck_at=None)

    def latest_first(self) -> Self:
        return self.order_by("-happened_at", "-pk")

    def revision(self) -> tuple[object, ...]:
        """
        Another mark means that anything in the book may have changed; pages kept under one hold what stands.

        The last entries are counted as well: one that was begun before them and ends after them fills a gap. Strikes
        end in the order of their moments. A restore, which begins the numbers anew, makes the table anew as well.
        """
        with connection.cursor() as cursor:
            cursor.execute(self.revision_sql())
            return tuple(cursor.fetchone())

    def revision_sql(self) -> str:
        """Every request asks, and composing it anew would cost forty times what the database takes to answer."""
        table = connection.ops.quote_name(self.model._meta.db_table)
        latest = f"SELECT MAX(id) - {BEING_WRITTEN} FROM {table}"
        last_strike = f"SELECT MAX(struck_at) FROM {table} WHERE struck_at IS NOT NULL"
        of_table = f"'{table}'::regclass::oid::bigint" if connection.vendor == "postgresql" else "0"
        return (
            f"SELECT MAX(id) AS last_entry, COUNT(*) AS lately, ({last_strike}) AS last_strike, {of_table} AS of_table "
            f"FROM {table} WHERE id > ({latest})"
        )

    def mark_struck(self, *, by: Person, at: datetime, reason: str) -> int:
        """The one change an entry can undergo, once; `book.strike` alone calls it."""
        return models.QuerySet.update(self.standing(), struck_by=by, struck_at=at, strike_reason=reason)

    def keep_allowed(self, allowed: Sequence[Sequence[str]]) -> int:
        """While it is being written; `Entry.allow` alone calls it."""
        return models.QuerySet.update(self, allowed=allowed)


class Entry(AppendOnlyModel):
    """One thing somebody did. Written once by `inventory.book`; struck once, never edited."""

    kind = models.CharField(max_length=40)
    subject = models.CharField(max_length=160, blank=True, help_text="What was done, in one plain line.")
    done_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="entries")
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    note = models.TextField(blank=True)
    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    # of what was sent under the key, so that a form that comes again with something else in it is told apart
    form_digest = models.CharField(max_length=64, blank=True, editable=False)
    allowed = models.JSONField(default=list, editable=False, help_text="What it was asked about, each with the reason.")
    struck_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)
    strike_reason = models.CharField(max_length=200, blank=True)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["happened_at", "pk"]
        verbose_name_plural = "entries"
        indexes = [
            models.Index(fields=["happened_at", "id"], name="entry_in_order"),
            # of those that were struck alone: SQLite would take it for one that finds little of what stands
            models.Index(fields=["struck_at"], name="entry_struck", condition=Q(struck_at__isnull=False)),
            models.Index(fields=["kind", "happened_at", "id"], name="entry_of_kind"),
            models.Index(fields=["done_by", "happened_at", "id"], name="entry_of_person"),
        ]
        constraints = [
            models.CheckConstraint(
                name="struck_by_whom_when_and_why",
                condition=Q(struck_at=None, struck_by=None, strike_reason="")
                | (Q(struck_at__isnull=False, struck_by__isnull=False) & ~Q(strike_reason="")),
            ),
            models.CheckConstraint(name="nothing_from_the_future", condition=Q(happened_at__lte=F("recorded_at"))),
        ]

    def __str__(self) -> str:
        return self.subject or self.kind

    def get_absolute_url(self) -> str:
        return reverse("book:entry", args=[self.pk])

    @property
    def who_and_when(self) -> str:
        return f"{self.done_by}, {day_of_year(self.happened_at)}"

    @property
    def is_struck(self) -> bool:
        return self.struck_at is not None

    @property
    def lines(self) -> "tuple[type[EntryLine], ...]":
        """What it may hold; nothing else need be asked about it."""
        return EntryKind.known(self.kind).lines

    def refuse_undeclared(self, line: "type[EntryLine]") -> None:
        if line not in self.lines:
            raise Undeclared(f"An entry of the kind “{self.kind}” holds no {line._meta.verbose_name}.")

    def allow(self, why: str, reason: str = "") -> None:
        """It is written all the same, and keeps what it was asked about; called inside it."""
        self.allowed = [*self.allowed, [why, reason.strip()]]
        Entry.objects.filter(pk=self.pk).keep_allowed(self.allowed)

    @contextmanager
    def unless(self, said: bool | str) -> Iterator[None]:
        """What is asked about inside is written all the same where somebody said so; said: a tick, or the reason."""
        try:
            yield
        except Questioned as question:
            if not said:
                raise
            self.allow(question.why, said if isinstance(said, str) else "")

    def changes(self) -> "list[Change]":
        """What it changed, and what stops counting when it is struck."""
        return [change for line in self.lines for change in line.changes_by(self)]


class EntryKey(models.ForeignKey[Entry, Entry]):
    """Leads from a line to the entry that wrote it, and back by what the lines are called: `entry.bath_events`."""

    def contribute_to_class(self, cls: type[models.Model], name: str, *args: Any, **kwargs: Any) -> None:
        self.remote_field.related_name = self.lines_called(cls).replace(" ", "_")
        super().contribute_to_class(cls, name, *args, **kwargs)

    def lines_called(self, cls: type[models.Model]) -> str:
        return str(cls._meta.verbose_name_plural)

    def deconstruct(self) -> Any:
        # the database knows nothing of the names
        name, path, args, kwargs = super().deconstruct()
        return name, f"django.db.models.{'OneToOneField' if self.one_to_one else 'ForeignKey'}", args, kwargs


class SoleEntryKey(models.OneToOneField[Entry, Entry], EntryKey):
    """Leads from the one line of its kind that an entry can hold."""

    def lines_called(self, cls: type[models.Model]) -> str:
        return str(cls._meta.verbose_name)


class Lockable(models.Model):
    """Something that lines speak of. Its row is locked while one is written or struck, or two people could undo it."""

    class Meta:
        abstract = True

    @classmethod
    def refuse_strike(cls, rows: Sequence[Self], struck: Entry) -> None:
        """Refuse, with the rows locked, where a line about one of them has to stay."""

    @classmethod
    def after_strike(cls, rows: Sequence[Self], struck: Entry) -> None:
        """Work out anew what a struck line had to do with."""


@dataclass(frozen=True)
class Change:
    """One thing that an entry changed: what, where its page is, and how."""

    what: str
    url: str
    how: str | Promise


class EntryLine(AppendOnlyModel):
    """
    One of the things that an entry wrote; it counts as long as its entry has not been struck.

    tells_of: the way to what it changed, whose page tells of it; none where the line itself has a page.
    joined: what that takes to be named. touches: the ways to Lockable rows, "id" to its own.
    rests_on: the ways to lines without which it would say nothing, so that they are not struck before it.
    found_by: the ways to the names under which the book is searched for it.
    exported_as: the file in which it leaves the book, if not under its own name.
    columns: the headings of that file, and the way to what stands under each.
    """

    tells_of: ClassVar[str] = ""
    joined: ClassVar[tuple[str, ...]] = ()
    touches: ClassVar[tuple[str, ...]] = ()
    rests_on: ClassVar[tuple[str, ...]] = ()
    found_by: ClassVar[tuple[str, ...]] = ()
    exported_as: ClassVar[str] = ""
    columns: ClassVar[dict[str, str]] = {"Of": "thing", "What": "how"}

    entry = EntryKey(Entry, on_delete=models.PROTECT)

    objects = EntryLineQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, **kwargs: Any) -> None:
        # the book asks an entry for its declared lines only: any other would never be shown, locked or struck
        self.entry.refuse_undeclared(type(self))
        super().save(**kwargs)

    @property
    def how(self) -> str | Promise:
        """What became of the thing it is about."""
        return str(self)

    @property
    def thing(self) -> Any:
        """What it is about, which has a page."""
        return value_of(self, self.tells_of)

    def changes(self) -> Iterable[Change]:
        yield Change(str(self.thing), self.thing.get_absolute_url(), self.how)

    @classmethod
    def changes_by(cls, entry: Entry) -> Iterator[Change]:
        for line in cls.written_by(entry):
            yield from line.changes()

    @classmethod
    def written_by(cls, entry: Entry) -> "models.QuerySet[Self]":
        """Its lines of an entry, with what takes to name what they are about."""
        joined = cls.joined or tuple(filter(None, (cls.tells_of,)))
        # in the order of writing: what a thing is comes before what was done to it
        return cls._base_manager.filter(entry=entry).select_related(*joined).order_by("pk")

    @classmethod
    def exported(cls, lines: Sequence[Self], zone: tzinfo) -> Iterator[list[Any]]:
        """Rows under the headings of its file, for people who take the book away; struck ones are among them."""
        for line in lines:
            told = (exported_value(value_of(line, way), zone) for way in cls.columns.values())
            when = exported_value(line.entry.happened_at, zone)
            yield [line.entry_id, when, *told, line.entry.strike_reason]

    @classmethod
    def headings(cls) -> list[str]:
        return ["Entry", "When", *cls.columns, "Struck"]

    @classmethod
    def touched_by(cls, entry: Entry) -> dict[type[Lockable], set[int]]:
        """The keys of the rows that its lines of an entry speak of."""
        touched: dict[type[Lockable], set[int]] = {}
        # keys first, rows later: a join in the locking query would lock more than what is meant
        for way in cls.touches:
            keys = cls._base_manager.filter(entry=entry, **{f"{way}__isnull": False}).values_list(way, flat=True)
            touched.setdefault(model_at(cls, way), set()).update(keys)
        return touched

    @classmethod
    def resting_on(cls, struck: Entry) -> Q:
        """Entries whose lines would be left without what they speak of, if these were struck."""
        found = Q()
        # earlier features cannot know what later ones write about their things, so the later lines say it themselves
        for line, way in resting_lines()[cls]:
            found |= Q(pk__in=line._base_manager.filter(**{f"{way}__entry": struck}).values("entry"))
        return found


class SoleEntryLine(EntryLine):
    """A line that its entry holds once."""

    entry = SoleEntryKey(Entry, on_delete=models.PROTECT)

    class Meta:
        abstract = True


# worked out once: models do not change while the book runs
@cache
def every_line() -> tuple[type[EntryLine], ...]:
    return tuple(model for model in apps.get_models() if issubclass(model, EntryLine))


@cache
def resting_lines() -> dict[type[EntryLine], list[tuple[type[EntryLine], str]]]:
    """For each kind of line those that rest on it, and by which way."""
    resting: dict[type[EntryLine], list[tuple[type[EntryLine], str]]] = {line: [] for line in every_line()}
    for line in every_line():
        for way in line.rests_on:
            resting[model_at(line, way)].append((line, way))
    return resting


def value_of(row: Any, way: str) -> Any:
    """What a way leads to from a row; what is a method there is asked."""
    for step in filter(None, way.split("__")):
        row = getattr(row, step, None)
        row = row() if callable(row) else row
    return row


def exported_value(value: Any, zone: tzinfo) -> Any:
    """As a spreadsheet takes it: numbers and yes or no as they are, moments on the clock of the studio."""
    if isinstance(value, datetime):
        return value.astimezone(zone).isoformat(" ", "minutes")
    if isinstance(value, (list, tuple)):
        return "; ".join(" ".join(map(str, each)) if isinstance(each, (list, tuple)) else str(each) for each in value)
    if isinstance(value, float):
        return round(value, 4)
    return value if isinstance(value, (bool, int)) else str("" if value is None else value)


def model_at(line: type[models.Model], way: str) -> Any:
    """The model that a way leads to; the line's own for its key."""
    model: Any = line
    for step in way.split("__"):
        model = model._meta.get_field(step).related_model or model
    return model
