"""Sheet and wire gauges: a number means one thickness in the American system and another in the British."""

import re

from chemistry import locale
from chemistry.copper.electrolysis import COPPER_G_PER_CM3
from chemistry.measured import digits
from chemistry.quantity import CM_PER_IN, G_PER_LB, IN_PER_FT, OZ_PER_LB
from chemistry.sentences import Sentence
from chemistry.units import NotUnderstood, parse, parse_number
from chemistry.working import formula

MIL_UM = 25.4
UM_PER_CM = 10_000

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
COPPER_WEIGHT = re.compile(
    r"(?P<ounces>\d+(?:[.,]\d+)?) ?(?:oz|ounces?)\.?(?: copper|(?: ?/ ?| per )(?:ft\^?[2²]|sq\.? ?ft|square foot))?",
    re.IGNORECASE,
)


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
    >>> thickness_um("20 oz"), thickness_um("16 oz/ft2"), thickness_um("0.027 in")
    (681, 545, 686)
    """
    tidy = " ".join(text.split())
    if gauge := SYSTEM_FIRST.fullmatch(tidy) or SYSTEM_LAST.fullmatch(tidy):
        thickness = swg_um if gauge["system"].casefold() == "swg" else bs_um
        return round(thickness(int(gauge["number"])))
    if gauge := NO_SYSTEM.fullmatch(tidy):
        number = int(gauge["number"])
        bs, swg = written(bs_um(number)), written(swg_um(number))
        raise NotUnderstood(
            Sentence("Gauge %(number)s is %(bs)s by B&S and %(swg)s by SWG; write %(number)s B&S or %(number)s SWG.")
            % {"number": number, "bs": bs, "swg": swg}
        )
    if weight := COPPER_WEIGHT.fullmatch(tidy):
        return round(um_of_ounces(float(parse_number(weight["ounces"]))))
    return parse(tidy, "thickness")


@formula(
    "d = n oz / (ft² ρ)",
    unit="µm",
    inputs={"ounces": ("n, ounces in a square foot.", "-")},
    source="Definitions of ounce and foot, NIST Handbook 44, Appendix C; density of copper as in `electrolysis`.",
)
def um_of_ounces(ounces: float) -> float:
    """
    Return how thick a sheet of copper is that weighs so many ounces by the square foot. [µm]

    >>> round(um_of_ounces(20) / 25_400, 3)
    0.027
    """
    return ounces * G_PER_LB / OZ_PER_LB / (CM_PER_IN * IN_PER_FT) ** 2 / COPPER_G_PER_CM3 * UM_PER_CM


def written(thickness_um: float) -> str:
    """
    Write the thickness of a sheet of copper as the studio reads it.

    >>> written(1200)
    '1.2 mm'
    >>> with locale.override(locale.Locale(thickness="in")):
    ...     written(685)
    '0.027 in, 20 oz/ft²'
    """
    unit = locale.current().thickness
    if unit == "mil":
        return f"{digits(thickness_um / MIL_UM, 3)} mil"
    if unit == "in":
        return f"{digits(thickness_um / MIL_UM / 1000, 3)} in, {digits(thickness_um / um_of_ounces(1), 2)} oz/ft²"
    return f"{digits(round(thickness_um / 1000, 2))} mm"


def _check(gauge: int) -> None:
    if not 0 <= gauge <= FINEST_GAUGE:
        raise NotUnderstood(
            Sentence("Gauge %(number)s is not between 0 and %(finest)s; write the thickness, like 1.2 mm.")
            % {"number": gauge, "finest": FINEST_GAUGE}
        )
