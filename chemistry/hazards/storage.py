"""What must not stand or be poured together, and how much flammable liquid a room may hold. data/storage.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A storage group: its name, what belongs to it, where it stands."""

    id: str
    name: str
    what: str
    where: str


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
GROUPS: Mapping[str, Group] = MappingProxyType({id: Group(id=id, **entry) for id, entry in FACTS["groups"].items()})
REASONS = tuple(Reason(**entry | {"pair": tuple(entry["pair"])}) for entry in FACTS["apart"])
FLAMMABLES_LIMITS: Mapping[str, FlammablesLimit] = MappingProxyType(
    {entry["id"]: FlammablesLimit(**entry | {"litres": Fraction(entry["litres"])}) for entry in FACTS["limit"]}
)


def keep_apart(groups_a: Iterable[str], groups_b: Iterable[str]) -> list[Reason]:
    """
    Why what belongs to some groups must not stand beside what belongs to others.

    An empty list says only that no reason is on record.

    >>> [reason.why for reason in keep_apart(["acid"], ["bleach"])]
    ['Chlorine gas: vinegar is acid enough.']
    """
    some, others = set(groups_a), set(groups_b)
    unknown = (some | others) - GROUPS.keys()
    if unknown:
        raise ValueError(f"no such storage group: {', '.join(sorted(unknown))}")
    return [reason for reason in REASONS if _meets(reason.pair, some, others)]


def _meets(pair: tuple[str, str], some: set[str], others: set[str]) -> bool:
    one, other = pair
    return (one in some and other in others) or (one in others and other in some)
