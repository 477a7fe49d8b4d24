"""What must not stand or be poured together, and how much flammable liquid a room may hold. data/storage.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.physical import CATEGORY_3_TO_C
from chemistry.hazards.substances import SUBSTANCES

FLAMMABLE = "flammable"


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageGroup:
    """A storage group: its name, what belongs to it, where it stands, and the statements that put a thing into it."""

    id: str
    name: str
    what: str
    where: str
    h_codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """
    Why two groups are kept apart.

    refused: never in one vessel, whoever asks; otherwise apart on the shelf, and together only with care.
    """

    pair: tuple[str, str]
    why: str
    refused: bool
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlammablesLimit:
    """How much flammable liquid a rule allows, or our own default warns of. [L]"""

    id: str
    litres: Fraction
    says: str
    source: str
    grade: str


FACTS = data_files.read("storage")
GROUPS: Mapping[str, StorageGroup] = MappingProxyType(
    {
        id: StorageGroup(id=id, **entry | {"h_codes": tuple(entry.get("h_codes", ()))})
        for id, entry in FACTS["groups"].items()
    }
)
REASONS = tuple(Reason(**entry | {"pair": tuple(entry["pair"])}) for entry in FACTS["apart"])
FLAMMABLES_LIMITS: Mapping[str, FlammablesLimit] = MappingProxyType(
    {entry["id"]: FlammablesLimit(**entry | {"litres": Fraction(entry["litres"])}) for entry in FACTS["limit"]}
)


def storage_groups(
    *, substances: Iterable[str] = (), h_codes: Iterable[str] = (), flash_point_c: float | None = None
) -> frozenset[str]:
    """
    Every group that something belongs to by what is known of it; none says only that nobody knows.

    substances: keys of what it is made of. h_codes: its hazard statements, of a sum or of its supplier's sheet.

    >>> sorted(storage_groups(substances=["acetic_acid_5pct"], h_codes=["H271"], flash_point_c=60))
    ['acid', 'flammable', 'oxidiser']
    """
    codes = set(h_codes)
    facts = [SUBSTANCES[key].hazards.storage_groups for key in substances if key in SUBSTANCES]
    groups = {group for fact in facts if fact for group in fact.value}
    groups |= {group.id for group in GROUPS.values() if codes.intersection(group.h_codes)}
    flashes = flash_point_c is not None and flash_point_c <= CATEGORY_3_TO_C
    return frozenset(groups | {FLAMMABLE} if flashes else groups)


def keep_apart(groups_a: Iterable[str], groups_b: Iterable[str]) -> list[Reason]:
    """
    Why what belongs to some groups must not stand beside what belongs to others.

    An empty list says only that no reason is on record.

    >>> [reason.why for reason in keep_apart(["acid"], ["bleach"])]
    ['Chlorine gas: vinegar is acid enough.']
    """
    some, others = set(groups_a), set(groups_b)
    unknown = (some | others) - GROUPS.keys()
    # a group misspelt would be kept from nothing, and that would read as clear
    if unknown:
        raise ValueError(f"no such storage group: {', '.join(sorted(unknown))}")
    return [
        reason
        for reason in REASONS
        for one, other in [reason.pair]
        if (one in some and other in others) or (one in others and other in some)
    ]
