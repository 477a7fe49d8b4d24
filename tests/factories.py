"""Only what a row must have; stock is put on the shelf through the ledger."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import factory
from django.contrib.auth import get_user_model
from django.utils import timezone

from chemistry import units
from chemistry.bath import Adopted, Removed
from inventory import book, ledger
from inventory.book import Signed
from inventory.models import (
    Container,
    Count,
    Entry,
    EntryKind,
    FactChange,
    Material,
    Move,
    Movement,
    Opening,
    Person,
    Place,
)
from studio.baths import operations
from studio.baths.models import Bath
from studio.bites import operations as bites
from studio.bites import plates
from studio.bites.models import Bite, Plate
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.people import roles
from studio.workshop.models import Workshop
from studio.workshop.regions import METRIC

STUDIO_ZONE = "Europe/Berlin"
THE_DAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def day(number: float) -> datetime:
    """A moment so many days after the first day of every test's book."""
    return THE_DAY + timedelta(days=number)


class WorkshopFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Workshop

    name = "Test Print Room"
    time_zone = STUDIO_ZONE
    waste_from = "business"
    acute_waste = "none"
    asks_for_induction = False  # a test of the gate closes it


def today() -> date:
    """The day that it is in the studio, which a test outside of a page does not stand in."""
    return timezone.localdate(timezone=ZoneInfo(STUDIO_ZONE))


def settings_of(studio, **typed):
    """What the studio's own form sends, with what was changed in it."""
    names = ("name", "region", "time_zone", "waste_from", "acute_waste", *METRIC)
    return {"key": uuid4(), **{name: getattr(studio, name) for name in names}, **typed}


class AccountFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = get_user_model()

    username = factory.Sequence(lambda n: f"printer{n}")


class PersonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Person

    name = factory.Sequence(lambda n: f"Printer {n}")
    account = factory.SubFactory(AccountFactory)
    role = factory.LazyAttribute(lambda person: roles.MEMBER if person.account else roles.NOBODY)


class PlaceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Place

    name = factory.Sequence(lambda n: f"Shelf {n}")


class MaterialFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Material

    name = factory.Sequence(lambda n: f"Material {n}")
    category = "Bath salts and water"
    dimension = Material.Dimension.MASS
    shown_unit = "g"

    class Params:
        crystals = factory.Trait(bath_use=Material.BathUse.BLUE_CRYSTALS)
        powder = factory.Trait(bath_use=Material.BathUse.PALE_POWDER)
        water = factory.Trait(bath_use=Material.BathUse.WATER, dimension=Material.Dimension.VOLUME, shown_unit="L")


def signed(at: float = 0, **kwargs) -> Signed:
    """Somebody's signature, so many days into the book."""
    return Signed(done_by=kwargs.pop("done_by", None) or PersonFactory(), happened_at=day(at), **kwargs)


def declared(name: str) -> EntryKind:
    """A kind of entry; where no feature declares it, one for the tests alone that holds any line of the shelf."""
    return EntryKind.declared.get(name) or EntryKind(name, Movement, Count, Move, Opening, FactChange)


def entry(at: float = 0, kind: str = "note") -> Entry:
    with book.entry(declared(kind), kind, signed(at)) as written:
        return written


def stocked(amount: str, at: float = 0, **material) -> Container:
    """A container with an amount in it, received through the ledger."""
    stuff = MaterialFactory(**material)
    with book.entry("received", "received", signed(at)) as written:
        return ledger.receive(stuff, units.parse(amount, stuff.dimension), entry=written, place=PlaceFactory())


class BathFactory(factory.django.DjangoModelFactory):
    """A tank, unread."""

    class Meta:
        model = Bath

    name = factory.Sequence(lambda n: f"Tank {n}")
    place = factory.SubFactory(PlaceFactory)
    rim_l = 13
    fill_l = 12
    surface_cm2 = 400


def jug(litres: float) -> Removed:
    """So much bath poured out by the jug."""
    return Removed(day=0, litres=litres)


def adopted(
    at: float = 0,
    volume_l: float = 12,
    strength_g_per_l: float = 240,
    lid_on: bool = True,
    acid_g_per_l: float | None = None,
    **bath,
) -> Bath:
    """A bath in use, adopted so many days into the book; of its acid nobody says anything unless it is told."""
    tank = BathFactory(**bath)
    held = {"strength_g_per_l": strength_g_per_l, "strength_sd_g_per_l": 5, "acid_g_per_l": acid_g_per_l}
    operations.adopt(
        tank,
        Adopted(day=0, volume_l=volume_l, volume_sd_l=0.1, **held),
        lid_on=lid_on,
        by=signed(at),
    )
    return tank


def plate(at: float = 0, name: str = "Harbour", width_mm: int = 152, height_mm: int = 203, **facts) -> Plate:
    """A plate of somebody's own, taken so many days into the book."""
    by = facts.pop("by", None) or signed(at)
    made = Plate(name=name, width_mm=width_mm, height_mm=height_mm, owner=facts.pop("owner", by.done_by), **facts)
    plates.take(made, by=by)
    return made


def started(bath: Bath, at: float = 1, planned_min: float | None = 30, **setting) -> Bite:
    """A bite whose current is on since so many days into the book."""
    by = setting.pop("by", None) or signed(at)
    entry = bites.start(bath, setting=Setting(**setting), planned_min=planned_min, by=by)
    return entry.bites.get()


def bitten(bath: Bath, at: float = 1, amps: float = 1.2, minutes: float = 30, ml_each: float = 6, **setting) -> Bite:
    """A bite written down whole, begun so many days into the book."""
    by = setting.pop("by", None) or signed(at)
    entry = bites.note(
        bath,
        setting=Setting(**setting),
        readings=[CurrentReading(minutes=1, amps=amps)],
        ending=Ending(minutes=minutes, ml_each=ml_each),
        by=by,
        unusual_anyway=True,
    )
    return entry.bites.get()
