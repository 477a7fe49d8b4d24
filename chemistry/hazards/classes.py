"""The hazard classes a workshop meets; facts in data/classes.toml, in the standards' order."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files
from chemistry.sentences import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class HazardClass:
    """
    One category of one hazard, and what a label says of it.

    relevant_from_percent: an ingredient of this class below it is left out of the sums.
    p_codes: the precautionary statements a label chooses from.
    grade: how these statements are known.
    """

    id: str
    name: str
    category: str
    hazard: str
    h_code: str
    pictogram: str
    signal_word: str
    regimes: frozenset[str]
    relevant_from_percent: Fraction
    p_codes: tuple[str, ...]
    grade: str

    def __str__(self) -> str:
        return Sentence("%(name)s, category %(category)s") % {"name": self.name, "category": self.category}


CLASSES: Mapping[str, HazardClass] = MappingProxyType(
    {
        id: HazardClass(
            id=id,
            **entry
            | {
                "regimes": frozenset(entry["regimes"]),
                "relevant_from_percent": Fraction(entry["relevant_from_percent"]),
                "p_codes": tuple(entry["p_codes"]),
            },
        )
        for id, entry in data_files.read("classes")["class"].items()
    }
)


def check_classes(ids: Iterable[str]) -> None:
    """
    >>> check_classes(["eye_dam_1", "itchy"])
    Traceback (most recent call last):
    ValueError: no such hazard class: itchy
    """
    unknown = [id for id in ids if id not in CLASSES]
    if unknown:
        raise ValueError(f"no such hazard class: {', '.join(map(str, unknown))}")


def most_severe(ids: Iterable[str]) -> tuple[str, ...]:
    """
    Keep the most severe class of each hazard, in the standards' order.

    >>> most_severe(["aq_chronic_3", "eye_irrit_2", "eye_dam_1", "aq_acute_1"])
    ('eye_dam_1', 'aq_acute_1', 'aq_chronic_3')
    """
    given = set(ids)
    check_classes(given)
    # the file lists each hazard with its most severe category first, so the first one found is kept
    kept: dict[str, str] = {}
    for known in CLASSES.values():
        if known.id in given:
            kept.setdefault(known.hazard, known.id)
    return tuple(kept.values())
