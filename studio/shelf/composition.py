"""What a material is made of, typed a line each as the supplier's sheet tells it."""

import re

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.hazards.substances import recognised_part
from chemistry.measured import digits
from inventory.models import Constituent
from studio.pages.fields import ends

LONGEST_LIST = 30
LINE = re.compile(r"(?P<name>.*?\S)\s*[:,]?\s+(?P<percent>\d[\d.,]*(?:\s*(?:-|–|to)\s*\d[\d.,]*)?)\s*%?")


def read(text: str) -> list[Constituent]:
    """
    The parts, or ValueError with the line that has no single meaning.

    >>> [str(part) for part in read("Acetone 20-30 %")]
    ['Acetone 20–30 %']
    """
    lines = [" ".join(line.split()) for line in text.splitlines() if line.strip()]
    if len(lines) > LONGEST_LIST:
        words = ngettext(
            "More than %(most)s line; write down those with the largest share.",
            "More than %(most)s lines; write down those with the largest share.",
            LONGEST_LIST,
        )
        raise ValueError(words % {"most": LONGEST_LIST})
    parts = [read_part(line) for line in lines]
    # the low ends: ranges may well reach above the whole together
    least = sum(part.low_percent for part in parts)
    if least > 100:
        words = _("Together that is %(least)s %% at the least, more than the whole; look again at the lines.")
        raise ValueError(words % {"least": digits(least)})
    return parts


def written(parts) -> str:
    """The same as somebody would type it again."""
    ends = ((part.name, digits(part.low_percent), digits(part.high_percent)) for part in parts)
    return "\n".join(f"{name} {low}-{high} %" if low != high else f"{name} {high} %" for name, low, high in ends)


def read_part(line: str) -> Constituent:
    match = LINE.fullmatch(line)
    if not match or len(match["name"]) > 80:
        words = _("“%(line)s” is not a name and its percent; write it like Acetone 20-30.")
        raise ValueError(words % {"line": line[:60]})
    low, high = ends(match["percent"])
    if high > 100:
        raise ValueError(_("“%(line)s” is more than 100 %%.") % {"line": line[:60]})
    # a part that is in no table is kept by its name: left out, what is known of the rest would pass for the whole
    known = recognised_part(match["name"])
    return Constituent(
        name=match["name"],
        substance=known.substance.key if known else "",
        of_part=bool(known and known.of_part),
        low_percent=low,
        high_percent=high,
    )
