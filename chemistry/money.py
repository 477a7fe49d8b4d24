"""Money as people write it down: a sign or three letters before or behind, points, commas and apostrophes."""

import re

from chemistry.sentences import Sentence
from chemistry.units import NotUnderstood

SHOWN = {"EUR": "€", "GBP": "£", "USD": "$"}
DOLLARS = frozenset(("USD", "CAD", "AUD", "NZD", "SGD", "HKD"))
# what a sign may mean: common practice, no source
SIGNS = {
    "€": frozenset(("EUR",)),
    "£": frozenset(("GBP",)),
    "$": DOLLARS,
    "FR": frozenset(("CHF",)),
    "SFR": frozenset(("CHF",)),
    "KR": frozenset(("DKK", "NOK", "SEK")),
    "ZŁ": frozenset(("PLN",)),
    "KČ": frozenset(("CZK",)),
    "FT": frozenset(("HUF",)),
    "US$": frozenset(("USD",)),
    "CA$": frozenset(("CAD",)),
    "A$": frozenset(("AUD",)),
    "NZ$": frozenset(("NZD",)),
}
SIGN = r"[^\W\d_]{0,3}\.?[€£$]|[^\W\d_]{2,3}\.?"
LETTER = r"[^\W\d_]"
PRICE = re.compile(
    rf"(?:(?P<before>{SIGN})(?!{LETTER}))?\s*(?P<figures>[-−–+]?\d.*?|[-−–+]?[.,]\d+)(?:[.,][-–—])?"
    rf"\s*(?:(?<!{LETTER})(?P<behind>{SIGN}))?"
)


def figures(text: str, currency: str) -> str:
    """
    The figures of a price, where it names the studio's currency or none; else NotUnderstood.

    >>> [figures(text, "EUR") for text in ("34,95 €", "EUR 1.234,50", "€1 250", "12,-", "1 1/2")]
    ['34,95', '1.234,50', '1 250', '12', '1 1/2']
    >>> figures("CHF 1'234.50", "CHF"), figures("Fr. 5.-", "CHF"), figures("$34.95", "CAD")
    ("1'234.50", '5', '34.95')
    >>> figures("31 sheep", "EUR")
    '31 sheep'
    """
    match = PRICE.fullmatch(" ".join(text.split()))
    if not match or (match["before"] and match["behind"]):
        return text
    sign = (match["before"] or match["behind"] or "").upper().strip(".")
    if sign and currency not in SIGNS.get(sign, {sign}):
        told = Sentence("“%(typed)s” is in another currency; the prices of this book are in %(currency)s.")
        raise NotUnderstood(told % {"typed": text, "currency": currency})
    return match["figures"]
