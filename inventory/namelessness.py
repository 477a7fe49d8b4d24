"""
A name taken out of the book, as somebody who left may ask; what they did stays, done by nobody in particular.

The seals hold: in the stead of words that are gone stands the digest that they were sealed with, and what was random
beside them is made anew, so that nobody can find the name again by trying names.
"""

import uuid
from collections.abc import Iterator
from functools import reduce
from operator import or_
from typing import Any

from django.db import models
from django.db.models import Q

from inventory import seals
from inventory.models import Entry, FactChange, Forgotten, Person


def take_name_out(person: Person, instead: str) -> None:
    """Inside an entry. Every line that says the name says the other from now on; names of things stay as they are."""
    name, label = person.name, Person._meta.label_lower
    for pk in entries_with(name, person):
        forget_words(Entry.objects.get(pk=pk), name, instead)
    keep_digest(label, person.pk, seals.record(person, str(person.mark), {}, leave_out=Person.KEPT_BY_CODE)[-1])
    models.QuerySet(Person).filter(pk=person.pk).update(name=instead, mark=uuid.uuid4())
    person.name = instead


def entries_with(name: str, person: Person) -> set[int]:
    found: set[int] = set()
    for model, way in sealed_rows():
        said = [Q((f"{field.name}__contains", name)) for field in model._meta.concrete_fields if seals.is_text(field)]
        if said:
            rows: models.QuerySet[models.Model] = models.QuerySet(model)
            found |= set(rows.filter(reduce(or_, said)).values_list(way, flat=True))
    renamed = FactChange.objects.about(Person, [person.pk]).filter(field="name")
    return found | set(renamed.values_list("entry", flat=True))


def forget_words(entry: Entry, name: str, instead: str) -> None:
    """All words of an entry are sealed with its key, so all of them are kept by their digest; only the name changes."""
    salt = str(entry.key)
    for model, way in sealed_rows():
        rows: models.QuerySet[models.Model] = models.QuerySet(model).filter(**{way: entry.pk})
        for row in rows:
            leave_out = seals.STRUCK if model is Entry else ()
            keep_digest(model._meta.label_lower, row.pk, seals.record(row, salt, {}, leave_out=leave_out)[-1])
            said: dict[str, Any] = {}
            for field in model._meta.concrete_fields:
                value = getattr(row, field.attname)
                if isinstance(value, str) and name in value and seals.are_words(row, field):
                    said[field.name] = value.replace(name, instead)[: field.max_length]
            if said:
                models.QuerySet(model).filter(pk=row.pk).update(**said)
    keep_digest("strike", entry.pk, seals.digest_of([salt, entry.strike_reason]))
    models.QuerySet(Entry).filter(pk=entry.pk).update(key=uuid.uuid4(), form_digest="")


def sealed_rows() -> Iterator[tuple[type[models.Model], str]]:
    """Entries and all lines, and the way from each to its entry."""
    yield Entry, "pk"
    yield from seals.lines().items()


def keep_digest(kind: str, row: int, digest: str) -> None:
    # of a row that was forgotten once already, the first digest is the one that was sealed
    Forgotten.objects.get_or_create(kind=kind, row=row, defaults={"digest": digest})
