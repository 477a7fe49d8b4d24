"""What a drum's label says: its kind in plain words, the hazards as far as they can be worked out, and since when."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from chemistry.hazards import composition, labels, mixture
from chemistry.hazards.labels import PICTOGRAMS
from chemistry.hazards.regimes import regime_of
from chemistry.solution import sulfate
from chemistry.waste import streams
from studio.waste.content import Content

COPPER_SULFATE = ("bath_spent", "rinse")  # copper sulfate and water, and nothing else
MG_PER_G = 1000


class Line(NamedTuple):
    code: str
    words: str


@dataclass(frozen=True, kw_only=True)
class Sticker:
    """lines: what it is first. signal_word, signs, statements: of the mixture; empty where nobody can work them out."""

    content: Content
    lines: Sequence[str]
    signal_word: str = ""
    signs: Sequence[Line] = ()
    statements: Sequence[Line] = ()
    worked_out: str = ""


def of(content: Content, *, region: str, counted_as_hazardous: bool = False) -> Sticker:
    """counted_as_hazardous: by whoever judged it for the place the studio is in; never by the book."""
    lines = streams.label_lines(content.drum.kind, region=region, counted_as_hazardous=counted_as_hazardous)
    copper = content.copper_per_l
    if content.kinds != [content.drum.kind] or content.drum.kind not in COPPER_SULFATE or copper is None:
        return Sticker(content=content, lines=lines)
    most_mg_per_l = copper.value + (copper.half_width or 0.0)
    return _classified(content, lines, most_mg_per_l / MG_PER_G / sulfate.COPPER_PER_BLUE, regime_of(region))


def _classified(content: Content, lines: Sequence[str], strength_g_per_l: float, regime: str) -> Sticker:
    """By the most copper it may hold; where a regime has no aquatic hazards they are added all the same."""
    strongest = sulfate.strength_g_per_l(sulfate.HIGHEST_MASS_FRACTION, 20)
    blue_percent = composition.blue_percent(min(strength_g_per_l, strongest))
    found = mixture.classify(composition.bath(blue_percent, dried_off=0), regime)
    label = labels.label(found.classes, regime)
    environment = labels.label(found.environment, "UN")
    return Sticker(
        content=content,
        lines=lines,
        signal_word=label.signal_word,
        signs=[Line(code, PICTOGRAMS[code]) for code in dict.fromkeys((*label.pictograms, *environment.pictograms))],
        statements=[Line(code, labels.statement(code, regime)) for code in (*label.h_codes, *environment.h_codes)],
        worked_out=f"Hazards of copper sulfate in water at {strength_g_per_l:.3g} g/L, the most it may hold",
    )
