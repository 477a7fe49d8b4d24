"""Hazard and precautionary statements as somebody types them off a supplier's sheet, one a line."""

import re

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.hazards import mixture
from chemistry.hazards.labels import STATEMENTS
from inventory.wording import translated_text
from studio.hazards.classification import LabelStatement

MOST_LINES = 40
LONGEST_WORDS = 300
CODE = r"(?:EUH|H|P)\s?\d{3}[A-Za-z]{0,3}"
LINE = re.compile(rf"(?P<code>{CODE}(?:\s*\+\s*{CODE})*)\s*[:.,;–-]?\s*(?P<words>.*)")


def read(text: str, regime: str, *, letters: tuple[str, ...]) -> tuple[LabelStatement, ...]:
    """
    The statements, or ValueError with the line that cannot be one. Words left out are the standard's, as far as known.

    letters: what their codes begin with.

    >>> read("H225\\nEUH066 Dries the skin.", "EU", letters=("H", "EUH"))[1]
    LabelStatement(code='EUH066', words='Dries the skin.')
    """
    typed = [" ".join(line.split()) for line in text.splitlines() if line.strip()]
    if len(typed) > MOST_LINES:
        words = ngettext(
            "More than %(most)s line: one line for each statement.",
            "More than %(most)s lines: one line for each statement.",
            MOST_LINES,
        )
        raise ValueError(words % {"most": MOST_LINES})
    # copied twice off a sheet that repeats itself, a statement still counts once
    return tuple(dict.fromkeys(read_statement(line, regime, letters) for line in typed))


def written(lines) -> str:
    return "\n".join(f"{code} {translated_text(words)}" for code, words in lines)


def read_statement(line: str, regime: str, letters: tuple[str, ...]) -> LabelStatement:
    match = LINE.fullmatch(line)
    if not match or not match["code"].startswith(letters):
        example = f"{letters[0]}{'319' if 'H' in letters else '280'}"
        words = _("“%(line)s” does not begin with a code such as %(example)s.")
        raise ValueError(words % {"line": line[:60], "example": example})
    code = re.sub(r"\s", "", match["code"])
    says = match["words"][:LONGEST_WORDS] or (mixture.statement(code, regime) if code in STATEMENTS else "")
    if not says:
        words = _("The words of %(code)s are not on our list: copy them from the sheet, after the code.")
        raise ValueError(words % {"code": code})
    return LabelStatement(code, says)
