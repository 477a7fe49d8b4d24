"""What is usual in each region: units, money, paper and clocks (common practice, no source); its states and lines."""

import csv
import zoneinfo
from dataclasses import dataclass
from functools import cache
from itertools import chain, groupby
from pathlib import Path

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from studio.workshop.models import Workshop

Region = Workshop.Region

METRIC = {
    "numbers": "12 345.6",
    "currency": "EUR",
    "money": "before",
    "dates": "day",
    "clock": "24",
    "paper": "A4",
    "strength": "g/L",
    "volume": "L",
    "mass": "g",
    "length": "cm",
    "area": "cm²",
    "thickness": "mm",
    "depth": "µm",
    "temperature": "°C",
    "cups": "metric",
}
AMERICAN_USE = {
    "numbers": "12,345.6",
    "currency": "USD",
    "money": "before",
    "dates": "month",
    "clock": "12",
    "paper": "Letter",
    # the hydrometer of American shops that etch
    "strength": "°Bé",
    "volume": "gal",
    "mass": "lb",
    "length": "in",
    "area": "in²",
    "thickness": "in",
    "depth": "mil",
    "temperature": "°F",
    "cups": "us",
}
USUAL = {
    Region.EU: METRIC | {"numbers": "12 345,6", "money": "after"},
    Region.GB: METRIC | {"numbers": "12,345.6", "currency": "GBP"},
    Region.US: AMERICAN_USE,
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
# the five territories count as states in 40 CFR 260.10; names and codes: USPS Publication 28, appendix B, from memory
with open(Path(__file__).with_name("states.csv"), newline="", encoding="utf-8") as file:
    STATES = {line["code"]: line["name"] for line in csv.DictReader(file)}


@dataclass(frozen=True)
class Lines:
    """Telephone numbers of a place, offered until somebody confirms them: a number may change."""

    emergency: str = ""
    poison: str = ""
    source: str | Promise = ""


# who answers for poison differs from country to country in the European Union, and often from city to city
LINES = {
    Region.US: Lines(
        "911",
        "1-800-222-1222",
        gettext_lazy("Source: FCC order 00-327 for 911, poison.org for 1-800-222-1222, read in November 2026."),
    ),
    Region.GB: Lines(
        "999",
        "111",
        gettext_lazy(
            "Source: npis.org for 111 in England, Wales and Scotland, read in November 2026; 999 from memory."
        ),
    ),
    Region.EU: Lines("112", "", gettext_lazy("Source: the European Commission’s pages on 112, read in November 2026.")),
}
LINES_BY_ZONE = {
    "Europe/Dublin": Lines(
        "112",
        "01 809 2166",
        gettext_lazy("Source: npis.org for 01 809 2166, read in November 2026; 112 as in all the Union."),
    )
}


def lines(region: str, time_zone: str) -> Lines:
    return LINES_BY_ZONE.get(time_zone) or LINES.get(Region(region), Lines())


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
