"""What a list of 10,000 rows costs to bring in, and a count where 50,000 jars were used up."""

import resource
import time
from functools import partial

import pytest
from django.core.cache import caches
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory import book
from inventory.book import Signed
from inventory.models import Container, Movement
from studio.orders.models import Supplier
from studio.people.roles import KEYHOLDER
from studio.shelf import bringing_in, counting
from studio.shelf.models import ImportedFile
from studio.workshop.models import Workshop
from tests.benchmarks.grown import cost
from tests.factories import PersonFactory, PlaceFactory, WorkshopFactory, entry, stocked
from tests.studio.conftest import sign_in

pytestmark = [pytest.mark.benchmark_ratio, pytest.mark.django_db]

ROWS, MOST_ROWS, FINISHED = 10_000, 100_000, 50_000
MOST_MB = 900
IMPORT_FLOOR, STRIKE_FLOOR, COUNT_FLOOR = 4, 2, 1.3


@pytest.fixture
def keyholder():
    WorkshopFactory()
    client = Client()
    client.person = PersonFactory(role=KEYHOLDER)
    sign_in(client, client.person)
    return client


def timed(act) -> float:
    began = time.process_time()
    act()
    return time.process_time() - began


def test_a_long_list_costs_few_times_what_its_bare_rows_do(table):
    place, person = PlaceFactory(), PersonFactory()
    lines = b"".join(b"Stuff %d,%d g,B%d\n" % (number % 200, number + 1, number) for number in range(ROWS))
    file = bringing_in.read(b"material,amount,batch\n" + lines, "long.csv", place=place, by=person)
    by = Signed(done_by=person, happened_at=timezone.now())

    workshop = WorkshopFactory()
    preview = timed(partial(bringing_in.plan, file, workshop))
    write = timed(partial(bringing_in.write, file, workshop=workshop, by=by))
    file.refresh_from_db()
    assert Container.objects.on_the_shelf().count() == ROWS
    struck = timed(partial(book.strike, file.entry, by=by, reason="again"))
    assert not Container.objects.on_the_shelf().exists()
    bare = timed(_bare_rows)

    table.most(f"a list of {ROWS:,} rows, shown before, s", preview)
    table.most(f"a list of {ROWS:,} rows, written, of bare rows", write / bare, IMPORT_FLOOR)
    table.most(f"a list of {ROWS:,} rows, struck, of bare rows", struck / bare, STRIKE_FLOOR)


def test_a_list_of_100_000_rows_tells_how_far_it_is_and_fits_in_memory(table, keyholder, monkeypatch):
    place, person, told = PlaceFactory(), keyholder.person, []
    lines = "".join(
        f"Stuff {number % 2_000};{number % 900 + 1},5 g;B{number};Rack {number % 40};2/3/2026;Shop {number % 9};9,50\n"
        for number in range(MOST_ROWS)
    )
    content = ("Stock of the whole school\n\nname;amount;batch;place;bought;supplier;price\n" + lines).encode()
    by = Signed(done_by=person, happened_at=timezone.now())
    workshop = Workshop.objects.get()
    monkeypatch.setattr(caches["shared"], "set", lambda key, words, *args: told.append(words))

    costs = {"read": timed(partial(bringing_in.read, content, "long.csv", place=place, by=person))}
    file = ImportedFile.objects.get()
    costs["shown"] = timed(partial(keyholder.get, file.get_absolute_url()))
    costs["written"] = timed(partial(bringing_in.write, file, workshop=workshop, by=by))
    file.refresh_from_db()
    costs["struck"] = timed(partial(book.strike, file.entry, by=by, reason="again"))
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3

    table.most(f"a list of {MOST_ROWS:,} rows, MB", megabytes, MOST_MB)
    for what, seconds in costs.items():
        table.most(f"a list of {MOST_ROWS:,} rows, {what}, s", seconds)
    assert len(told) > 100
    assert not Container.objects.on_the_shelf().exists() and not Supplier.objects.listed().exists()


def _bare_rows() -> None:
    """As many containers and movements, without a question asked."""
    one, written = stocked("1 kg"), entry()
    known = {"material": one.material, "place": one.place, "received_on": one.received_on}
    jars = Container.objects.bulk_create(Container(code=f"B{number}", **known) for number in range(ROWS))
    Movement.objects.bulk_create(
        Movement(entry=written, container=each, happened_at=written.happened_at, amount=1, kind="received")
        for each in jars
    )


def test_a_count_costs_the_same_where_many_jars_were_used_up(keyholder, table):
    jar = stocked("10 kg", name="Copper sulfate crystals")
    sheet = counting.begin(jar.place, by=keyholder.person)
    for _ in range(30):
        Container.objects.filter(pk=stocked("1 kg").pk).update(place=jar.place)
    act = partial(keyholder.get, reverse("shelf:count_sheet", args=[sheet.pk]))
    few = cost(act)

    Container.objects.bulk_create(
        Container(code=f"F{number}", material=jar.material, place=jar.place, received_on=jar.received_on)
        for number in range(FINISHED)
    )
    many = cost(act)

    table.most(f"a count with {FINISHED:,} finished jars beside one of few", many / few, COUNT_FLOOR)
