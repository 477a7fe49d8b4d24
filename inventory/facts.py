"""
What is known of a thing, and what was known before: the only way to change a fact, and to read it back.

A row holds the facts of now; they follow from the standing changes as stock follows from movements. So a change that is
dated before another counts for its own time only, and a struck one leaves what it hid, in whatever order.
"""

import copy
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from django.apps import apps
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.asked_often import asked_often
from inventory.dates import long_day, long_month, said
from inventory.models import AuditedModel, Entry, FactChange, as_json
from inventory.refusals import Refused

Thing = TypeVar("Thing", bound=AuditedModel)

AT_ONCE = 500
UNCHANGED = gettext_lazy("Nothing is different yet.")


def change(thing: AuditedModel, values: Mapping[str, Any], *, entry: Entry) -> list[FactChange]:
    """
    Write down what is different, the old value beside the new, and bring the thing in line with it.

    Refused when nothing is different, or when what would be known then does not go together.
    """
    row = locked_row(thing)
    then = as_of(row, entry.happened_at)
    fields = row.fact_fields()
    typed = {name: as_json(fields[name].to_python(as_json(value))) for name, value in values.items()}
    written = [
        FactChange(
            entry=entry, thing_kind=kind_of(thing), thing_id=row.pk, field=name, old=then.fact(name), new=typed[name]
        )
        for name in typed
        if typed[name] not in (row.fact(name), then.fact(name))
    ]
    if not written:
        raise Refused(None, UNCHANGED)
    FactChange.objects.bulk_create(written)
    bring_in_line(row, {line.field for line in written})
    for name in typed:
        thing.set_fact(name, row.fact(name))
    return written


def as_of(thing: Thing, moment: datetime) -> Thing:
    """The thing with the facts that held at a moment; to be read, never to be written."""
    return as_they_were([thing], moment)[0]


def as_they_were(things: Iterable[Thing], moment: datetime) -> list[Thing]:
    """Things of one kind with the facts that held at a moment, in one query."""
    # copies, because whoever handed them over goes on reading in them what is known now
    then = [copy.copy(thing) for thing in things]
    if then:
        known = changes_by_fact(type(then[0]), [thing.pk for thing in then])
        for thing in then:
            for name, changes in known[thing.pk].items():
                thing.set_fact(name, value_at(changes, moment))
    return then


def value_at(changes: Sequence[FactChange], moment: datetime | None = None, *, without: Entry | None = None) -> Any:
    """
    The value of one fact at a moment, or now. changes: all that were ever written of it, in the order of the book.

    without: an entry that is not to count.
    """
    for each in reversed(changes):
        if each.entry.is_struck or each.entry == without:
            continue
        if moment is None or each.entry.happened_at <= moment:
            return each.new
    # the one that was written first found it as it had been from the start
    return min(changes, key=lambda each: each.pk).old


def bring_in_line(row: AuditedModel, names: Iterable[str]) -> None:
    """Write some facts of a locked row as its standing changes have them."""
    known = changes_by_fact(type(row), [row.pk])[row.pk]
    for name in names:
        row.set_fact(name, value_at(known[name]))
    row.check_facts()
    written = {name: getattr(row, row.fact_fields()[name].attname) for name in names}
    type(row)._base_manager.filter(pk=row.pk).update(**written)


def refuse_strike(entry: Entry) -> None:
    """Refuse to strike what would leave facts behind that do not go together, naming the entries in the way."""
    for thing, changed in changed_by(entry).items():
        names = changed.difference(thing.GO_WITH_ALL)
        if not names:
            continue
        known = changes_by_fact(type(thing), [thing.pk])[thing.pk]
        for name in names:
            thing.set_fact(name, value_at(known[name], without=entry))
        try:
            thing.check_facts()
        except Refused as refusal:
            later = {each.entry for changes in known.values() for each in changes if each.entry_id > entry.pk}
            in_the_way = [each for each in sorted(later, key=lambda each: each.pk) if not each.is_struck]
            if not in_the_way:
                raise
            days = (long_day(each.happened_at) for each in in_the_way)
            named = ", ".join(
                _("“%(each)s” of %(day)s") % {"each": each, "day": day}
                for each, day in zip(in_the_way, days, strict=True)
            )
            raise Refused(
                None,
                _("%(message)s Strike first: %(named)s.") % {"message": refusal.message, "named": named},
                ways=[(str(each), each.get_absolute_url()) for each in in_the_way],
            ) from refusal


def restore(struck: Entry) -> None:
    """Give back what a struck entry had changed, unless a later change that stands says otherwise."""
    # a list that was brought in has thousands that are only taken off the lists again
    alone: dict[type[AuditedModel], list[int]] = defaultdict(list)
    for thing, names in changed_by(struck).items():
        if names.difference(thing.GO_WITH_ALL):
            bring_in_line(locked_row(thing), names)
        else:
            alone[type(thing)].append(thing.pk)
    for model, keys in alone.items():
        for first in range(0, len(keys), AT_ONCE):
            bring_many_in_line(model, keys[first : first + AT_ONCE])


def bring_many_in_line(model: type[AuditedModel], keys: Sequence[int]) -> None:
    """Write what goes with all other facts as the standing changes have it, a statement for each value."""
    locked = [row.pk for row in model.rows_to_lock(keys)]
    now: dict[tuple[str, Any], list[int]] = defaultdict(list)
    for key, known in changes_by_fact(model, locked).items():
        for name in model.GO_WITH_ALL:
            if changes := known.get(name):
                now[name, value_at(changes)].append(key)
    for (name, value), rows in now.items():
        model._base_manager.filter(pk__in=rows).update(**{name: value})


def changed_by(entry: Entry) -> dict[AuditedModel, set[str]]:
    """The things of which an entry changed something, and which facts."""
    names: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    lines = entry.fact_changes.order_by("thing_kind", "thing_id")
    for kind, key, name in lines.values_list("thing_kind", "thing_id", "field"):
        names[kind][key].add(name)
    # in one order for everybody, because the things are locked in it
    return {
        thing: names[kind][key]
        for kind in names
        for key, thing in sorted(apps.get_model(kind)._base_manager.in_bulk(list(names[kind])).items())
    }


@dataclass(frozen=True)
class HistoryStep:
    """A change as a page tells it; old: what counted until then, whatever was struck or written since."""

    change: FactChange
    subject: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.subject}: {self.old} → {self.new}"


@dataclass(frozen=True)
class FactHistory:
    """What changed about a thing, the latest first."""

    steps: Sequence[HistoryStep]

    def __str__(self) -> str:
        if not self.steps:
            return ""
        first = self.steps[-1].change.entry.happened_at
        is_this_year = timezone.localdate(first).year == timezone.localdate().year
        since = said(first, "F") if is_this_year else long_month(first)
        words = ngettext("%(steps)d change since %(since)s", "%(steps)d changes since %(since)s", len(self.steps))
        return words % {"steps": len(self.steps), "since": since}


def history(thing: AuditedModel) -> FactHistory:
    """Every change of what its page tells of, struck ones too."""
    told = {(kind_of(each), each.pk): each for each in thing.told_on_its_page()}
    lines = changes_about({kind for kind, __ in told}, {key for __, key in told})
    changes = [each for each in lines if (each.thing_kind, each.thing_id) in told]
    # what was written first comes last and stays: it found the fact as it had been from the start
    value = {each.fact: each.old for each in sorted(changes, key=lambda each: -each.pk)}
    steps = []
    for each in changes:
        each.thing = owner = told[each.thing_kind, each.thing_id]
        label = each.label if owner == thing else f"{owner}, {each.label}"
        shown = (owner.shown_fact(each.field, known) for known in (value[each.fact], each.new))
        steps.append(HistoryStep(each, capfirst(label), *shown))
        if not each.entry.is_struck:
            value[each.fact] = each.new
    return FactHistory(steps[::-1])


@asked_often
def changes_about(kinds: Collection[str], keys: Collection[int]) -> QuerySet[FactChange]:
    """Of things of some kinds that bear some numbers."""
    lines = FactChange.objects.filter(thing_kind__in=kinds, thing_id__in=keys).in_order()
    return lines.select_related("entry__done_by", "entry__struck_by")


def integrity_errors() -> Iterator[str]:
    """Facts that are not what their standing changes say."""
    for kind in FactChange.objects.order_by().values_list("thing_kind", flat=True).distinct():
        lines = FactChange.objects.filter(thing_kind=kind).order_by()
        for key in lines.values_list("thing_id", flat=True).distinct():
            line = lines.filter(thing_id=key)[0]
            for name, changes in changes_by_fact(line.model, [key])[key].items():
                kept, told = line.thing.fact(name), value_at(changes)
                if kept != told:
                    yield f"{line.thing}: {name} is kept as {kept}, its changes say {told}"


def kind_of(thing: AuditedModel) -> str:
    return thing._meta.label_lower


def locked_row(thing: Thing) -> Thing:
    return next(row for row in type(thing).rows_to_lock([thing.pk]) if row.pk == thing.pk)


def changes_by_fact(model: type[AuditedModel], keys: Sequence[int]) -> dict[int, dict[str, list[FactChange]]]:
    """By thing and fact, in the order of the book, those that were struck too."""
    found: dict[int, dict[str, list[FactChange]]] = defaultdict(lambda: defaultdict(list))
    for line in FactChange.objects.about(model, keys).in_order().select_related("entry"):
        found[line.thing_id][line.field].append(line)
    return found
