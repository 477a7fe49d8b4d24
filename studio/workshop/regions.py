"""What is usual in each region: units, money, paper and clocks. Common practice, no source."""

import zoneinfo
from functools import cache
from itertools import chain, groupby
from pathlib import Path

from studio.workshop.models import Workshop

Region = Workshop.Region

METRIC = {
    "numbers": "12 345.6",
    "strength": "g/L",
    "temperature": "°C",
    "depth": "µm",
    "cups": "metric",
    "currency": "EUR",
    "paper": "A4",
}
AMERICAN_USE = {
    "numbers": "12,345.6",
    "temperature": "°F",
    "depth": "mil",
    "cups": "us",
    "currency": "USD",
    "paper": "Letter",
}
USUAL = {
    Region.EU: METRIC | {"numbers": "12 345,6"},
    Region.GB: METRIC | {"numbers": "12,345.6", "currency": "GBP"},
    Region.US: METRIC | AMERICAN_USE,
    Region.ELSEWHERE: METRIC,
}
EUROPEAN = """
    Amsterdam Athens Berlin Bratislava Brussels Bucharest Budapest Copenhagen Dublin Helsinki Lisbon Ljubljana
    Luxembourg Madrid Malta Paris Prague Riga Rome Sofia Stockholm Tallinn Vienna Vilnius Warsaw Zagreb
"""
AMERICAN = "New_York Chicago Denver Phoenix Los_Angeles Anchorage"
ZONES = {
    Region.EU: ("Asia/Nicosia", *(f"Europe/{city}" for city in EUROPEAN.split())),
    Region.GB: ("Europe/London",),
    Region.US: (*(f"America/{city}" for city in AMERICAN.split()), "Pacific/Honolulu"),
}
AREAS = ("Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")
LOCAL_TIME = Path("/etc/localtime")


@cache
def time_zones(region: str = "") -> list:
    """As a select wants them: UTC, the likely ones with those of this region first, then all by part of the world."""
    likely = sorted(ZONES.items(), key=lambda zones: zones[0] != region)
    groups = chain(
        ((each.label, sorted(names, key=place_in)) for each, names in likely), groupby(known_zones(), key=area_of)
    )
    return [("UTC", "UTC"), *((group, [(name, place_in(name)) for name in names]) for group, names in groups)]


def time_zone_of_this_machine() -> str:
    """The zone that the system's own clock is set to, where it names a place; else UTC."""
    _, _, name = LOCAL_TIME.resolve().as_posix().rpartition("zoneinfo/")
    return name if name in known_zones() else "UTC"


@cache
def known_zones() -> list[str]:
    return sorted(name for name in zoneinfo.available_timezones() if area_of(name) in AREAS)


def area_of(name: str) -> str:
    return name.partition("/")[0]


def place_in(name: str) -> str:
    _, _, place = name.partition("/")
    return place.replace("_", " ").replace("/", ", ")
