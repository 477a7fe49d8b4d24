"""Drums and what is written of them as lists to take away, struck lines among them."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo

from chemistry.measured import HALF_WIDTH_SDS
from studio.waste import copper
from studio.waste.models import (
    Deposit,
    DisposalItem,
    Drum,
    DrumWeighing,
    Finding,
    FollowUp,
    Incident,
    Inspection,
    LocalAdvice,
    ReceiverPaper,
    Refusal,
    TestResult,
)

Line = Inspection | DrumWeighing | TestResult | Finding | Refusal

DRUMS = ("entry", "set up at", "drum", "kind", "vessel", "holds L", "vented", "empty g", "place", "why", "struck")
DEPOSITS = (
    *("entry", "happened at", "drum", "kind", "source", "what", "litres", "± L", "grams", "± g"),
    *("copper g", "± g copper", "why another kind", "struck"),
)
LINES = ("entry", "happened at", "drum", "what", "struck")
HANDED = (
    *("entry", "record", "corrects", "handed over at", "drum", "kinds", "route", "receiver", "licence", "document"),
    *("codes", "net g", "± g", "how", "litres", "± L", "copper g", "± g copper", "replay", "counted to", "keep until"),
)
PAPERS = ("entry", "came at", "record", "signed copy", "number", "weight g", "± g", "with vessels", "struck")
INCIDENTS = ("entry", "happened at", "kind", "what happened", "what was done", "hurt", "how", "struck")
ADVICE = (
    *("entry", "written at", "what", "who said so", "asked", "answer", "about", "copper mg/L", "treatment"),
    *("said on", "until", "in writing", "struck"),
)
FOLLOW_UPS = ("entry", "happened at", "report", "what was done", "closes", "struck")


def drums(drums: Iterable[Drum], zone: tzinfo) -> Iterator[Sequence]:
    for drum in drums:
        known = [drum.name, drum.stream.title, drum.made_of.name, drum.capacity_l, drum.is_vented, drum.tare_g]
        yield [
            drum.entry_id,
            local_moment(drum.entry.happened_at, zone),
            *known,
            drum.place.name,
            drum.reason,
            why_struck(drum),
        ]


def deposits(deposits: Sequence[Deposit], zone: tzinfo) -> Iterator[Sequence]:
    """Copper by the books of baths and cathodes as they stand now."""
    brought = copper.brought_by([each for each in deposits if not each.entry.is_struck])
    for each in deposits:
        found = brought.get(each.pk)
        copper_g = found.copper_g if found else None
        yield [
            each.entry_id,
            local_moment(each.entry.happened_at, zone),
            each.drum.name,
            each.stream.title,
            each.get_source_display(),
            each.words,
            *rounded_with_spread(each.litres, each.litres_sd),
            *rounded_with_spread(each.mass_g, each.mass_sd_g),
            *rounded_with_spread(*((copper_g.value, copper_g.sd) if copper_g else (None, None))),
            each.reason,
            why_struck(each),
        ]


def lines(lines: Iterable[Line], zone: tzinfo) -> Iterator[Sequence]:
    for each in lines:
        yield [each.entry_id, local_moment(each.entry.happened_at, zone), each.drum.name, str(each), why_struck(each)]


def handed(handed: Iterable[DisposalItem], zone: tzinfo) -> Iterator[Sequence]:
    """Every drum of every record, those that a further one corrects among them, as it was frozen."""
    for each in handed:
        record = each.disposal
        yield [
            record.entry_id,
            str(record),
            str(record.corrects or ""),
            local_moment(record.handed_over_at, zone),
            each.drum.name,
            "; ".join(stream.title for stream in each.streams),
            record.get_route_display(),
            record.receiver,
            record.licence,
            f"{record.document_kind} {record.document_number}".strip(),
            record.codes,
            *rounded_with_spread(each.net_g, each.net_sd_g),
            each.get_how_display(),
            *rounded_with_spread(each.litres, each.litres_sd),
            *rounded_with_spread(each.copper_g, each.copper_sd_g),
            each.model_version,
            f"{record.counted_to:%Y-%m}",
            record.keep_until.isoformat(),
        ]


def papers(papers: Iterable[ReceiverPaper], zone: tzinfo) -> Iterator[Sequence]:
    for each in papers:
        weight = ("", "") if each.weight_g is None else (each.weight_g, each.half_width_g)
        facts = [str(each.disposal), each.is_signed_copy, each.number, *weight, each.with_vessels]
        yield [each.entry_id, local_moment(each.entry.happened_at, zone), *facts, why_struck(each)]


def incidents(incidents: Iterable[Incident], zone: tzinfo) -> Iterator[Sequence]:
    """With who was hurt: the whole book is a keyholder's to take."""
    for each in incidents:
        said = [each.get_kind_display(), each.what_happened, each.what_was_done, str(each.hurt or ""), each.injury]
        yield [each.entry_id, local_moment(each.entry.happened_at, zone), *said, why_struck(each)]


def follow_ups(follow_ups: Iterable[FollowUp], zone: tzinfo) -> Iterator[Sequence]:
    for each in follow_ups:
        said = [each.incident.what_happened, each.words, each.closes]
        yield [each.entry_id, local_moment(each.entry.happened_at, zone), *said, why_struck(each)]


def advice(told: Iterable[LocalAdvice], zone: tzinfo) -> Iterator[Sequence]:
    for each in told:
        until = each.until_on.isoformat() if each.until_on else ""
        said = [each.get_kind_display(), each.asked, each.question, each.answer, each.about]
        figures = ["" if each.cu_mg_per_l is None else each.cu_mg_per_l, each.how]
        days = [each.said_on.isoformat(), until, each.is_written]
        yield [each.entry_id, local_moment(each.entry.happened_at, zone), *said, *figures, *days, why_struck(each)]


def rounded_with_spread(value: float | None, sd: float | None) -> tuple[float | str, float | str]:
    if value is None:
        return "", ""
    return round(value, 4), round(HALF_WIDTH_SDS * (sd or 0.0), 4)


def why_struck(line) -> str:
    return line.entry.strike_reason


def local_moment(moment: datetime, zone: tzinfo) -> str:
    return moment.astimezone(zone).isoformat(" ", "minutes")
