"""What is in a drum or goes into one, handed to the classifier; and what it says against pouring them together."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from django.utils.translation import gettext as _

from chemistry.hazards import composition, storage
from chemistry.waste import streams
from chemistry.waste.streams import Objection
from inventory.models import Material
from studio.hazards.classification import (
    Hazards,
    OutdatedReading,
    VesselContent,
    classify_material,
    classify_vessels,
)
from studio.waste.content import Content
from studio.waste.models import TestResult
from studio.waste.properties import acid_g_per_l, copper_mg_per_l
from studio.workshop.models import region_of_the_book

Quantity = TestResult.Quantity
# what a storage group is as waste, and nothing else
KIND_OF_GROUP = {
    "flammable": "solvent_spent",
    "copper salt": "bath_spent",
    "salt cleaner": "cleaner_used",
    "bleach": "bleach",
    "oxidiser": "peroxide_mix",
}
USUAL = KIND_OF_GROUP | {"weak acid": "cleaner_used"}
# makes what it is in no other waste
INERT = {"general", "combustible"}
SCRAP = (Material.Category.GROUNDS, Material.Category.STOP_OUT)


def vessel_content(held: Content) -> VesselContent:
    """What the log of a drum tells the classifier; what was poured over brings all that was in it there."""
    copper = copper_mg_per_l(held)
    ph, flash = (reading_of(held, quantity) for quantity in (Quantity.PH, Quantity.FLASH_POINT))
    return VesselContent(
        kinds=held.kinds,
        # the high end: copper that may be in it is warned of
        most_copper_mg_per_l=copper and copper[1],
        # the low end, from which it may burn
        flash_point_c=flash and flash[0],
        ph=ph,
        given_up=list(dict.fromkeys(held.given_up)),
        unnamed=[str(each) for each in held.not_of_baths if not each.container and each.stream.is_copper_solution],
        most_acid_g_per_l=acid_g_per_l(held)[1],
        most_acid_percent=acid_percent(held),
        acid_unsaid=list(dict.fromkeys(held.acid_unsaid)),
        outdated=list(outdated_readings(held)),
        out_of=out_of(held),
    )


def out_of(held: Content) -> list[str]:
    """The baths and cathodes that all its solids came out of; none where of any of them nobody can say."""
    solids = [each for each in held.deposits if not each.stream.is_copper_solution and each.stream.beside]
    others = [each for each in held.deposits if not each.stream.is_copper_solution and not each.stream.beside]
    sources = [each.event.bath if each.event else each.bath or (each.strip and each.strip.cathode) for each in solids]
    if others or not all(sources):
        return []
    return list(dict.fromkeys(map(str, sources)))


def acid_percent(held: Content) -> float:
    """By mass at the upper end; where nobody weighed it, as if all of it were the sourest that went in."""
    by_weight = held.acid_by_weight
    return by_weight.high if by_weight else composition.acid_percent(acid_g_per_l(held)[1], 0.0)


def reading_of(held: Content, quantity: str) -> tuple[float, float] | None:
    """The last test of all that is in it."""
    found = (each.line for each in held.answers.get(quantity, ()) if not each.ended_by)
    return next(((line.low, line.high) for line in found if isinstance(line, TestResult)), None)


def outdated_readings(held: Content) -> Iterator[OutdatedReading]:
    """Of what was in it, or in a drum that was poured over into it, before something else went in."""
    for answers in held.answers.values():
        for each in answers:
            line = each.line
            if each.is_over and isinstance(line, TestResult):
                yield OutdatedReading(
                    said=each.said,
                    flash_point_c=line.low if line.quantity == Quantity.FLASH_POINT else None,
                    ph=(line.low, line.high) if line.quantity == Quantity.PH else None,
                )


def classify_drums(contents: Iterable[Content], region: str, at: datetime | None = None) -> dict[int, Hazards]:
    """By the drum's key; at: by the suppliers' sheets that were copied until then."""
    held = list(contents)
    found = classify_vessels([vessel_content(each) for each in held], region, at)
    return {each.drum.pk: hazards for each, hazards in zip(held, found, strict=True)}


def classify_drum(held: Content, region: str) -> Hazards:
    return classify_drums([held], region)[held.drum.pk]


def usual_kind(material: Material) -> str:
    """What it most likely is as waste; empty where that is not known from the jar."""
    groups = classify_material(material, region_of_the_book()).storage_groups
    if material.category in SCRAP and groups <= {"flammable", *INERT}:
        return "ground_scrap"
    kinds = {USUAL.get(group, "") for group in groups - INERT or groups}
    return kinds.pop() if len(kinds) == 1 else ""


def objections(
    kind: str, *, into: Content, jar: Material | None = None, poured_over: Content | None = None
) -> Iterator[Objection]:
    """
    Why something must not go into a drum, by what it is, whatever kind it is called.

    jar: what it is given up from. poured_over: the drum that it comes out of.
    """
    region = region_of_the_book()
    source = vessel_content(poured_over) if poured_over else VesselContent(kinds=())
    incoming = VesselContent(
        kinds=[*source.kinds, kind],
        flash_point_c=source.flash_point_c,
        ph=source.ph,
        most_acid_g_per_l=source.most_acid_g_per_l,
        outdated=source.outdated,
        given_up=[*source.given_up, *([jar] if jar else [])],
    )
    # one question for both, so that a jar and a drum can never be judged by different rules
    joining, there = classify_vessels([incoming, vessel_content(into)], region)
    for reason in storage.keep_unmixed(joining.storage_groups, there.storage_groups):
        if reason.refused:
            yield Objection(why=reason.why, refused=True, grade=reason.grade)
    # a jar called thinner is no thinner: its own groups say which vessels cannot hold it
    of_the_jar = classify_material(jar, region).storage_groups if jar else frozenset()
    for group in sorted(of_the_jar & KIND_OF_GROUP.keys()):
        yield from (
            objection
            for objection in streams.objections(
                KIND_OF_GROUP[group], vessel=into.drum.vessel, is_vented=into.drum.is_vented, beside=into.kinds
            )
            if objection.refused
        )
    if unknown := [*joining.ungrouped, *(there.ungrouped if jar or poured_over else ())]:
        why = _(
            "Needs info: nobody has said what %(fromkeys)s must be kept from. Look at its supplier’s "
            "sheet first, and write down its storage group, its flash point or its classes."
        ) % {"fromkeys": ", ".join(dict.fromkeys(unknown))}
        yield Objection(why=why, refused=False, grade="ours")
