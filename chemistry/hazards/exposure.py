"""Limits of a substance in the air at a workplace, by who sets them where; figures in data/substances.toml."""

from collections.abc import Iterator

from chemistry.hazards.advice import BenchAdvice
from chemistry.hazards.substances import Substance
from chemistry.sentences import SEMICOLON, Sentence, strung

AUTHORITIES = {"osha": "OSHA", "niosh": "NIOSH", "eu": "EU", "gb": Sentence("Great Britain")}
OF_REGION = {"US": ("osha", "niosh"), "EU": ("eu",), "GB": ("gb",)}


def air_limits(substance: Substance, region: str) -> Iterator[BenchAdvice]:
    """
    Each limit on record, over 8 hours unless it says otherwise; everybody’s where the region has none of its own.

    Where somebody looked for one and found none, that is said: it never means that there is nothing to breathe in.

    >>> from chemistry.hazards.substances import SUBSTANCES
    >>> [each.text for each in air_limits(SUBSTANCES["turpentine"], "elsewhere")][0]
    'OSHA, NIOSH: 100 ppm (560 mg/m³).'
    >>> [each.text for each in air_limits(SUBSTANCES["turpentine"], "eu")]
    ['None on record here: EU.']
    """
    limits = substance.hazards.exposure_limits
    told: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for authority in OF_REGION.get(region.upper(), AUTHORITIES):
        found = limits.get(authority)
        told.setdefault((tuple(found.value), found.grade) if found else ((), "ours"), []).append(authority)
    # what several of them say alike is said once
    for (values, grade), authorities in told.items():
        words = values and strung(values, SEMICOLON)
        names = [AUTHORITIES[each] for each in authorities]
        sources = [limits[each].source for each in authorities if each in limits]
        some, none = Sentence("%(names)s: %(limits)s."), Sentence("None on record here: %(names)s.")
        text = (some if values else none) % {"names": names, "limits": words}
        yield BenchAdvice(
            text=text,
            source=strung(sources, SEMICOLON) if sources else Sentence("ours: nobody has looked"),
            grade=grade,
        )
