"""What a label says of the classes of a mixture, and the standards' words for it. data/labels.toml, statements.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.classes import CLASSES, HazardClass, check_classes, most_severe
from chemistry.hazards.regimes import CLP, check_regime
from chemistry.sentences import Sentence

RULES = data_files.read("labels")
PICTOGRAMS: Mapping[str, str] = MappingProxyType(RULES["pictograms"])
EXCLAMATION_MARK = "GHS07"
SMALL_PACKAGE_ML: int = RULES["small_package"]["most_ml"]
AMERICAN = {"vapour": "vapor", "oxidiser": "oxidizer", "CENTRE": "CENTER"}  # 29 CFR 1910.1200 App. C


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What is printed; signal_word is empty where no class has one."""

    signal_word: str
    pictograms: tuple[str, ...]
    h_codes: tuple[str, ...]
    p_codes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """
    A statement in the standard's words.

    grade: how the words are known.
    filled: words of ours stand where the standard leaves a gap.
    source: where they stand, if not in CLP Annex III or IV.
    """

    code: str
    text: str
    grade: str
    filled: bool = False
    source: str = ""


STATEMENTS: Mapping[str, Statement] = MappingProxyType(
    {code: Statement(code=code, **entry) for code, entry in data_files.read("statements").items()}
)


def label(classes: Iterable[str], regime: str) -> Label:
    """
    Return what a label says of these classes; those the regime does not know are left out.

    >>> bath = label(["eye_dam_1", "aq_acute_1", "aq_chronic_2"], "EU")
    >>> bath.signal_word, bath.pictograms, bath.h_codes
    ('Danger', ('GHS05', 'GHS09'), ('H318', 'H400', 'H411'))
    """
    check_regime(regime)
    given = list(classes)
    check_classes(given)
    # a class that a regime does not know must not reach its label: nobody there could look it up
    shown = [CLASSES[id] for id in most_severe(id for id in given if regime in CLASSES[id].regimes)]
    return Label(
        signal_word=signal_word(shown),
        pictograms=pictograms(shown),
        h_codes=without_repeats(h_codes(shown)),
        p_codes=p_codes(shown, regime),
    )


def statement(code: str, regime: str) -> str:
    """
    The words of a hazard or precautionary statement, spelled as the regime does.

    >>> statement("H225", "EU"), statement("H225", "US")
    ('Highly flammable liquid and vapour.', 'Highly flammable liquid and vapor.')
    """
    check_regime(regime)
    if code not in STATEMENTS:
        raise ValueError(f"no such statement: {code}")
    text = STATEMENTS[code].text
    return as_in_america(text) if regime == "US" else text


def as_in_america(text: str) -> str:
    """
    A statement as the United States spell it.

    >>> as_in_america("Highly flammable liquid and vapour.")
    'Highly flammable liquid and vapor.'
    """
    for british, american in AMERICAN.items():
        text = text.replace(british, american)
    return Sentence(text)


def signal_word(shown: Iterable[HazardClass]) -> str:
    """
    >>> signal_word([CLASSES["eye_irrit_2"], CLASSES["eye_dam_1"]])
    'Danger'
    """
    words = {known.signal_word for known in shown}
    return next((word for word in (Sentence("Danger"), Sentence("Warning")) if word in words), "")


def pictograms(shown: Iterable[HazardClass]) -> tuple[str, ...]:
    """
    The exclamation mark is left out beside what says more of the same hazard; for another it may still be drawn.

    >>> pictograms([CLASSES["eye_dam_1"], CLASSES["eye_irrit_2"]])
    ('GHS05',)
    """
    shown = list(shown)
    present = {known.pictogram for known in shown} | {known.id for known in shown}
    found = {known.pictogram for known in shown if known.pictogram and known.pictogram != EXCLAMATION_MARK}
    rules = [rule for rule in RULES["no_exclamation_mark"] if rule["beside"] in present]
    if any(
        known.pictogram == EXCLAMATION_MARK
        and not any(not rule["for_hazards"] or known.hazard in rule["for_hazards"] for rule in rules)
        for known in shown
    ):
        found.add(EXCLAMATION_MARK)
    return tuple(sorted(found))


def h_codes(shown: Iterable[HazardClass]) -> tuple[str, ...]:
    """
    Every class's statement, none left out.

    >>> h_codes([CLASSES["eye_dam_1"], CLASSES["aq_acute_1"]])
    ('H318', 'H400')
    """
    return tuple(sorted({known.h_code for known in shown}))


def without_repeats(codes: Iterable[str]) -> tuple[str, ...]:
    """
    Codes without those whose sentence another of them says already.

    >>> without_repeats(["P261", "P260", "P264"])
    ('P260', 'P264')
    """
    codes = tuple(codes)
    says_less_than = RULES["says_less_than"]
    return tuple(code for code in codes if not set(says_less_than.get(code, ())) & set(codes))


def may_be_left_out(code: str, regime: str) -> bool:
    """
    Whether a statement need not stand on what holds no more than SMALL_PACKAGE_ML; of joined ones, none of the parts.

    >>> may_be_left_out("H319", "EU"), may_be_left_out("H318", "EU"), may_be_left_out("H319", "US")
    (True, False, False)
    """
    check_regime(regime)
    milder = {each for rule in ("small_package", "small_package_recalled") for each in RULES[rule]["milder"]}
    return regime in CLP and set(code.split("+")) <= milder


def p_codes(shown: Iterable[HazardClass], regime: str) -> tuple[str, ...]:
    """
    >>> p_codes([CLASSES["eye_irrit_2"]], "EU")
    ('P264', 'P280', 'P305+P351+P338', 'P337+P313')
    """
    shown = list(shown)
    codes = without_repeats(sorted({code for known in shown for code in known.p_codes}))
    # only CLP asks to choose among them, so that a label stays readable
    if regime not in CLP:
        return codes
    rules = RULES["precautions"]
    kept = {code for known in shown for code in rules["never_without"].get(known.id, ())} & set(codes)
    by_weight = [code for code in rules["order"] if code in codes]
    # last come those that the order does not name, or fewer would be printed than there is room for
    for code in (*by_weight, *codes):
        if len(kept) < rules["eu_count"]:
            kept.add(code)
    return tuple(sorted(kept))
