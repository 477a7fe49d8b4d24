"""How much of it there is by a list: in how many containers, and what is in each, however people write that down."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.utils.translation import gettext as _

from chemistry import locale, units, vessels
from chemistry.locale import Locale
from inventory.cells import CellNotUnderstood
from inventory.headings import plain
from inventory.models import Material
from inventory.wording import translated
from inventory.workbooks import NOT_WORKED_OUT

THOUSANDS, DECIMALS = "thousands", "decimals"
MOST_CONTAINERS = 500
ABOUT = re.compile(
    r"^(?:~|≈|ca?\.?(?=\s|\d)|circa|approx\.?|about|around|roughly|etwa|ungefähr|rund|env\.?|environ|noch)\s*", re.I
)
NONE_LEFT = frozenset(
    units.words(
        "empty none nil zero out gone leer aus keine alle vide rien epuise aucun vacio nada vuoto finito leeg op"
    )
)
BELOW_NOTHING = re.compile(r"[-−–]\s*\d")
RUN = re.compile(r"\d(?:[\d.,'’ \u00a0\u2007\u2009\u202f]*\d)?")
IN_GROUPS = re.compile(r"\d{1,3}(?:[ '’\u00a0\u2007\u2009\u202f]\d{3})+(?:[.,]\d+)?")
MARKS = {
    "comma": re.compile(r"\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:,\d{3}){2,}"),
    "point": re.compile(r"\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,}"),
}
EITHER = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")


@dataclass(frozen=True)
class AmountRead:
    """each: in base units. unit: its dimension, and the one to show it in."""

    containers: int
    each: int
    unit: tuple[str, str]


@dataclass(frozen=True)
class Measures:
    """
    How a studio and its list write figures down.

    imperial: whether a pint is one of Great Britain. thousand: what a mark before three figures is in this list; empty
    where nobody has said.
    """

    cups: units.Cups = "metric"
    imperial: bool = False
    thousand: str = ""


@locale.override(Locale())  # a list goes by its own marks, not by the studio's
def read(row: Mapping[str, str], *, known: tuple[str, str] | None, measures: Measures) -> AmountRead:
    """The amount of one row. known: what its material is measured in, if that is known."""
    amount, unit, count, size = (row.get(name, "").strip() for name in ("amount", "unit", "count", "size"))
    for typed in (amount, count, size):
        if typed == NOT_WORKED_OUT:
            told = _(
                "It is a formula that was never worked out. Open the file in a spreadsheet and save it, or type it."
            )
            raise CellNotUnderstood(told)
    if size and not any(map(str.isdigit, size)):
        unit, size = unit or size, ""  # so many boxes, under a heading that asks for their size
    if unit and count and not (amount or size):
        amount, count = count, ""
    text = amount if vessels.has_letter(amount) or not (amount and unit) else f"{amount} {unit}"
    if is_none_left(text) and not known:
        known = known_by(unit or size, measures)
    if size and (not vessels.has_letter(text) or is_countable(text)):
        # so many of a size; the number of them may stand under either heading
        times, text = (
            number_of(text or count or "1"),
            size if vessels.has_letter(size) or not unit else f"{size} {unit}",
        )
        count = count if amount else ""
        if times > 1 and times % 1:
            told = _("%(times)s of %(size)s: how many containers, and what is in each?")
            raise CellNotUnderstood(told % {"times": amount, "size": text})
    else:
        times = 1.0
    containers = number_of(count) if count else 1.0
    if not text and count:
        text, containers = count, 1.0
    if not text:
        raise CellNotUnderstood(_("It has no amount."))
    if containers % 1 or not 0 <= containers * max(times, 1) <= MOST_CONTAINERS:
        told = _("“%(typed)s” is no number of containers.")
        raise CellNotUnderstood(told % {"typed": count or amount})
    inside, each, shown = amount_of(text, known, measures)
    if times and times < 1:
        each, times = round(each * times), 1.0
    return AmountRead(int(containers) * int(times or 1) * inside, each if times and containers else 0, shown)


@lru_cache(maxsize=20_000)  # long lists hold the same few amounts over and over
def amount_of(text: str, known: tuple[str, str] | None, measures: Measures) -> tuple[int, int, tuple[str, str]]:
    """How many containers, what is in each in base units, and what that is measured in."""
    typed = ABOUT.sub("", text.strip())
    if BELOW_NOTHING.match(typed):
        raise CellNotUnderstood(_("%(typed)s: less than nothing.") % {"typed": text})
    if is_none_left(typed):
        if not known:
            raise CellNotUnderstood(
                _("None is left, and nothing tells what it is measured in; write 0 g, 0 mL or 0 pieces.")
            )
        return 1, 0, known
    typed = RUN.sub(lambda run: in_plain_figures(run[0], measures.thousand), re.sub(r"\s*[()]\s*", " ", typed).strip())
    times, typed = vessels.taken_apart(units.in_imperial(typed) if measures.imperial else typed)
    if times > MOST_CONTAINERS:
        raise CellNotUnderstood(_("“%(typed)s” is no number of containers.") % {"typed": times})
    try:
        return times, *in_base_units(typed, known, measures.cups)
    except (CellNotUnderstood, units.NotUnderstood) as error:
        if found := next((run[0] for run in RUN.finditer(text) if EITHER.fullmatch(run[0])), ""):
            whole, part = re.split("[.,]", found)
            small = f"{whole}.{part}".rstrip("0").rstrip(".")
            places = {"typed": text, "small": "one" if small == "1" else small, "large": whole + part}
            if small == "1":
                raise CellNotUnderstood(_("%(typed)s: one or a thousand?") % places) from None
            raise CellNotUnderstood(_("%(typed)s: %(small)s or %(large)s?") % places) from None
        raise CellNotUnderstood(str(translated(error))) from error


def in_plain_figures(run: str, thousand: str) -> str:
    """
    A number with at most one mark, where only one reading is left; otherwise as it is.

    >>> [in_plain_figures(run, "") for run in ("1 000", "1.234,50", "1'250", "1,234.5", "1,000,000", "1 1", "2,500")]
    ['1000', '1234.50', '1250', '1234.5', '1000000', '1 1', '2,500']
    >>> in_plain_figures("2,500", THOUSANDS), in_plain_figures("2,500", DECIMALS)
    ('2500', '2.5000')
    """
    if IN_GROUPS.fullmatch(run):
        return re.sub(r"[ '’\u00a0\u2007\u2009\u202f]", "", run)
    if MARKS["comma"].fullmatch(run):
        return run.replace(",", "")
    if MARKS["point"].fullmatch(run):
        return run.replace(".", "").replace(",", ".")
    if thousand and EITHER.fullmatch(run):
        return re.sub("[.,]", "" if thousand == THOUSANDS else ".", run) + ("" if thousand == THOUSANDS else "0")
    return run


def is_none_left(text: str) -> bool:
    return plain(text) in NONE_LEFT or (bool(text) and text in "-–—")


def known_by(text: str, measures: Measures) -> tuple[str, str] | None:
    """What is measured in which unit, by the unit or the size that stands beside an empty amount."""
    if not text:
        return None
    try:
        return amount_of(text if any(map(str.isdigit, text)) else f"1 {text}", None, measures)[2]
    except (CellNotUnderstood, units.NotUnderstood):
        return None


def counts_alone(row: Mapping[str, str]) -> bool:
    """Whether a row only says how many there are, of a size that stands elsewhere."""
    text = " ".join(filter(None, (row.get("count", ""), row.get("amount", ""), row.get("unit", "")))).strip()
    return bool(text) and (not vessels.has_letter(text) or is_countable(text))


def in_base_units(text: str, known: tuple[str, str] | None, cups: units.Cups) -> tuple[int, tuple[str, str]]:
    if known:
        return units.parse(text, known[0], cups=cups), known
    # of a new material only the unit can tell what it is measured in
    for dimension in Material.Dimension.values:
        try:
            return units.parse(text, dimension, cups=cups), (dimension, shown_unit(text, dimension))
        except units.NotUnderstood:
            continue
    told = locale.in_prose(_("“%(typed)s” is no amount with a unit; write it like 2.5 kg, 500 mL or 30 cm."))
    raise CellNotUnderstood(told % {"typed": text})


def shown_unit(text: str, dimension: str) -> str:
    """
    The unit that a new material is shown in: the one its list was written in.

    >>> shown_unit("2,5 Kilo", "mass"), shown_unit("12x18 in", "area"), shown_unit("3 lb 2 oz", "mass")
    ('kg', 'in2', 'lb')
    """
    by_name = units.units_by_name(dimension)
    for word in re.findall(r"[^\W\d_](?:[^\d_]*[^\W\d_])?\.?[²2]?", text):
        name = units.folded(word.strip())
        if found := by_name.get(name) or by_name.get(f"{name}2"):
            return found.name
    return units.UNITS[dimension][1 if dimension in ("mass", "volume") else 0].name


def number_of(text: str) -> float:
    try:
        return float(units.parse_number(re.sub(r"[^\d.,/½¼¾ ]", "", text).strip()))
    except units.NotUnderstood as error:
        raise CellNotUnderstood(_("“%(typed)s” is no number of containers.") % {"typed": text}) from error


def is_countable(text: str) -> bool:
    """Whether it only says how many there are: 3 bottles, of the size that stands beside it."""
    match = re.fullmatch(r"[\d.,/½¼¾ ]+\s*([^\W\d_]+)\.?", text)
    return match is not None and vessels.is_vessel(match[1])
