"""The invented year of Tallow Street Print Room, written into an empty book by the operations that people use."""

import csv
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone, translation

from chemistry import locale, units
from chemistry.bath import DensityRead, LevelRead
from chemistry.copper import gauges
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.quantity import quantity
from inventory import book
from inventory.asked_often import asked_often
from inventory.book import Signed
from inventory.models import Container, Entry, Material, Person, Place
from studio.baths import dipstick, salt
from studio.baths import operations as baths
from studio.baths.event_log import UNDATED
from studio.baths.models import Bath
from studio.demo import bites, orders, safety, waste
from studio.pages.quantities import volume_ul
from studio.people import inductions, members
from studio.people import operations as people
from studio.server import database
from studio.shelf import operations as shelf
from studio.workshop.models import Workshop

DATA = Path(__file__).with_name("data")
FILES = (
    "people",
    "inductions",
    "places",
    "materials",
    *orders.FILES,
    "tanks",
    "shelf",
    "baths",
    *bites.FILES,
    *waste.FILES,
    *safety.FILES,
)
LAST_DAY = date(2025, 8, 25)  # of the year in the files; it becomes today
PASSWORD = "tallow-street"
TANK = ("rim_l", "fill_l", "surface_cm2", "range_low_g_per_l", "range_high_g_per_l")

Line = dict[str, str]


@transaction.atomic
def load() -> None:
    """Write the year, so shifted that its last day is today."""
    workshop = print_room()
    # the files' clock is the studio's: by another one, lines of an evening would fall on the next day
    with timezone.override(ZoneInfo(workshop.time_zone)), locale.override(workshop.units):
        Year(workshop).write(lines())
    # or PostgreSQL would plan a visitor's first pages as if all of this were not there
    database.survey()


def print_room() -> Workshop:
    return Workshop(
        name="Tallow Street Print Room",
        region=Workshop.Region.GB,
        waste_from=Workshop.WasteFrom.BUSINESS,
        currency="GBP",
        time_zone="Europe/London",
        address="4 Tallow Street, Millbridge",
        emergency_line="999",
        # numbers that are kept free for fiction
        poison_line="01632 960111",
        keyholder_line="01632 960142",
        is_demo=True,
    )


def lines() -> list[Line]:
    """The lines of all files in the order of the year's clock."""
    found: list[Line] = []
    for name in FILES:
        with open(DATA / f"{name}.csv", newline="", encoding="utf-8") as file:
            found += csv.DictReader(file)
    # a sort keeps the order of the files among lines of one minute, and a jar must be there before it is used
    return sorted(found, key=lambda line: (line["date"], line["time"]))


class Year:
    """What has been written so far, under the names that the lines give it."""

    def __init__(self, workshop: Workshop):
        self.workshop = workshop
        self.now = timezone.now()
        self.shift = timezone.localdate() - LAST_DAY
        self.people: dict[str, Person] = {}
        self.places: dict[str, Place] = {}
        self.materials: dict[str, Material] = {}
        self.stands_in: dict[str, Place] = {}
        self.baths: dict[str, Bath] = {}
        self.last_used: Entry | None = None

    def write(self, lines: Iterable[Line]) -> None:
        for line in lines:
            WRITERS[line["event"]](self, line)

    def begin(self, line: Line) -> None:
        keyholder = people.begin(
            self.workshop,
            name=line["name"],
            username=line["account"],
            password=PASSWORD,
            happened_at=self.moment(line),
        )
        self.people[keyholder.name] = self.keyholder = keyholder
        assert keyholder.account
        self.hashed_password = keyholder.account.password
        with translation.override("en"):  # as the demo's own lines name them
            names = list(map(str, people.FIRST_PLACES))
        self.places = dict(zip(names, Place.objects.order_by("pk"), strict=True))

    def add_person(self, line: Line) -> None:
        members.add_all(line["name"], role=line["role"], with_links=False, by=self.signed(line))
        person = Person.objects.get(name=line["name"])
        if line["account"]:
            # invented people open no link
            people.open_account(person, line["account"], self.hashed_password)
        self.people[person.name] = person

    def induct(self, line: Line) -> None:
        shown, until_on = self.people[line["name"]], self.day(line, "until_on")
        inductions.induct(shown, tasks=line["tasks"].split(), until_on=until_on, by=self.signed(line))

    def add_place(self, line: Line) -> None:
        shelf.add_place(name=line["name"], kind=line["kind"], by=self.signed(line))
        self.places[line["name"]] = Place.objects.get(name=line["name"])

    def add_material(self, line: Line) -> None:
        material = Material(
            name=line["name"],
            category=line["category"],
            dimension=line["dimension"],
            shown_unit=line["shown_unit"],
            bath_use=line["bath_use"],
            reorder_level=units.parse(line["reorder_level"], line["dimension"]),
            opened_months=int(line["opened_months"]) if line["opened_months"] else None,
            storage_group=line["storage_group"],
            thickness_um=gauges.thickness_um(line["thickness"]) if line["thickness"] else None,
        )
        shelf.add_material(material, by=self.signed(line))
        self.materials[line["id"]] = material
        self.stands_in[line["id"]] = self.places[line["place"]]

    def set_up(self, line: Line) -> None:
        bath = Bath(name=line["name"], place=self.places[line["place"]], **numbers(line, *TANK))
        bath.marks = [tuple(map(float, mark.split("="))) for mark in line["marks"].split()]
        baths.set_up(bath, by=self.signed(line))
        self.baths[line["bath"]] = bath

    def receive(self, line: Line) -> None:
        material, amount = self.amount(line)
        place = self.stands_in[line["material"]]
        shelf.receive(material, amount=amount, place=place, use_by_on=self.day(line, "use_by_on"), by=self.signed(line))

    def use(self, line: Line) -> None:
        """Out of the container opened first, and when it is empty out of the next."""
        material, amount = self.amount(line)
        for container in self.containers_of(material):
            portion = min(amount, container.on_hand)
            self.last_used = shelf.use(container, amount=portion, by=self.signed(line))
            amount -= portion
            if not amount:
                return

    def containers_of(self, material: Material) -> list[Container]:
        return containers_to_use(material.pk)

    def count(self, line: Line) -> None:
        """The line says what was there in all; what the book had too much or too little of is in the open container."""
        material, amount = self.amount(line)
        container, *sealed = self.containers_of(material)
        amount -= sum(other.on_hand for other in sealed)
        shelf.count(container, amount=amount, by=self.signed(line))

    def strike(self, line: Line) -> None:
        if self.last_used:
            book.strike(self.last_used, by=self.signed(line), reason=line["note"])

    def mix(self, line: Line) -> None:
        baths.mix(self.bath(line), salt=self.crystals(line), **self.water(line), by=self.signed(line))

    def top_up(self, line: Line) -> None:
        baths.top_up(self.bath(line), salt=self.crystals(line), **self.water(line), by=self.signed(line))

    def read_level(self, line: Line) -> None:
        stick = dipstick.dipstick_of(self.bath(line))
        level = dipstick.Level(depth_cm=float(line["depth_cm"]))
        reading = LevelRead(
            day=UNDATED,
            volume_l=level.volume_l(stick),
            sd_l=stick.half_width_l / HALF_WIDTH_SDS,
            temperature_c=float(line["temperature_c"]),
        )
        baths.read(self.bath(line), reading, words=level.words(stick), by=self.signed(line))

    def read_hydrometer(self, line: Line) -> None:
        reading = DensityRead(day=UNDATED, sg=float(line["sg"]), temperature_c=float(line["temperature_c"]))
        words = f"SG {line['sg']} at {quantity(float(line['temperature_c']), '°C')}"
        baths.read(self.bath(line), reading, words=words, by=self.signed(line))

    def move_lid(self, line: Line) -> None:
        baths.cover(self.bath(line), lid_on=line["event"] == "lid on", by=self.signed(line))

    def signed(self, line: Line) -> Signed:
        """Members without an account have their lines written down by the keyholder."""
        person = self.people[line["who"]]
        # somebody must have held the pen, and only an account can be found again
        account = person.account or self.keyholder.account
        return Signed(done_by=person, recorded_by=account, happened_at=self.moment(line), note=line.get("note") or "")

    def moment(self, line: Line) -> datetime:
        there = datetime.fromisoformat(f"{line['date']} {line['time']}") + self.shift
        # early in the morning the last lines of the last day have not come yet
        return min(timezone.make_aware(there), self.now)

    def day(self, line: Line, name: str) -> date | None:
        return date.fromisoformat(line[name]) + self.shift if line[name] else None

    def amount(self, line: Line) -> tuple[Material, int]:
        material = self.materials[line["material"]]
        return material, units.parse(line["amount"], material.dimension)

    def bath(self, line: Line) -> Bath:
        return self.baths[line["bath"]]

    def crystals(self, line: Line) -> list[salt.Portion]:
        grams = float(line["crystals_g"] or 0)
        jars = Container.objects.for_bath(Material.BathUse.BLUE_CRYSTALS)
        return list(salt.from_the_shelf(grams, jars)) if grams else []

    def water(self, line: Line) -> dict:
        """How much water, how warm, and out of the first vessel that holds so much."""
        litres = float(line["water_l"] or 0)
        vessels = Container.objects.for_bath(Material.BathUse.WATER).filter(on_hand__gte=volume_ul(litres))
        water_from = vessels.first() if litres else None
        return {"water_l": litres, "water_from": water_from} | numbers(line, "temperature_c")


WRITERS = {
    "book begun": Year.begin,
    "person": Year.add_person,
    "inducted": Year.induct,
    "place": Year.add_place,
    "material": Year.add_material,
    "tank": Year.set_up,
    "received": Year.receive,
    "used": Year.use,
    "counted": Year.count,
    "struck": Year.strike,
    "mixed": Year.mix,
    "topped up": Year.top_up,
    "level": Year.read_level,
    "hydrometer": Year.read_hydrometer,
    "lid off": Year.move_lid,
    "lid on": Year.move_lid,
    **orders.WRITERS,
    **bites.WRITERS,
    **waste.WRITERS,
    **safety.WRITERS,
}


@asked_often
def containers_to_use(material: int) -> QuerySet[Container]:
    jars = Container.objects.filter(material=material).select_related("material")
    return jars.on_the_shelf().oldest_open_first()


def numbers(line: Line, *names: str) -> dict[str, float]:
    return {name: float(line[name]) for name in names}
