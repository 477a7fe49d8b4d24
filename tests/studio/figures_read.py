"""What no page may make of a figure: an exponent, or a value on one line and its ± or unit on the next."""

import re
from html import unescape

HIDDEN = re.compile(r"<(script|style|svg|textarea|select)\b.*?</\1>", re.DOTALL)
EXPONENT = re.compile(r"(?<![\w#.-])\d+(?:\.\d+)?e[-+]?\d{2}\b")
BREAKABLE = re.compile(r"\d[ \n]+±|±[ \n]+\d+|(?<=±\u00a0)[\d.,]+[ \n]+(?:g|mg|kg|L|mL|A|V|%|°|µm|mil|cm|mm|min)\b")


def badly_written(html: str) -> list[str]:
    """
    Every figure of a page that is written so.

    >>> badly_written("<p>4e-05 g, 251 ± 6 g/L; <b title='1e-05'>#5e12</b></p>")
    ['4e-05', '1 ±']
    >>> badly_written("<p>251&nbsp;±&nbsp;6&nbsp;g/L</p>")
    []
    """
    text = unescape(re.sub(r"<[^>]+>", "", HIDDEN.sub("", html)))
    return [found.group() for pattern in (EXPONENT, BREAKABLE) for found in pattern.finditer(text)]
