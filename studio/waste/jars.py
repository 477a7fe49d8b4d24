"""What a jar of the shelf is, whatever it is called when it is given up."""

from collections.abc import Iterator

from chemistry.hazards import storage
from chemistry.hazards.substances import SUBSTANCES
from chemistry.waste import streams
from chemistry.waste.streams import Objection
from inventory.models import Material
from studio.waste import content as contents
from studio.waste.content import Content
from studio.waste.models import Deposit

SALTS = (Material.BathUse.BLUE_CRYSTALS, Material.BathUse.PALE_POWDER)
# what a storage group is as waste, and nothing else
KIND_OF_GROUP = {
    "flammable": "solvent_spent",
    "copper salt": "bath_spent",
    "salt cleaner": "cleaner_used",
    "bleach": "bleach",
    "oxidiser": "peroxide_mix",
}
USUAL = KIND_OF_GROUP | {"acid": "cleaner_used"}
SCRAP = (Material.Category.GROUNDS, Material.Category.STOP_OUT)


def groups_of(material: Material) -> set[str]:
    """Its storage group; where nobody gave it one, those of what its sheet says it is made of."""
    if material.storage_group:
        return {material.storage_group}
    if material.bath_use in SALTS:
        return {"copper salt"}
    hazards = [SUBSTANCES[each.substance].hazards for each in material.constituents if each.is_known]
    return {group for each in hazards if each.storage_groups for group in each.storage_groups.value}


def usual_kind(material: Material) -> str:
    """What it most likely is as waste; empty where that is not known from the jar."""
    groups = groups_of(material)
    if material.category in SCRAP and groups <= {"flammable", "general"}:
        return "ground_scrap"
    kinds = {USUAL.get(group, "") for group in groups}
    return kinds.pop() if len(kinds) == 1 else ""


def objections(material: Material, into: Content) -> Iterator[Objection]:
    """Why it must not go into a drum, by what it is."""
    drum = into.drum
    for group in sorted(groups_of(material)):
        if group in KIND_OF_GROUP:
            found = streams.objections(
                KIND_OF_GROUP[group], vessel=drum.vessel, is_vented=drum.is_vented, beside=into.kinds
            )
            yield from (objection for objection in found if objection.refused)
    yield from apart(groups_of(material), into)


def apart(groups: set[str], into: Content) -> Iterator[Objection]:
    """Why what belongs to some groups must not meet what is in a drum, the jars given up into it among that."""
    for reason in storage.keep_apart(groups, groups_in(into)):
        if reason.refused:
            yield Objection(why=reason.why, refused=True, grade=reason.grade)


def groups_in(content: Content) -> set[str]:
    """The storage groups of all that is in a drum, poured over or not."""
    found = {group for kind in content.kinds for group in streams.stream(kind).storage_groups}
    return found.union(*(_brought(deposit) for deposit in content.deposits))


def _brought(deposit: Deposit) -> set[str]:
    if deposit.from_drum:
        return groups_in(contents.content_of_drum(deposit.from_drum, before=deposit.entry))
    return groups_of(deposit.container.material) if deposit.container else set()
