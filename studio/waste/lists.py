"""Drums and what is written of them as lists to take away, struck lines among them."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo

from chemistry.working import HALF_WIDTH_SDS
from studio.waste import copper
from studio.waste.models import Deposit, Drum, DrumWeighing, LookOver, TestResult

DRUMS = ("entry", "set up at", "drum", "kind", "vessel", "holds L", "vented", "empty g", "place", "why", "struck")
DEPOSITS = (
    *("entry", "happened at", "drum", "kind", "source", "what", "litres", "± L", "grams", "± g"),
    *("copper g", "± g copper", "why another kind", "struck"),
)
LINES = ("entry", "happened at", "drum", "what", "struck")


def drums(drums: Iterable[Drum], zone: tzinfo) -> Iterator[Sequence]:
    for drum in drums:
        known = [drum.name, drum.stream.title, drum.made_of.name, drum.capacity_l, drum.is_vented, drum.tare_g]
        yield [
            drum.entry_id,
            _moment(drum.entry.happened_at, zone),
            *known,
            drum.place.name,
            drum.reason,
            _struck(drum),
        ]


def deposits(deposits: Sequence[Deposit], zone: tzinfo) -> Iterator[Sequence]:
    """Copper by the books of baths and cathodes as they stand now."""
    brought = copper.brought_by([each for each in deposits if not each.entry.is_struck])
    for each in deposits:
        found = brought.get(each.pk)
        copper_g = found.copper_g if found else None
        yield [
            each.entry_id,
            _moment(each.entry.happened_at, zone),
            each.drum.name,
            each.stream.title,
            each.get_source_display(),
            each.words,
            *_rounded(each.litres, each.litres_sd),
            *_rounded(each.mass_g, each.mass_sd_g),
            *_rounded(*(copper_g or (None, None))),
            each.reason,
            _struck(each),
        ]


def lines(lines: Iterable[LookOver | DrumWeighing | TestResult], zone: tzinfo) -> Iterator[Sequence]:
    for each in lines:
        yield [each.entry_id, _moment(each.entry.happened_at, zone), each.drum.name, str(each), _struck(each)]


def _rounded(value: float | None, sd: float | None) -> tuple[float | str, float | str]:
    if value is None:
        return "", ""
    return round(value, 4), round(HALF_WIDTH_SDS * (sd or 0.0), 4)


def _struck(line) -> str:
    return line.entry.strike_reason


def _moment(moment: datetime, zone: tzinfo) -> str:
    return moment.astimezone(zone).isoformat(" ", "minutes")
