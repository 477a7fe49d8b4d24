"""Limits of a substance in the air at a workplace, by who sets them where; figures in data/substances.toml."""

from collections.abc import Iterator

from chemistry.hazards.advice import BenchAdvice
from chemistry.hazards.substances import Substance

AUTHORITIES = {"osha": "OSHA", "niosh": "NIOSH", "eu": "EU", "gb": "Great Britain"}
OF_REGION = {"US": ("osha", "niosh"), "EU": ("eu",), "GB": ("gb",)}


def air_limits(substance: Substance, region: str) -> Iterator[BenchAdvice]:
    """
    Each limit on record, over 8 hours unless it says otherwise; those of everybody where the region has none of its own.

    Where somebody looked for one and found none, that is said: it never means that there is nothing to breathe in.

    >>> from chemistry.hazards.substances import SUBSTANCES
    >>> [each.text for each in air_limits(SUBSTANCES["acetone"], "eu")]
    ['EU: 500 ppm (1210 mg/m³).']
    """
    for authority in OF_REGION.get(region.upper(), AUTHORITIES):
        found = substance.hazards.exposure_limits.get(authority)
        if found is None:
            yield BenchAdvice(text=f"{AUTHORITIES[authority]}: needs info.", source="ours: nobody has looked", grade="ours")
        else:
            words = "; ".join(found.value) or "none on record here"
            yield BenchAdvice(text=f"{AUTHORITIES[authority]}: {words}.", source=found.source, grade=found.grade)
