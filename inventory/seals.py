"""
Seals: what the book holds, as a number that follows from every line, strike and fact and from the seal before.

Whoever changes a line behind the book's back changes that number, and with it every later one. They could make all
seals anew, but not those that were printed and handed out. Words are sealed apart from figures, with something random
beside them, so that a name can be taken out of the book later without breaking what stands on paper.
"""

import json
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from hashlib import sha256
from itertools import islice
from typing import Any

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.append_only import AppendOnlyModel, AuditedModel
from inventory.entries import Entry, EntryLineQuerySet
from inventory.facts import changes_by_fact
from inventory.models import FactChange, Forgotten, Seal

ROWS_AT_ONCE, ENTRIES_OF_A_SEAL = 500, 20_000
STRUCK = ("struck_by", "struck_at", "strike_reason")
MARK = 16  # letters of a digest that are kept to name what is wrong

Part = tuple[str, str]  # what it is, and its digest
Words = dict[tuple[str, int], str]


def seal() -> Seal | None:
    """
    Seal what was written, struck and said since the last seal; None where nothing was.

    A book that was long left unsealed takes several, for what one covers is held in memory at once.
    """
    last = None
    while made := seal_the_next():
        last = made
    return last


@transaction.atomic
def seal_the_next() -> Seal | None:
    hold_writers()
    last = Seal.objects.defer("marks").last()
    since = last.last_entry if last else 0
    keys = Entry.objects.filter(pk__gt=since).order_by("pk").values_list("pk", flat=True)[:ENTRIES_OF_A_SEAL]
    until = max(keys, default=since)
    known = {pk for strikes in Seal.objects.values_list("strikes", flat=True) for pk in strikes}
    struck = Entry.objects.filter(pk__lte=until).exclude(struck_at=None).values_list("pk", flat=True)
    next_seal = Seal(
        sealed_at=timezone.now(),
        last_entry=until,
        strikes=sorted(set(struck) - known),
        things={model._meta.label_lower: last_key(model) for model in audited()},
    )
    found = list(parts(last, next_seal))
    if not found:
        return None
    next_seal.marks = {name: digest[:MARK] for name, digest in found}
    next_seal.digest = chained(last, next_seal, found)
    next_seal.save()
    return next_seal


def seal_the_day() -> Seal | None:
    """Once a day, however many ask."""
    last = Seal.objects.defer("marks").last()
    return seal() if last is None or timezone.localdate(last.sealed_at) < timezone.localdate() else None


def covering(entry: Entry) -> Seal | None:
    """The first seal that covers an entry."""
    return Seal.objects.defer("marks").filter(last_entry__gte=entry.pk).first()


def errors() -> Iterator[str]:
    """What was changed behind the book's back: of each seal that does not hold the first thing it names."""
    before = None
    for pk in Seal.objects.values_list("pk", flat=True):
        each = Seal.objects.get(pk=pk)  # one at a time: each has the marks of all that it covers
        if error := error_of(each, before):
            yield error
        before = each


def error_of(each: Seal, before: Seal | None) -> str:
    """What does not stand as it was sealed; empty where all of it does."""
    found = list(parts(before, each))
    if chained(before, each, found) == each.digest:
        return ""
    told, marks = {name: digest[:MARK] for name, digest in found}, each.marks
    changed = [name for name in marks if told.get(name) != marks[name]]
    added = [name for name in told if name not in marks]
    what = next(iter(changed + added), _("the seal itself"))
    of_seal = {"what": what, "seal": each.pk, "day": f"{each.sealed_at:%Y-%m-%d}"}
    return _("%(what)s is not as seal %(seal)s of %(day)s has it") % of_seal


def chained(before: Seal | None, each: Seal, found: Iterable[Part]) -> str:
    whole = sha256(before.digest.encode() if before else b"")
    whole.update(as_bytes([each.sealed_at, each.last_entry, each.strikes, each.things]))
    for part in found:
        whole.update(as_bytes(part))
    return whole.hexdigest()


def parts(before: Seal | None, until: Seal) -> Iterator[Part]:
    """Each entry with its lines, each strike and the facts that each thing began with, in the order of the book."""
    forgotten: Words = {(each.kind, each.row): each.digest for each in Forgotten.objects.all()}
    since = before.last_entry if before else 0
    entries = Entry.objects.filter(pk__gt=since, pk__lte=until.last_entry).order_by("pk").iterator(ROWS_AT_ONCE)
    while step := list(islice(entries, ROWS_AT_ONCE)):
        keys = {entry.pk: str(entry.key) for entry in step}
        rows = {entry.pk: [record(entry, keys[entry.pk], forgotten, leave_out=STRUCK)] for entry in step}
        for model, way in lines().items():
            between = {f"{way}__pk__gte": step[0].pk, f"{way}__pk__lte": step[-1].pk}
            written: Any = model._base_manager.filter(**between).order_by("pk")
            for line in written.annotate(sealed_with=F(f"{way}_id")):
                rows[line.sealed_with].append(record(line, keys[line.sealed_with], forgotten))
        yield from ((f"entry {pk}", digest_of(told)) for pk, told in rows.items())
    for entry in Entry.objects.filter(pk__in=until.strikes).order_by("pk"):
        reason = forgotten.get(("strike", entry.pk)) or digest_of([str(entry.key), entry.strike_reason])
        yield f"strike of entry {entry.pk}", digest_of([entry.struck_by_id, entry.struck_at, reason])
    for kind in audited():
        label = kind._meta.label_lower
        first = before.things.get(label, 0) if before else 0
        yield from facts_of(kind, first, until.things.get(label, 0), forgotten)


def facts_of(model: type[AuditedModel], since: int, last: int, forgotten: Words) -> Iterator[Part]:
    """Of each thing the facts that it came into the book with; what they became is told by lines."""
    things = model._base_manager.filter(pk__gt=since, pk__lte=last).order_by("pk").iterator(ROWS_AT_ONCE)
    while step := list(islice(things, ROWS_AT_ONCE)):
        begin_facts(model, step)
        for thing in step:
            # by a name that no language changes: it is sealed too
            yield f"{model._meta.model_name} {thing.pk}", digest_of(record_of_thing(thing, forgotten))


def begin_facts(model: type[AuditedModel], things: Iterable[AuditedModel]) -> None:
    """Give things the facts that they came with, in memory alone."""
    known = changes_by_fact(model, [thing.pk for thing in things])
    for thing in things:
        for name, changes in known[thing.pk].items():
            thing.set_fact(name, min(changes, key=lambda each: each.pk).old)


def record_of_thing(thing: AuditedModel, forgotten: Words) -> list[Any]:
    return record(thing, str(thing.mark), forgotten, leave_out=thing.no_facts(), kind=kind_of_facts(thing))


def kind_of_facts(thing: AuditedModel) -> str:
    """A thing may be a line too, with words of its own."""
    return f"{thing._meta.label_lower}:facts"


def record(
    row: models.Model, salt: str, forgotten: Words, *, leave_out: Iterable[str] = (), kind: str = ""
) -> list[Any]:
    """
    A row as it is sealed: its figures and, apart from them, the digest of its words.

    What is as every new row has it is left out, so that a column that a later build adds changes no seal.
    """
    label = row._meta.label_lower
    left_out = {*leave_out, *(row.NOT_SEALED if isinstance(row, AppendOnlyModel) else ())}
    figures: dict[str, Any] = {}
    words: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.name in left_out or begins_so(field, value):
            continue
        if are_words(row, field):
            words[field.attname] = value
        elif isinstance(value, (list, dict)):
            value = alike(value)
            figures[field.attname], words[field.attname] = map_texts(value, lambda text: ""), texts_in(value)
        else:
            figures[field.attname] = value
    digest = forgotten.get((kind or label, row.pk)) or digest_of([salt, words])
    return [label, figures, digest]


def begins_so(field: "models.Field[Any, Any]", value: Any) -> bool:
    if field.has_default() and not callable(field.default):
        return bool(value == field.default)
    return value in (None, "", [], {}) or value is False


def alike(value: Any) -> Any:
    """What is told in a list or a table, as every database gives it back: names in one order, 2.0 as 2."""
    match value:
        case dict():
            return {name: alike(value[name]) for name in sorted(value)}
        case list() | tuple():
            return [alike(each) for each in value]
        case float() if value.is_integer():
            return int(value)
    return value


def texts_in(value: Any) -> list[str]:
    """What was typed inside a list or a table, apart from its figures and the names of its columns."""
    found: list[str] = []

    def take(text: str) -> str:
        found.append(text)
        return ""

    map_texts(value, take)
    return found


def map_texts(value: Any, change: Callable[[str], str]) -> Any:
    if isinstance(value, dict):
        return {name: map_texts(each, change) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [map_texts(each, change) for each in value]
    return change(value) if isinstance(value, str) else value


def are_words(row: models.Model, field: "models.Field[Any, Any]") -> bool:
    """What somebody typed, or that quotes it; a fact may be a name."""
    if isinstance(row, FactChange):
        return field.name in ("old", "new")
    if isinstance(row, Entry) and field.name == "key":
        return True
    return is_text(field)


def is_text(field: "models.Field[Any, Any]") -> bool:
    return isinstance(field, (models.CharField, models.TextField)) and not field.choices


def digest_of(value: Any) -> str:
    return sha256(as_bytes(value)).hexdigest()


def as_bytes(value: Any) -> bytes:
    return json.dumps(value, cls=FileNames, sort_keys=True, separators=(",", ":")).encode()


class FileNames(DjangoJSONEncoder):
    """Files by their names: what is in them has a digest of its own in the book."""

    def default(self, o: Any) -> Any:
        return o.name if isinstance(o, models.fields.files.FieldFile) else super().default(o)


def hold_writers() -> None:
    """Until the transaction ends nobody begins an entry, and whoever is writing one has ended it."""
    # on SQLite a transaction holds all others from its beginning
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {connection.ops.quote_name(Entry._meta.db_table)} IN SHARE ROW EXCLUSIVE MODE")


def last_key(model: type[models.Model]) -> int:
    return model._base_manager.order_by("pk").values_list("pk", flat=True).last() or 0


# worked out once: models do not change while the book runs
@cache
def audited() -> list[type[AuditedModel]]:
    kinds = (each for each in apps.get_models() if issubclass(each, AuditedModel))
    return sorted(kinds, key=lambda each: each._meta.label)


@cache
def lines() -> dict[type[AppendOnlyModel], str]:
    """Every kind of line, lines of lines too, and the way from it to its entry."""
    found: dict[type[AppendOnlyModel], str] = {}
    for model in sorted(apps.get_models(), key=lambda each: each._meta.label):
        rows = model._default_manager.all()
        if issubclass(model, AppendOnlyModel) and isinstance(rows, EntryLineQuerySet):
            found[model] = rows.ENTRY
    return found
