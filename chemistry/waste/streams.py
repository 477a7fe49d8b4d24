"""Kinds of waste: what each is, what it is kept in, what may join it, what its label says. data/streams.toml"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain
from types import MappingProxyType
from typing import Any

from chemistry import data_files
from chemistry.hazards import storage
from chemistry.hazards.substances import SUBSTANCES
from chemistry.sentences import OR, Sentence, strung

TABLES = data_files.read("streams")
FULL_AT_PERCENT = 90  # the rest is room to swell and to pour; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """
    A kind of waste; each kind is kept in vessels of its own.

    label: lines for the vessel, what it is first.
    vessels: what it is kept in; keys of VESSELS.
    properties: what the kind alone says, by the keys of data/vocabulary.toml; its key is among them.
    rules: ids of the rules that most often matter for it.
    self_heats: catches fire by itself.
    is_copper_solution: copper sulfate and water, and nothing else.
    at_worst: the substance that it may be all of; empty where nobody can say.
    beside: what else it is made of where it came out of a bath that is known. stray: what may still be among it.
    """

    id: str
    title: str
    what: str
    label: tuple[str, ...]
    storage_groups: tuple[str, ...]
    vessels: tuple[str, ...]
    keeping: str
    keep_from: str
    first_choice: str
    route: str
    never: tuple[str, ...]
    treatment: str
    rules: tuple[str, ...]
    properties: Mapping[str, object]
    self_heats: bool = False
    is_copper_solution: bool = False
    at_worst: str = ""
    beside: tuple[str, ...] = ()
    stray: str = ""

    @property
    def is_solid_metal(self) -> bool:
        """
        >>> stream("cathode_copper").is_solid_metal, stream("cathode_powder").is_solid_metal
        (True, False)
        """
        return bool(self.at_worst) and SUBSTANCES[self.at_worst].is_solid_metal

    def __str__(self) -> str:
        return self.title


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """What a vessel is made of."""

    id: str
    name: str
    is_metal: bool = False


@dataclass(frozen=True, slots=True)
class Objection:
    """
    Why a waste should not go in.

    refused: it must not, whoever asks; otherwise somebody may, who says why.
    grade: how this is known.
    """

    why: str
    refused: bool
    grade: str


def stream_of_entry(id: str, entry: dict[str, Any]) -> Stream:
    """
    A kind of waste as its table has it, none of it to be changed.

    >>> stream_of_entry("rinse", TABLES["streams"]["rinse"]) == STREAMS["rinse"]
    True
    """
    frozen = {name: tuple(value) for name, value in entry.items() if isinstance(value, list)}
    properties = MappingProxyType({"kind": id} | entry["properties"])
    return Stream(id=id, **entry | frozen | {"properties": properties})


STREAMS: Mapping[str, Stream] = MappingProxyType(
    {id: stream_of_entry(id, entry) for id, entry in TABLES["streams"].items()}
)
VESSELS: Mapping[str, Vessel] = MappingProxyType(
    {id: Vessel(id=id, **entry) for id, entry in TABLES["vessels"].items()}
)


def objections(kind: str, *, vessel: str, is_vented: bool, beside: Iterable[str] = ()) -> list[Objection]:
    """
    Why a kind of waste should not go into a vessel, the weightiest reasons first.

    vessel: what it is made of, a key of VESSELS. is_vented: gas can get out of it, or its cap is loose.
    beside: the kinds that are in it already. An empty list says only that no reason is on record.

    >>> for each in objections("bath_spent", vessel="steel", is_vented=True, beside=["cleaner_used"]):
    ...     print(each.refused, each.why.split(":")[0])
    True Chloride in the bath changes the deposit and can form chlorine at the anode under current.
    True Copper liquids are kept in HDPE or PP only
    """
    if vessel not in VESSELS:
        raise ValueError(f"no such vessel: {vessel}; it must be one of {', '.join(VESSELS)}")
    joining, container = stream(kind), VESSELS[vessel]
    found = chain(
        chain.from_iterable(against_joining(joining, stream(other)) for other in beside),
        against_vessel(joining, container),
        () if is_vented else map(objection, (entry for entry in TABLES["pressure"] if kind in entry["kinds"])),
    )
    # once each: two kinds that are in it may object for the same reason
    return sorted(dict.fromkeys(found), key=lambda each: not each.refused)


def label_lines(kind: str, *, region: str, counted_as_hazardous: bool = False) -> tuple[str, ...]:
    """
    What a vessel's label says of the kind, line by line; the start date and whose it is come beside it.

    >>> label_lines("rinse", region="us", counted_as_hazardous=True)[:2]
    ('Hazardous Waste', 'Copper waste: rinse water')
    """
    # 40 CFR 262.15(a)(5), 262.16(b)(6): these very words
    marked = (Sentence("Hazardous Waste"),) if counted_as_hazardous and region.lower() == "us" else ()
    return (*marked, *stream(kind).label)


def companions(kind: str) -> dict[str, str]:
    """
    The other kinds that may share a vessel with this one, each with why and within what.

    >>> companions("bath_spent")
    {'rinse': 'Both are copper sulfate in water. Only a rinse whose plates met nothing but the bath.'}
    """
    return {
        other: entry["why"]
        for entry in TABLES["together"]
        if stream(kind).id in entry["kinds"]
        for other in entry["kinds"]
        if other != kind
    }


def may_give_off_gas(kind: str) -> bool:
    """
    Whether something speaks against a tight lid on it, its own or that of what may be in it.

    >>> may_give_off_gas("sludge"), may_give_off_gas("rinse")
    (True, False)
    """
    return any(stream(kind).id in entry["kinds"] for entry in TABLES["pressure"])


def stream(kind: str) -> Stream:
    """
    >>> print(stream("rinse"))
    Plate rinse water
    """
    if kind not in STREAMS:
        raise ValueError(f"no such kind of waste: {kind}")
    return STREAMS[kind]


def against_joining(joining: Stream, standing: Stream) -> Iterator[Objection]:
    """
    What speaks against pouring one kind of waste to another.

    >>> [each.refused for each in against_joining(stream("bath_spent"), stream("cleaner_used"))]
    [True]
    """
    if joining == standing:
        return
    reasons = [
        *(
            objection(entry)
            for entry in TABLES["apart"]
            if (joining.id in entry["one"] and standing.id in entry["other"])
            or (standing.id in entry["one"] and joining.id in entry["other"])
        ),
        *(
            Objection(why=reason.why, refused=reason.refused, grade=reason.grade)
            for reason in storage.keep_unmixed(joining.storage_groups, standing.storage_groups)
        ),
    ]
    yield from reasons
    # silence on record is no leave to pour
    if not reasons and standing.id not in companions(joining.id):
        yield Objection(
            why=Sentence("Nothing on record says that these may share a vessel: %(one)s; %(other)s. Use one for each.")
            % {"one": joining, "other": standing},
            refused=False,
            grade="ours",
        )


def against_vessel(joining: Stream, container: Vessel) -> Iterator[Objection]:
    """
    What speaks against keeping a kind of waste in a vessel.

    >>> [each.refused for each in against_vessel(stream("bath_spent"), VESSELS["steel"])]
    [True]
    """
    reasons = [
        objection(entry)
        for entry in TABLES["unfit"]
        if joining.id in entry["kinds"] and container.id in entry["vessels"]
    ]
    yield from reasons
    if not reasons and container.id not in joining.vessels:
        usual = strung((VESSELS[id].name for id in joining.vessels), OR)
        why = Sentence("It is usually kept in %(usual)s, not in %(this)s.") % {"usual": usual, "this": container.name}
        yield Objection(why=why, refused=False, grade="ours")


def objection(entry: Mapping[str, Any]) -> Objection:
    """
    What a table says against something.

    >>> objection({"why": "It eats steel.", "refused": True, "grade": "ours"}).why
    'It eats steel.'
    """
    return Objection(why=entry["why"], refused=entry["refused"], grade=entry["grade"])
