"""
What a safety summary says of a material, a container, a bath or a drum, for pages and papers alike.

Nothing here is personal and nothing tells how much is on the shelf, but for the one container that was asked for: a
summary opens without signing in.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import singledispatch
from typing import NamedTuple

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import capfirst

from chemistry.hazards.advice import SECTIONS, advice
from chemistry.hazards.storage import GROUPS, REASONS
from chemistry.hazards.substances import SUBSTANCES, Substance
from inventory import facts, past
from inventory.models import Container, Material, SafetySheet
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath
from studio.baths.status import BathStatus, status_of_baths
from studio.hazards import classification
from studio.hazards.classification import BathHazards, Hazards, parts_of
from studio.waste import content, whereabouts
from studio.waste.content import Content
from studio.waste.hazards import classify_drum, vessel_content
from studio.waste.models import Drum
from studio.workshop.models import Workshop

MARKS = {"from memory": "†", "common practice": "‡", "ours": "§"}  # what was read in its source bears none
LEGEND = "† from memory: replace it with your supplier’s sheet. ‡ common practice, no source. § ours, stricter."
FIRST = "eyes"


class Said(NamedTuple):
    """A sentence and the mark of its evidence."""

    text: str
    mark: str = ""


class Section(NamedTuple):
    title: str
    lines: Sequence[Said]


@dataclass(frozen=True, kw_only=True)
class Summary:
    """
    kicker: of what this is a summary. lead: what it is. stands: where it is here.
    first: what to do for an eye, before anything else. dried: what a bath becomes when nobody tops it up.
    facts: where the figures come from, pairs of name and value; None needs info.
    path: its address for whoever is not signed in. page: where somebody signed in goes on from it.
    """

    kicker: str
    title: str
    path: str
    page: str
    hazards: Hazards
    lead: str = ""
    stands: str = ""
    dried: str = ""
    first: Section = Section("", ())
    sections: Sequence[Section] = ()
    facts: Sequence[tuple[str, str | None]] = ()

    @property
    def legend(self) -> str:
        return LEGEND


def summary_of(thing: Material | Container | Bath | Drum, workshop: Workshop) -> Summary:
    """The summary of one thing, by the rules of the workshop's region and in its units."""
    return _summary(thing, workshop)


def summary_then(material: Material, workshop: Workshop, at: datetime) -> Summary:
    """What the summary of a material said at a moment of the past: by the facts, classes and sheets of that day."""
    jars = [jar for jar in past.stood(at) if jar.material_id == material.pk and not jar.is_away]
    then = facts.as_of(material, at)
    found = classification.classify_material(then, facts.as_of(workshop, at).region, at)
    summary = _of_material(then, found, [], SafetySheet.objects.latest_of([then], at).get(then.pk))
    places = ", ".join(sorted({str(jar.place) for jar in jars}))
    day = date_format(timezone.localtime(at), "j F Y")
    return replace(
        summary,
        kicker=f"{summary.kicker}, as it was at the end of {day}",
        stands=f"Stood here then: {places}." if places else "None of it stood here then.",
    )


def of_materials(materials: Sequence[Material], workshop: Workshop) -> list[Summary]:
    """Summaries of many materials, in four queries however many they are."""
    found = classification.classify_materials(materials, workshop.region)
    places, sheets = _places(materials), SafetySheet.objects.latest_of(materials)
    return [_of_material(each, found[each.pk], places.get(each.pk, []), sheets.get(each.pk)) for each in materials]


def of_baths(baths: Sequence[Bath], workshop: Workshop) -> list[Summary]:
    """Summaries of many baths, in five queries however many they are."""
    statuses = status_of_baths(baths)
    found = classification.classify_baths(statuses, workshop.region)
    crystals = SafetySheet.objects.standing().filter(material__bath_use=Material.BathUse.BLUE_CRYSTALS).first()
    return [_of_bath(each, found[each.bath.pk], crystals, workshop) for each in statuses]


def of_drum(held: Content, workshop: Workshop) -> Summary:
    """Of what is in a drum, as far as its kind and its log tell."""
    drum, stream = held.drum, held.drum.stream
    found = classify_drum(held, workshop.region)
    facts = [("Classes", found.basis or None), *([("Copper", _most_copper(held))] if drum.is_liquid else [])]
    summary = Summary(
        kicker="Safety summary of a waste drum",
        title=str(drum),
        path=reverse("safety:open_drum", args=[drum.pk]),
        page=drum.get_absolute_url(),
        hazards=found,
        lead=f"{stream}: {stream.what}.",
        stands=_where(drum),
        facts=facts,
    )
    told = _advised(summary, keep_from=[Said(capfirst(f"{stream.keep_from}."))])
    never = Section("Never", [Said(capfirst(f"{each}.")) for each in stream.never])
    return replace(told, sections=[*told.sections, never])


@singledispatch
def _summary(thing, workshop: Workshop) -> Summary:
    raise TypeError(f"no summary is made of {thing!r}")


@_summary.register
def _(thing: Material, workshop: Workshop) -> Summary:
    return of_materials([thing], workshop)[0]


@_summary.register
def _(thing: Bath, workshop: Workshop) -> Summary:
    return of_baths([thing], workshop)[0]


@_summary.register
def _(thing: Drum, workshop: Workshop) -> Summary:
    return of_drum(content.content_of_drum(thing), workshop)


@_summary.register
def _(thing: Container, workshop: Workshop) -> Summary:
    """Of its material, with what is left in this one and where it stands."""
    summary = summary_of(thing.material, workshop)
    return replace(
        summary,
        kicker=f"Safety summary of what is in {thing.code}",
        stands=_left(thing),
        path=reverse("safety:open_container", args=[thing.code]),
        page=thing.get_absolute_url(),
    )


def _left(container: Container) -> str:
    if not container.on_hand:
        return f"{container.code} is empty, and by the book it stands nowhere any more."
    return f"{container.code} stands here: {container.place}. {container.shown_on_hand()} left."


def _of_material(material: Material, found: Hazards, places: Sequence[str], sheet: SafetySheet | None) -> Summary:
    summary = Summary(
        kicker="Safety summary of a material",
        title=str(material),
        path=reverse("safety:open_material", args=[material.pk]),
        page=material.get_absolute_url(),
        hazards=found,
        lead=_made_of(material),
        stands=f"Stands here: {', '.join(places)}." if places else "None of it stands here now.",
        facts=list(_facts(material, found, sheet)),
    )
    return _advised(summary, keep_from=_keep_from_of(material, found))


def _of_bath(each: BathStatus, found: BathHazards, crystals: SafetySheet | None, workshop: Workshop) -> Summary:
    summary = Summary(
        kicker="Safety summary of a bath, as strong as it is today",
        title=str(each.bath),
        path=reverse("safety:open_bath", args=[each.bath.pk]),
        page=each.bath.get_absolute_url(),
        hazards=found.now,
        lead=_strength(each, workshop),
        stands=f"Stands here: {each.bath.place}.",
        dried=_when_dried(found),
        facts=list(_bath_facts(BathDescription(each, workshop.units), found, crystals)),
    )
    return _advised(summary, keep_from=_bath_keep_from())


def _advised(summary: Summary, *, keep_from: Sequence[Said]) -> Summary:
    """With what to do: the eye first, then the rest in the order of data/advice.toml."""
    found = summary.hazards
    groups = found.storage_groups | found.handling
    is_unknown = found.needs_classes or found.has_unknown_part
    told = {
        id: Section(
            section.title,
            [
                Said(each.text, MARKS.get(each.grade, ""))
                for each in advice(id, found.every_class, groups, is_unknown=is_unknown)
            ],
        )
        for id, section in SECTIONS.items()
    }
    belongs = [Said(f"{where}.".capitalize()) for where in found.where_it_belongs]
    told["storage"] = Section(told["storage"].title, [*belongs, *told["storage"].lines])
    first = told.pop(FIRST)
    sections = [section for section in told.values() if section.lines]
    if keep_from:
        sections.append(Section("Keep away from", keep_from))
    return replace(summary, first=first, sections=sections)


def _made_of(material: Material) -> str:
    parts = [str(each) for each in material.constituents]
    if parts:
        return f"Made of {', '.join(parts)}."
    return capfirst(f"{material.get_bath_use_display()}.") if material.bath_use else ""


def _facts(material: Material, found: Hazards, sheet: SafetySheet | None) -> Iterator[tuple[str, str | None]]:
    yield "Classes", found.basis or None
    if found.supplier:
        yield "Copied on", date_format(found.supplier.entry.happened_at, "j F Y")
    yield "Supplier’s sheet", _on_file(sheet)
    yield from _defaults(found)


def _defaults(found: Hazards) -> Iterator[tuple[str, str]]:
    """Whose figures rest on memory; which ones, the page says below its summary."""
    names = [each.partition(": ")[0] for each in found.defaults]
    if names:
        yield "From memory", f"figures of {'; '.join(names)}: replace them with your supplier’s sheet"


def _bath_facts(
    described: BathDescription, found: BathHazards, crystals: SafetySheet | None
) -> Iterator[tuple[str, str | None]]:
    yield "Strength", capfirst(described.last_read) if described.strength else None
    if found.blue_percent is not None:
        yield "By mass", f"{found.blue_percent} % blue crystals at the strong end of its ±"
    yield "Classes", f"{found.now.basis}; eye damage from 1 %, the stricter basis §" if found.now.basis else None
    yield from _defaults(found.now)
    yield "Crystals’ sheet", _on_file(crystals)


def _on_file(sheet: SafetySheet | None) -> str:
    return f"on file, {date_format(sheet.dated_on, 'j F Y')}" if sheet else "not on file"


def _where(drum: Drum) -> str:
    gone = whereabouts.left([drum]).get(drum.pk)
    return f"It has left: {gone}." if gone else f"Stands here: {drum.place}."


def _most_copper(held: Content) -> str | None:
    most = vessel_content(held).most_copper_mg_per_l
    return None if most is None else f"{most:,.0f} mg in a litre at the most"


def _strength(each: BathStatus, workshop: Workshop) -> str:
    described = BathDescription(each, workshop.units)
    if described.strength is None or described.volume is None:
        return "Copper sulfate in water; nobody has said yet how strong."
    return f"Copper sulfate in water, {described.strength.shown} of blue crystals, {described.volume.shown}."


def _when_dried(found: BathHazards) -> str:
    added = [line for line in (*found.dried.hazards, *found.dried.for_environment) if line.code not in found.now.codes]
    if not added:
        return ""
    words = " ".join(f"{line.words} ({line.code})" for line in added)
    return f"If a fifth of its water dries off, this comes with it: {words} A label printed now carries it already."


def _keep_from_of(material: Material, found: Hazards) -> list[Said]:
    """By what is on record for its substance, or for its storage groups where it is a mixture."""
    known = [SUBSTANCES[part.substance] for part in parts_of(material) if part.is_known]
    own = _substance_keeps_from(known[0]) if len(known) == 1 else []
    return own or _keep_from(found.storage_groups)


def _bath_keep_from() -> list[Said]:
    told = _substance_keeps_from(SUBSTANCES["copper_sulfate_pentahydrate"])
    return [*told, Said("The vinegar-and-salt cleaner, bleach, peroxide.", MARKS["from memory"])]


def _substance_keeps_from(substance: Substance) -> list[Said]:
    fact = substance.hazards.keep_from
    return [Said(f"{capfirst(text)}.", MARKS.get(fact.grade, "")) for text in fact.value] if fact else []


def _keep_from(groups: Iterable[str]) -> list[Said]:
    """What has a reason on record to stand elsewhere."""
    own = set(groups)
    return [
        Said(capfirst(f"{GROUPS[other].name}: {reason.why}"), MARKS.get(reason.grade, ""))
        for reason in REASONS
        for group, other in (reason.pair, reason.pair[::-1])
        if group in own and other not in own
    ]


def _places(materials: Sequence[Material]) -> dict[int, list[str]]:
    """Where there is some of each."""
    standing_jars = Container.objects.at_hand().filter(material__in=[each.pk for each in materials])
    places: dict[int, list[str]] = {}
    for material, place in standing_jars.values_list("material", "place__name").order_by("place__name").distinct():
        places.setdefault(material, []).append(place)
    return places
