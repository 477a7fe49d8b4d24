"""What a drum's label prints: its kind in plain words, what the classifier says of it, and since when."""

from collections.abc import Sequence
from dataclasses import dataclass

from chemistry.waste import streams
from studio.hazards.classification import Hazards
from studio.waste.content import Content
from studio.waste.hazards import classify_drum
from studio.waste.models import TestResult


@dataclass(frozen=True, kw_only=True)
class DrumLabel:
    """lines: what it is first. outdated: tests of before something else went in."""

    content: Content
    lines: Sequence[str]
    hazards: Hazards
    outdated: Sequence[str] = ()


def drum_label(content: Content, *, region: str, counted_as_hazardous: bool = False) -> DrumLabel:
    """counted_as_hazardous: by whoever judged it for the place the studio is in; never by the book."""
    lines = streams.label_lines(content.drum.kind, region=region, counted_as_hazardous=counted_as_hazardous)
    outdated = content.outdated(TestResult.Quantity)
    return DrumLabel(content=content, lines=lines, hazards=classify_drum(content, region), outdated=outdated)
