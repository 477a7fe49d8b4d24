"""
What must not stand together, what must not be poured together, and how much flammable liquid a room may hold.

They are two lists: closed vessels side by side are another question than one vessel. data/storage.toml
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.physical import CATEGORY_3_TO_C
from chemistry.hazards.substances import SUBSTANCES
from chemistry.sentences import Sentence

FLAMMABLE, GENERAL = "flammable", "general"
WARMEST_ROOM_C = 32  # nominally, HSE as quoted in trade guides


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageGroup:
    """
    A storage group: its name, what belongs to it, where it stands, and the statements that put a thing into it.

    by_itself: nobody chooses it for a material, it follows from what stands there.
    like: the group whose advice holds for it as well.
    """

    id: str
    name: str
    what: str
    where: str
    h_codes: tuple[str, ...] = ()
    by_itself: bool = False
    like: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """
    Why two groups are kept apart, on a shelf or in a vessel.

    refused: never together, whoever asks; otherwise better apart.
    """

    pair: tuple[str, str]
    why: str
    refused: bool
    source: str
    grade: str

    @property
    def groups(self) -> tuple[StorageGroup, StorageGroup]:
        one, other = self.pair
        return GROUPS[one], GROUPS[other]

    @property
    def word(self) -> str:
        return Sentence("never") if self.refused else Sentence("better not")


@dataclass(frozen=True, slots=True, kw_only=True)
class FlammablesLimit:
    """
    How much flammable liquid a rule allows in a kind of place, or our own default warns of. [L]

    regions: where it holds; none stands for everywhere. counts: "all", "warm" for what flashes in a warm room, "rest".
    """

    id: str
    place: str
    litres: Fraction
    says: str
    source: str
    grade: str
    regions: tuple[str, ...] = ()
    counts: str = "all"


FACTS = data_files.read("storage")
GROUPS: Mapping[str, StorageGroup] = MappingProxyType(
    {
        id: StorageGroup(id=id, **entry | {"h_codes": tuple(entry.get("h_codes", ()))})
        for id, entry in FACTS["groups"].items()
    }
)
CHOSEN = tuple(group for group in GROUPS.values() if not group.by_itself)
STANDING, MIXING = (
    tuple(Reason(**entry | {"pair": tuple(entry["pair"])}) for entry in FACTS[purpose])
    for purpose in ("standing", "mixing")
)
FLAMMABLES_LIMITS = tuple(
    FlammablesLimit(**entry | {"litres": Fraction(entry["litres"]), "regions": tuple(entry.get("regions", ()))})
    for entry in FACTS["limit"]
)


def storage_groups(
    *, substances: Iterable[str] = (), h_codes: Iterable[str] = (), flash_point_c: float | None = None
) -> frozenset[str]:
    """
    Every group that something belongs to by what is known of it; none says only that nobody knows.

    substances: keys of what it is made of. h_codes: its hazard statements, of a sum or of its supplier's sheet.

    >>> sorted(storage_groups(substances=["acetic_acid_5pct"], h_codes=["H271"], flash_point_c=60))
    ['flammable', 'oxidiser', 'weak acid']
    """
    codes = set(h_codes)
    facts = [SUBSTANCES[key].hazards.storage_groups for key in substances if key in SUBSTANCES]
    groups = {group for fact in facts if fact for group in fact.value}
    groups |= {group.id for group in GROUPS.values() if codes.intersection(group.h_codes)}
    flashes = flash_point_c is not None and flash_point_c <= CATEGORY_3_TO_C
    return frozenset(groups | {FLAMMABLE} if flashes else groups)


def flammables_limits(place: str, region: str) -> tuple[FlammablesLimit, ...]:
    """
    The limits of a cabinet, the bench or outside a cabinet; without any, none is on record and somebody must be asked.

    >>> [float(limit.litres) for limit in flammables_limits("cabinet", "gb")]
    [50.0, 250.0]
    >>> flammables_limits("cabinet", "eu")
    ()
    """
    return tuple(
        limit
        for limit in FLAMMABLES_LIMITS
        if limit.place == place and (not limit.regions or region.lower() in limit.regions)
    )


def flashes_in_a_warm_room(flash_point_c: float | None) -> bool:
    """
    Whether it gives off enough vapour to catch fire where nobody heats it; it may, where nobody knows.

    >>> flashes_in_a_warm_room(27), flashes_in_a_warm_room(38), flashes_in_a_warm_room(None)
    (True, False, True)
    """
    return flash_point_c is None or flash_point_c <= WARMEST_ROOM_C


def with_kin(groups: Iterable[str]) -> frozenset[str]:
    """
    Groups, and those whose advice holds for them as well.

    >>> sorted(with_kin(["weak acid"]))
    ['acid', 'weak acid']
    """
    return frozenset(kin for group in groups for kin in (group, group in GROUPS and GROUPS[group].like) if kin)


def keep_apart(groups_a: Iterable[str], groups_b: Iterable[str]) -> list[Reason]:
    """
    Why what belongs to some groups must not stand beside what belongs to others, each in its closed vessel.

    An empty list says only that no reason is on record.

    >>> [reason.why for reason in keep_apart(["weak acid"], ["bleach", "carbonate"])]
    ['Chlorine gas: vinegar is acid enough.']
    """
    return reasons_between(STANDING, groups_a, groups_b)


def keep_unmixed(groups_a: Iterable[str], groups_b: Iterable[str]) -> list[Reason]:
    """
    Why what belongs to some groups must not be poured to what belongs to others.

    An empty list says only that no reason is on record.

    >>> [reason.why for reason in keep_unmixed(["weak acid"], ["carbonate"])]
    ['It foams; never in a closed vessel.']
    """
    return reasons_between(MIXING, groups_a, groups_b)


def reasons_between(reasons: Iterable[Reason], groups_a: Iterable[str], groups_b: Iterable[str]) -> list[Reason]:
    """
    Those of the reasons that stand between a group of one and a group of the other; ValueError for an unknown group.

    >>> reasons_between([], ["acids"], ["bleach"])
    Traceback (most recent call last):
        ...
    ValueError: no such storage group: acids
    """
    some, others = set(groups_a), set(groups_b)
    unknown = (some | others) - GROUPS.keys()
    # a group misspelt would be kept from nothing, and that would read as clear
    if unknown:
        raise ValueError(f"no such storage group: {', '.join(sorted(unknown))}")
    return [
        reason
        for reason in reasons
        for one, other in [reason.pair]
        if (one in some and other in others) or (one in others and other in some)
    ]
