"""What the page of a bath with twenty thousand events costs, and of a drum with two thousand, beside shorter logs."""

import time
from datetime import timedelta
from functools import partial

import pytest
from django.core.cache import cache
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone

from chemistry.bath import Bitten, DensityRead, LevelRead, Removed, SolutionAdded
from inventory.book import Signed
from inventory.models import Entry
from studio.baths import estimate, event_log, kinds, operations
from studio.baths.models import Bath, BathEvent
from studio.people.roles import MEMBER
from studio.waste import kinds as waste_kinds
from studio.waste.models import Deposit, Drum
from tests.factories import PersonFactory, WorkshopFactory, adopted, signed
from tests.studio.waste import shop

pytestmark = [pytest.mark.benchmark_ratio, pytest.mark.django_db]

A_DAY = 8  # a busy studio's
FEW, MANY = 365 * A_DAY, 20_000  # the year that the chart shows, and seven
ROUNDS = 7
# (floor, goal); the log's own page sorts all of it
PAGES = {"bath": (1.2, 1.1), "top_up": (1.2, 1.1), "what_if": (1.5, 1.1), "log": (4.0,)}
MOST_SECONDS = 2.0
FEW_RINSES, MANY_RINSES = 20, 2_000
DRUM_RATIO = (1.2, 1.1)


@pytest.fixture
def member():
    WorkshopFactory()
    client = Client()
    client.person = PersonFactory(role=MEMBER)
    with override_settings(AXES_ENABLED=False):
        client.force_login(client.person.account, backend="studio.people.backend.BookBackend")
    return client


def bath_with(events: int) -> Bath:
    """Bites with their drips, the rinse poured back, a level and a hydrometer each week, up to today."""
    ends = timezone.now() - timedelta(hours=1)
    bath = adopted(at=-MANY / A_DAY, name=f"Tank of {events}", lid_on=True)
    step = timedelta(days=1 / A_DAY)
    about = {"done_by": PersonFactory(), "recorded_at": timezone.now()}
    written = Entry._base_manager.bulk_create(
        Entry(kind=kinds.READ, subject=f"number {number}", happened_at=ends - step * (events - number), **about)
        for number in range(1, events + 1)
    )
    BathEvent._base_manager.bulk_create(
        BathEvent(
            bath=bath,
            entry=entry,
            happened_at=entry.happened_at,
            kind=type(event).__name__,
            values=event_log.figures_of(event),
            schema=event_log.SCHEMA,
            words="",
        )
        for entry, event in zip(written, map(event_of_number, range(events)), strict=True)
    )
    estimate.refresh([bath])
    return bath


def drum_with(rinses: int, bath: Bath) -> Drum:
    """So many rinses of a bath, up to today."""
    drum = shop.drum("rinse", name=f"Drum of {rinses}", capacity_l=200, by=signed(0))
    ends = timezone.now() - timedelta(hours=1)
    about = {"kind": waste_kinds.FILLED, "done_by": PersonFactory(), "recorded_at": timezone.now()}
    written = Entry._base_manager.bulk_create(
        Entry(subject=f"number {number}", happened_at=ends - timedelta(hours=rinses - number), **about)
        for number in range(rinses)
    )
    Deposit._base_manager.bulk_create(
        Deposit(
            drum=drum, entry=entry, kind="rinse", source=Deposit.Source.RINSE, litres=0.05, litres_sd=0.005, bath=bath
        )
        for entry in written
    )
    return drum


def event_of_number(number: int):
    if number % 56 == 0:
        return LevelRead(day=0, volume_l=12, sd_l=0.1)
    if number % 56 == 1:
        return DensityRead(day=0, sg=1.152)
    if number % 8 == 2:
        # what plates carried out comes back out of the rinse, so that twenty thousand bites empty no tank
        return SolutionAdded(day=0, litres=0.018, strength_g_per_l=240, sd_l=0.001, strength_sd_g_per_l=2)
    if number % 2:
        return Bitten(day=0, charge_ah=0.6)
    return Removed(day=0, litres=0.006, sd_l=0.0015)


def seconds(act) -> float:
    """The best of some rounds, with nothing kept between them."""
    took = []
    for _ in range(ROUNDS):
        cache.clear()
        began = time.process_time()
        assert act().status_code == 200
        took.append(time.process_time() - began)
    return min(took)


def test_the_page_of_a_long_log_costs_little_more_than_that_of_a_short_one(member, table):
    short, long = bath_with(FEW), bath_with(MANY)
    costs = {
        page: [seconds(partial(member.get, reverse(f"baths:{page}", args=[bath.pk]))) for bath in (short, long)]
        for page in PAGES
    }
    by = Signed(done_by=member.person)
    began = time.perf_counter()
    operations.read(long, LevelRead(day=0, volume_l=12, sd_l=0.1), words="12 L", by=by)
    wrote = time.perf_counter() - began
    began = time.perf_counter()
    estimate.refresh([Bath.objects.get(pk=long.pk)])
    replayed = time.perf_counter() - began

    ten_years_ago = f"{timezone.now() - timedelta(days=3650):%Y-%m-%d}"
    balance = partial(member.get, reverse("waste:balance"), {"since": ten_years_ago})
    for page, (few, many) in costs.items():
        table.most(f"a bath's {page} with {MANY:,} events beside one with {FEW:,}", many / few, *PAGES[page])
        table.most(f"a bath's {page} with {MANY:,} events, ms", 1e3 * many, 1e3 * MOST_SECONDS)
    table.most(f"a reading written after {MANY:,} events, of their replay", wrote / replayed, 0.1)
    table.most(f"copper balance of ten years and {FEW + MANY:,} events, ms", 1e3 * seconds(balance), goal=300)


def test_the_page_of_a_full_drum_costs_little_more_than_that_of_a_new_one(member, table):
    bath = adopted(at=0, lid_on=True)
    few, many = (
        seconds(partial(member.get, drum_with(rinses, bath).get_absolute_url())) for rinses in (FEW_RINSES, MANY_RINSES)
    )

    table.most(f"a drum with {MANY_RINSES:,} deposits beside one with {FEW_RINSES}", many / few, *DRUM_RATIO)
    table.most(f"a drum with {MANY_RINSES:,} deposits, ms", 1e3 * many)
