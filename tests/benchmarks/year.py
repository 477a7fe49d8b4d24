"""A studio's year, written through the operations people use: two baths, their bites and readings, and a shelf."""

import random
from datetime import datetime, timedelta

from django.utils import timezone

from chemistry import units
from chemistry.bath import DensityRead, LevelRead
from chemistry.measured import Measured
from chemistry.solution import sulfate
from inventory import book, ledger
from inventory.book import Signed
from inventory.models import Material, Place
from studio.baths import estimate, operations
from studio.baths.models import Bath
from studio.baths.salt import Portion
from studio.bites import operations as bites
from studio.bites.operations import Ending, Setting
from studio.people import roles
from studio.workshop.models import Workshop
from tests.factories import PersonFactory

DAYS = 350
NAMES = ("Maren Oakes", "Tobi Reyne", "Nell Varga", "Wren Adeyo", "Jun Averell")
SHELF = (
    ("Copper sulfate crystals", "Bath salts and water", "mass", "g", "5 kg", "1 kg"),
    ("Hard ground, liquid", "Grounds", "volume", "mL", "400 mL", "100 mL"),
    ("Lacquer thinner", "Solvents", "volume", "mL", "180 mL", "500 mL"),
    ("Gloves, nitrile", "Protection", "count", "piece", "120", "40"),
    *((f"Wet-or-dry paper, grit {grit}", "Abrasives", "count", "piece", "20", "5") for grit in range(100, 2500, 100)),
)


def write(*, until: datetime | None = None, seed: int = 1) -> list[Bath]:
    """Fill an empty book with a year that ends at a moment; the same seed writes the same year."""
    until = until or timezone.now()
    chance = random.Random(seed)
    Workshop(name="Tallow Street Print Room", time_zone="Europe/Berlin").save()
    people = [
        PersonFactory(name=name, account__username=f"printer{i}", role=roles.MEMBER if i else roles.KEYHOLDER)
        for i, name in enumerate(NAMES)
    ]

    def by(days_ago: float) -> Signed:
        return Signed(done_by=chance.choice(people), happened_at=until - timedelta(days=days_ago))

    crystals = _shelf(by(DAYS + 1))
    upright = _tank("Upright tank", "Bay 2", by(DAYS), rim_l=14.5, fill_l=12.1, surface_cm2=400, high=270)
    small = _tank("Small tank", "Bay 1", by(DAYS), rim_l=4.75, fill_l=3.7, surface_cm2=200, high=260)
    operations.mix(upright, water_l=11, salt=[Portion(crystals, 3_000_000)], by=by(DAYS))
    operations.mix(small, water_l=3.4, salt=[Portion(crystals, 850_000)], by=by(DAYS))
    for bath, left_open_for in ((upright, 0), (small, 31)):
        _year_of(bath, by, chance, until=left_open_for + 1)
    operations.cover(small, lid_on=False, by=by(31))
    operations.read(
        upright, DensityRead(day=0, sg=1.1553, temperature_c=19, reference_c=20), words="SG 1.155 at 19 °C", by=by(2)
    )
    return [upright, small]


def _year_of(bath: Bath, by, chance: random.Random, *, until: int) -> None:
    """A bite every few days, the lid off for an evening; a level, a reading and a top-up now and then."""
    for days_ago in range(DAYS - 4, until, -4):
        operations.cover(bath, lid_on=False, by=by(days_ago + 0.5))
        bitten = Ending(minutes=30, counted_ah=chance.uniform(0.4, 2.1))
        bites.note(bath, setting=Setting(exposed=Measured(50, 5, "cm²")), ending=bitten, by=by(days_ago + 0.3))
        if days_ago % 3:
            operations.cover(bath, lid_on=True, by=by(days_ago))
        if days_ago % 28 == 2:
            _read_and_top_up(bath, by, chance, days_ago - 0.2)


def _read_and_top_up(bath: Bath, by, chance: random.Random, days_ago: float) -> None:
    now = estimate.at_moment(bath, by(days_ago).happened_at)
    level_l = round(now.volume_l + chance.gauss(0, 0.03), 2)
    operations.read(
        bath, LevelRead(day=0, volume_l=level_l, sd_l=0.04), words=f"level {level_l:.2f} L", by=by(days_ago)
    )
    sg = round(sulfate.sg(now.mass_fraction, 20) + chance.gauss(0, 0.0015), 3)
    words = f"SG {sg:.3f} at 20 °C"
    operations.read(
        bath, DensityRead(day=0, sg=sg, temperature_c=20, reference_c=20), words=words, by=by(days_ago - 0.01)
    )
    missing_l = bath.fill_l - level_l
    if missing_l > 0.05:
        operations.top_up(bath, water_l=round(missing_l, 2), by=by(days_ago - 0.02))


def _tank(name: str, place: str, by: Signed, *, high: float, **figures: float) -> Bath:
    where = Place.objects.create(name=place, kind=Place.Kind.TANK)
    tank = Bath(name=name, place=where, range_low_g_per_l=200, range_high_g_per_l=high, coldest_c=10, **figures)
    tank.marks = [(10, figures["rim_l"] / 3), (30, figures["rim_l"])]
    operations.set_up(tank, by=by)
    return tank


def _shelf(by: Signed):
    """What stands on it; the crystals, to mix with."""
    shelf = Place.objects.create(name="Long shelf")
    containers = []
    for name, category, dimension, unit, amount, level in SHELF:
        material = Material.objects.create(
            name=name,
            category=category,
            dimension=dimension,
            shown_unit=unit,
            bath_use=Material.BathUse.BLUE_CRYSTALS if "crystals" in name else Material.BathUse.NONE,
            reorder_level=units.parse(level, dimension),
        )
        with book.entry("received", f"Received {amount} of {name}", by) as entry:
            use_by = timezone.localdate() - timedelta(days=20) if category == "Solvents" else None
            base = units.parse(amount, dimension)
            containers.append(ledger.receive(material, base, entry=entry, place=shelf, use_by_on=use_by))
    return containers[0]
