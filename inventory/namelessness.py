"""
A name taken out of the book, as somebody who left may ask; what they did stays, done by nobody in particular.

The seals hold: in the stead of words that are gone stands the digest that they were sealed with, and what was random
beside them is made anew, so that nobody can find the name again by trying names.
"""

import json
import re
import uuid
from collections.abc import Callable, Collection, Iterable, Iterator
from functools import reduce
from operator import or_
from typing import Any

from django.apps import apps
from django.db import models
from django.db.models import Q
from django.db.models.functions import Cast

from inventory import seals
from inventory.append_only import AuditedModel
from inventory.models import Entry, FactChange, Forgotten, Person, Seal

Rows = models.QuerySet[models.Model]


def take_name_out(person: Person, instead: str, also: Collection[str] = ()) -> None:
    """
    Inside an entry. Every line and every thing that says the name, or one the person had, says the other from now on.

    also: what somebody is called besides, as it stands in the names of things: the Rosa of "Rosa's jar".
    """
    names = {person.name, *earlier_names(person), *also} - {""}
    # whole words: who is called Ann is no part of an annual count
    said = re.compile("|".join(rf"(?<!\w){re.escape(each)}(?!\w)" for each in sorted(names, key=len, reverse=True)))

    def without(text: str) -> str:
        return said.sub(lambda _: instead, text)

    # things first: what they began with is worked back from lines that say it
    for thing in things_with(names, person):
        forget_facts(thing, without)
    for pk in entries_with(names):
        forget_words(Entry.objects.get(pk=pk), without)
    for model in unsealed():
        rows = rows_with(model, names)
        for row in rows if rows is not None else ():
            models.QuerySet(model).filter(pk=row.pk).update(**other_words(row, without))
    person.name = instead


def earlier_names(person: Person) -> set[str]:
    changes = FactChange.objects.about(Person, [person.pk]).filter(field="name")
    return {str(name) for pair in changes.values_list("old", "new") for name in pair if name}


def entries_with(names: Collection[str]) -> set[int]:
    found: set[int] = set()
    for model, way in sealed_rows():
        rows = rows_with(model, names)
        found |= set(rows.values_list(way, flat=True)) if rows is not None else set()
    return found


def things_with(names: Collection[str], person: Person) -> Iterator[AuditedModel]:
    for model in seals.audited():
        if model is Person:
            yield person
            continue
        told = rows_with(FactChange, names)
        of_it = told.filter(thing_kind=model._meta.label_lower) if told is not None else told
        keys = set(of_it.values_list("thing_id", flat=True)) if of_it is not None else set()
        rows = rows_with(model, names)
        keys |= set(rows.values_list("pk", flat=True)) if rows is not None else set()
        yield from model._base_manager.filter(pk__in=keys)


def rows_with(model: type[models.Model], names: Collection[str]) -> Rows | None:
    """Rows in whose words one of the names stands; None of a model that has no words."""
    rows: Rows = models.QuerySet(model)
    said = []
    for field in model._meta.concrete_fields:
        if seals.is_text(field):
            said += [Q((f"{field.name}__contains", name)) for name in names]
        elif isinstance(field, models.JSONField):
            column = f"{field.name}_as_text"
            rows = rows.annotate(**{column: Cast(field.name, models.TextField())})
            # one database keeps letters beyond ASCII as they are, another as JSON spells them
            spelt = {spelling for name in names for spelling in (name, json.dumps(name)[1:-1])}
            said += [Q((f"{column}__contains", spelling)) for spelling in spelt]
    return rows.filter(reduce(or_, said)) if said else None


def forget_facts(thing: AuditedModel, without: Callable[[str], str]) -> None:
    """A thing keeps the digest of the words it came with, and says other words."""
    said = other_words(thing, without)
    first = type(thing)._base_manager.get(pk=thing.pk)
    seals.begin_facts(type(thing), [first])
    if said or other_words(first, without):
        keep_digest(seals.kind_of_facts(thing), thing.pk, seals.record_of_thing(first, {})[-1])
        models.QuerySet(type(thing)).filter(pk=thing.pk).update(mark=uuid.uuid4(), **said)


def forget_words(entry: Entry, without: Callable[[str], str]) -> None:
    """All words of an entry are sealed with its key, so all of them are kept by their digest; only the name changes."""
    salt, changed = str(entry.key), []
    rows: list[models.Model] = []
    for model, way in sealed_rows():
        rows += models.QuerySet(model).filter(**{way: entry.pk})
    for row in rows:
        if said := other_words(row, without):
            changed.append((row, said))
    if not changed:
        return
    for row in rows:
        leave_out = seals.STRUCK if isinstance(row, Entry) else ()
        keep_digest(row._meta.label_lower, row.pk, seals.record(row, salt, {}, leave_out=leave_out)[-1])
    for row, said in changed:
        models.QuerySet(type(row)).filter(pk=row.pk).update(**said)
    keep_digest("strike", entry.pk, seals.digest_of([salt, entry.strike_reason]))
    models.QuerySet(Entry).filter(pk=entry.pk).update(key=uuid.uuid4(), form_digest="")


def other_words(row: models.Model, without: Callable[[str], str]) -> dict[str, Any]:
    """What a row says from now on, by its columns; those that say the same are left out."""
    found: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if not (seals.is_text(field) or isinstance(field, models.JSONField)):
            continue
        other = seals.map_texts(value, without)
        if other != value:
            found[field.name] = other[: field.max_length] if isinstance(other, str) else other
    return found


def sealed_rows() -> Iterable[tuple[type[models.Model], str]]:
    """Entries and all lines, and the way from each to its entry."""
    return [(Entry, "pk"), *seals.lines().items()]


def unsealed() -> Iterator[type[models.Model]]:
    """What the book keeps beside its entries, such as a list that was read and not yet brought in."""
    sealed = {Seal, Forgotten, *seals.audited(), *(model for model, _ in sealed_rows())}
    for model in apps.get_models():
        if model not in sealed and model.__module__.partition(".")[0] in ("inventory", "studio"):
            yield model


def keep_digest(kind: str, row: int, digest: str) -> None:
    # of a row that was forgotten once already, the first digest is the one that was sealed
    Forgotten.objects.get_or_create(kind=kind, row=row, defaults={"digest": digest})
