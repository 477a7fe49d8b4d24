"""Nothing is edited: what a thing was known to be stays beside what it is known to be now."""

from datetime import date

import pytest
from django.apps import apps
from django.db import models

from inventory import book, facts, integrity
from inventory.book import strike
from inventory.models import AppendOnly, AuditedModel, FactChange, Material, Person
from inventory.refusals import Refused
from studio.orders.models import Pack, Supplier
from studio.people.models import Tablet
from tests.factories import (
    BathFactory,
    MaterialFactory,
    PersonFactory,
    PlaceFactory,
    WorkshopFactory,
    day,
    declared,
    entry,
    signed,
    stocked,
)
from tests.studio.waste.shop import drum

pytestmark = pytest.mark.django_db


def supplier(name="Copperworks"):
    return Supplier.objects.create(name=name)


def pack():
    return Pack.objects.create(material=MaterialFactory(), supplier=supplier(), amount=500_000, price_cents=990)


MADE = {
    "inventory.material": MaterialFactory,
    "inventory.person": PersonFactory,
    "inventory.place": PlaceFactory,
    "inventory.container": lambda: stocked("100 g"),
    "baths.bath": BathFactory,
    "orders.supplier": supplier,
    "orders.pack": pack,
    "people.tablet": lambda: Tablet.objects.create(entry=entry(), name="tablet by the tank"),
    "workshop.workshop": WorkshopFactory,
    "waste.drum": drum,
}
# where a value of the field's kind would not do
OTHER = {
    "flash_point_c": 12.5,
    "purity": 0.5,
    "composition": [{"name": "acetone", "substance": "acetone", "low_percent": 20.0, "high_percent": 30.0}],
    "marks": [[10.0, 4.0], [20.0, 8.0]],
    "rim_l": 14.0,
    "fill_l": 11.0,
    "range_low_g_per_l": 150.0,
    "range_high_g_per_l": 300.0,
    "coldest_c": 8.0,
    "air_c": 21.0,
    "time_zone": "Europe/Vienna",
    "us_state": "CA",
    "currency": "USD",
}
TOGETHER = {"usual_days": {"worst_days": 9}, "worst_days": {"usual_days": 2}}


def other(thing, field):
    """Another value than a fact has now."""
    if field.name in OTHER:
        return OTHER[field.name]
    if field.choices:
        return next(value for value, _ in field.flatchoices if value != getattr(thing, field.name))
    if isinstance(field, models.ForeignKey):
        return MADE[field.related_model._meta.label_lower]() if field.name != "supplier" else supplier("Another one")
    kinds = {
        models.BooleanField: lambda: not getattr(thing, field.name),
        models.IntegerField: lambda: 7,
        models.FloatField: lambda: 1.25,
        models.DateTimeField: lambda: day(3),
        models.DateField: lambda: date(2026, 3, 4),
        models.CharField: lambda: "another word",
        models.TextField: lambda: "another word",
    }
    return next(make for kind, make in kinds.items() if isinstance(field, kind))()


def audited():
    return [model for model in apps.get_models() if issubclass(model, AuditedModel)]


def changed(thing, at=5.0, **values):
    with book.entry(declared("changed"), "changed", signed(at)) as written:
        facts.change(thing, values, entry=written)
    return written


def kept(thing):
    return type(thing)._base_manager.get(pk=thing.pk)


def test_every_kind_of_thing_is_tried():
    assert {model._meta.label_lower for model in audited()} == MADE.keys()


@pytest.mark.parametrize("model", audited(), ids=lambda model: model.__name__)
def test_every_fact_keeps_what_it_was_and_a_strike_brings_it_back(model):
    thing = MADE[model._meta.label_lower]()
    for name in model.fact_fields():
        keeps_what_it_was(kept(thing), name)
    assert not list(integrity.integrity_errors())


def keeps_what_it_was(thing, name):
    model = type(thing)
    before, new = thing.fact(name), facts.as_json(other(thing, model.fact_fields()[name]))
    assert before != new

    written = changed(thing, **{name: new} | TOGETHER.get(name, {}))

    assert thing.fact(name) == kept(thing).fact(name) == new
    line = written.fact_changes.get(field=name)
    assert (line.old, line.new) == (before, new)
    told = next(step for step in facts.history(thing).steps if step.change.field == name)
    assert (told.old, told.new) == (thing.shown_fact(name, before), thing.shown_fact(name, new))
    assert told.old != told.new
    assert facts.as_of(kept(thing), day(4)).fact(name) == before
    assert facts.as_of(kept(thing), day(6)).fact(name) == new

    strike(written, by=signed(6), reason="a slip")

    assert kept(thing).fact(name) == before
    assert facts.as_of(kept(thing), day(6)).fact(name) == before


@pytest.mark.parametrize("model", audited(), ids=lambda model: model.__name__)
def test_nobody_changes_a_fact_behind_the_books_back(model):
    thing = MADE[model._meta.label_lower]()
    name = next(iter(model.fact_fields()))
    value = other(thing, model.fact_fields()[name])
    setattr(thing, name, value)

    for write in (
        thing.save,
        lambda: thing.save(update_fields=[name]),
        lambda: model.objects.update(**{name: value}),
        lambda: model.objects.filter(pk=thing.pk).bulk_update([thing], [name]),
        thing.delete,
        model.objects.all().delete,
    ):
        with pytest.raises(AppendOnly):
            write()


def flash_points(*changes):
    """A material whose flash point was changed to each value on each day, and the entries in the order written."""
    thinner = MaterialFactory(flash_point_c=20)
    return thinner, [changed(thinner, at, flash_point_c=value) for at, value in changes]


def found(thinner, *days):
    return [facts.as_of(kept(thinner), day(at)).flash_point_c for at in days]


def struck(*entries):
    for each in entries:
        strike(each, by=signed(9), reason="a slip")


# changes as they were written, which of them are struck in turn, the value at days 0, 1, 2, 3 and now
WAYS = {
    "two in a row": ([(1, 30), (2, 40)], [], [20, 30, 40, 40]),
    "the last is struck": ([(1, 30), (2, 40)], [1], [20, 30, 30, 30]),
    "the first is struck, out of order": ([(1, 30), (2, 40)], [0], [20, 20, 40, 40]),
    "both are struck, the first one first": ([(1, 30), (2, 40)], [0, 1], [20, 20, 20, 20]),
    "both are struck, the last one first": ([(1, 30), (2, 40)], [1, 0], [20, 20, 20, 20]),
    "one in the middle is struck": ([(1, 30), (2, 40), (3, 50)], [1], [20, 30, 30, 50]),
    "back to what it was": ([(1, 30), (2, 20)], [], [20, 30, 20, 20]),
    "back to what it was, and the return is struck": ([(1, 30), (2, 20)], [1], [20, 30, 30, 30]),
    "back to what it was, and the departure is struck": ([(1, 30), (2, 20)], [0], [20, 20, 20, 20]),
    "one dated before another": ([(2, 40), (1, 30)], [], [20, 30, 40, 40]),
    "one dated before another, which is struck": ([(2, 40), (1, 30)], [0], [20, 30, 30, 30]),
    "one dated before another, and struck": ([(2, 40), (1, 30)], [1], [20, 20, 40, 40]),
    "nobody knows any more": ([(1, None), (2, 40)], [1], [20, None, None, None]),
    "nobody knew, and it is struck": ([(1, None), (2, 40)], [0], [20, 20, 40, 40]),
}


@pytest.mark.parametrize(("changes", "strikes", "told"), WAYS.values(), ids=WAYS)
def test_a_past_day_has_the_value_of_that_day_however_it_was_changed(changes, strikes, told):
    thinner, entries = flash_points(*changes)

    struck(*(entries[number] for number in strikes))

    assert found(thinner, 0, 1.5, 2.5, 3.5) == told
    assert kept(thinner).flash_point_c == told[-1]
    assert not list(integrity.integrity_errors())


def test_the_history_goes_from_value_to_value_though_one_between_was_struck():
    thinner, (first, second) = flash_points((1, 30), (2, 40))

    struck(first)

    assert [str(step) for step in facts.history(thinner).steps] == [
        "Flash point: 20 °C → 40 °C",
        "Flash point: 20 °C → 30 °C",
    ]
    assert str(facts.history(thinner)).startswith("2 changes since March")


def test_two_facts_in_one_entry_come_back_together():
    thinner = MaterialFactory(flash_point_c=20, lead_time_days=3)
    both = changed(thinner, 1, flash_point_c=30, lead_time_days=4)
    changed(thinner, 2, lead_time_days=5)

    struck(both)

    assert (kept(thinner).flash_point_c, kept(thinner).lead_time_days) == (20, 5)


def test_a_thing_made_and_changed_in_one_entry_goes_back_to_how_it_was_made():
    with book.entry(declared("person added"), "added", signed(1)) as written:
        ada = Person.objects.create(name="Ada")
        facts.change(ada, {"role": "member"}, entry=written)

    struck(written)

    assert kept(ada).role == ""


def test_one_entry_may_change_a_fact_twice():
    thinner = MaterialFactory(flash_point_c=20)
    with book.entry(declared("changed"), "changed", signed(1)) as written:
        facts.change(thinner, {"flash_point_c": 30}, entry=written)
        facts.change(thinner, {"flash_point_c": 40}, entry=written)

    assert found(thinner, 0, 2) == [20, 40]
    struck(written)
    assert kept(thinner).flash_point_c == 20


def test_a_strike_that_leaves_what_does_not_go_together_names_the_lines_in_the_way():
    tank = BathFactory(rim_l=13, fill_l=12)
    wider = changed(tank, 1, rim_l=20.0)
    changed(tank, 2, fill_l=18.0)

    with pytest.raises(Refused, match=r"runs over at 13 L.*Strike first: “changed” of 4 March 2026"):
        strike(wider, by=signed(9), reason="a slip")

    assert kept(tank).rim_l == 20


def test_a_name_that_somebody_else_took_since_does_not_come_back():
    old = MaterialFactory(name="White spirit")
    renamed = changed(old, 1, name="White spirit, old tin")
    MaterialFactory(name="White Spirit")

    with pytest.raises(Refused, match="written down already"):
        strike(renamed, by=signed(9), reason="a slip")


def test_the_last_keyholder_stays_one_when_a_role_is_struck():
    ada = PersonFactory()
    promoted = changed(ada, 1, role="keyholder")

    with pytest.raises(Refused, match="only keyholder"):
        strike(promoted, by=signed(9), reason="a slip")


def test_what_is_the_same_is_no_change():
    thinner = MaterialFactory(flash_point_c=20)

    with pytest.raises(Refused, match="Nothing is different yet"):
        changed(thinner, 1, flash_point_c=20)

    assert not FactChange.objects.exists()


def test_a_struck_tank_change_raises_the_revision_of_its_bath():
    tank = BathFactory()
    wider = changed(tank, 1, rim_l=20.0)
    before = kept(tank).revision

    struck(wider)

    assert kept(tank).revision == before + 1


def test_many_things_of_a_past_day_are_two_queries(django_assert_num_queries):
    for _ in range(5):
        flash_points((1, 30), (2, 40))

    with django_assert_num_queries(2):
        then = facts.as_they_were(Material.objects.all(), day(1.5))

    assert [each.flash_point_c for each in then] == [30] * 5


def test_facts_that_were_written_past_the_book_are_found():
    thinner, _ = flash_points((1, 30))
    Material._base_manager.update(flash_point_c=99)

    assert list(integrity.integrity_errors()) == [f"{thinner}: flash_point_c is kept as 99.0, its changes say 30.0"]
