"""Sheet and wire gauges: a number means one thickness in the American system and another in the British."""

import re

from chemistry.sentences import Sentence
from chemistry.units import NotUnderstood, parse, show
from chemistry.working import formula

MIL_UM = 25.4

# BS 3737:1964, withdrawn; thousandths of an inch, gauges 0 to 40
SWG_MILS = (
    *(324.0, 300.0, 276.0, 252.0, 232.0, 212.0, 192.0, 176.0, 160.0, 144.0),
    *(128.0, 116.0, 104.0, 92.0, 80.0, 72.0, 64.0, 56.0, 48.0, 40.0),
    *(36.0, 32.0, 28.0, 24.0, 22.0, 20.0, 18.0, 16.4, 14.8, 13.6),
    *(12.4, 11.6, 10.8, 10.0, 9.2, 8.4, 7.6, 6.8, 6.0, 5.2),
    4.8,
)
FINEST_GAUGE = 40

SYSTEM = r"(?P<system>b&s|awg|swg)"
WORD = r"(?:gauge|ga\.?)"
NUMBER = r"(?P<number>[0-9]{1,2})"
SYSTEM_FIRST = re.compile(rf"{SYSTEM} ?{WORD}? ?{NUMBER}", re.IGNORECASE)
SYSTEM_LAST = re.compile(rf"{NUMBER} ?{WORD}? ?{SYSTEM}", re.IGNORECASE)
NO_SYSTEM = re.compile(rf"{NUMBER} ?{WORD}", re.IGNORECASE)


@formula(
    "d = 0.005 in · 92^((36 - n) / 39)",
    unit="µm",
    inputs={"gauge": ("n, 0 to 40.", "-")},
    source="ASTM B258, standard nominal diameters of solid round wires.",
)
def bs_um(gauge: int) -> float:
    """
    Return the thickness of a Brown & Sharpe gauge, which is also the American wire gauge. [µm]

    >>> round(bs_um(16))
    1291
    """
    _check(gauge)
    return float(5 * MIL_UM * 92 ** ((36 - gauge) / 39))


@formula("Table of the standard.", unit="µm", inputs={"gauge": ("n, 0 to 40.", "-")}, source="BS 3737:1964, withdrawn.")
def swg_um(gauge: int) -> float:
    """
    Return the thickness of a British standard wire gauge. [µm]

    >>> round(swg_um(16))
    1626
    """
    _check(gauge)
    return SWG_MILS[gauge] * MIL_UM


def thickness_um(text: str) -> int:
    """
    Read a sheet's thickness, in a unit or by a gauge that names its system, or raise NotUnderstood. [µm]

    Source: the gauges as in `bs_um` and `swg_um`.

    >>> thickness_um("18 ga B&S"), thickness_um("SWG 18"), thickness_um("1.2 mm")
    (1024, 1219, 1200)
    """
    tidy = " ".join(text.split())
    if gauge := SYSTEM_FIRST.fullmatch(tidy) or SYSTEM_LAST.fullmatch(tidy):
        thickness = swg_um if gauge["system"].casefold() == "swg" else bs_um
        return round(thickness(int(gauge["number"])))
    if gauge := NO_SYSTEM.fullmatch(tidy):
        number = int(gauge["number"])
        bs, swg = show(round(bs_um(number)), "thickness", "mm"), show(round(swg_um(number)), "thickness", "mm")
        raise NotUnderstood(
            Sentence("Gauge %(number)s is %(bs)s by B&S and %(swg)s by SWG; write %(number)s B&S or %(number)s SWG.")
            % {"number": number, "bs": bs, "swg": swg}
        )
    return parse(tidy, "thickness")


def _check(gauge: int) -> None:
    if not 0 <= gauge <= FINEST_GAUGE:
        raise NotUnderstood(
            Sentence("Gauge %(number)s is not between 0 and %(finest)s; write the thickness, like 1.2 mm.")
            % {"number": gauge, "finest": FINEST_GAUGE}
        )
