"""
What people type <-> exact base amounts: whole mg of mass, µL of volume, mm² of area, mm of length, µm of thickness.

The grammar is small and our own: a number and a unit from the table below, "3 lb 2 oz", "12x18 in". pint gives the
conversion factors and never sees what was typed: it would read "1,5 g" as 15 g.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise
from typing import Literal, NoReturn
from unicodedata import numeric

from chemistry import locale
from chemistry.ranges import check_range
from chemistry.sentences import OR, Sentence, strung
from chemistry.sourced import Fact

Cups = Literal["us", "metric"]

LONGEST_TEXT = 40
LARGEST_AMOUNT = 10**12  # 1000 t, 1000 m3, 1 km2: more than a workshop holds, and well inside a database integer
BASES = {
    "mass": "milligram",
    "volume": "microliter",
    "area": "millimeter ** 2",
    "length": "millimeter",
    "thickness": "micrometer",
    "count": "count",
}
EXAMPLES = {
    "mass": Sentence("250 g or 3 lb 2 oz"),
    "volume": Sentence("1.5 L or 1 1/2 cups"),
    "area": Sentence("600 cm2 or 12x18 in"),
    "length": Sentence("30 cm or 1 ft 2 in"),
    "thickness": Sentence("1.2 mm or 48 mil"),
    "count": "3",
}
CUSTOMARY_EXAMPLES = {
    "mass": "3 lb 2 oz",
    "volume": Sentence("2 qt or 1 1/2 cups"),
    "area": "12x18 in",
    "length": "1 ft 2 in",
    "thickness": Sentence("0.027 in or 20 oz"),
}
SIDES_EXAMPLE = "12x18 in"
NUMBER_EXAMPLES = Sentence("12, 1.5, 1,5 or 1 1/2")


def examples(dimension: str) -> str:
    """
    How amounts of a dimension are typed here.

    >>> examples("mass")
    '250 g or 3 lb 2 oz'
    """
    return (CUSTOMARY_EXAMPLES if is_customary(dimension) else EXAMPLES)[dimension]


class NotUnderstood(ValueError):
    """What was typed has no single meaning here; the message says what would be understood."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: the name that selects it, how it is printed, and times of which of pint's units it is."""

    name: str
    decimals: int
    pint_unit: str
    aliases: tuple[str, ...] = ()
    label: str = ""
    plural: str = ""
    times: int = 1

    @property
    def amount(self) -> Sentence:
        """So much of it."""
        one = self.label or self.name
        return Sentence(f"%(number)s {one}", f"%(number)s {self.plural}" if self.plural else "")

    def labelled(self, number: str) -> str:
        places = {"number": locale.marked(number), "count": float(number.replace("−", "-").replace(",", ""))}
        return self.amount % places


# their plural first, then what a list that was kept in another language calls them
COUNTED = {
    "piece": "pieces pc pcs ea each stück stk stck pièce pièces unité unités pieza piezas pezzo pezzi stuk stuks "
    "ball balls boule boules kugel kugeln bola bolas palla palle stick sticks bâton bâtons stange stangen "
    "plate plates plaque plaques platte platten plancha planchas lastra lastre plaat platen",
    "pair": "pairs pr prs paar paare paire paires par pares paio paia",
    "sheet": "sheets blatt blätter bogen bögen feuille feuilles hoja hojas foglio fogli vel vellen",
    "roll": "rolls rolle rollen rouleau rouleaux rollo rollos rotolo rotoli rol",
    "bottle": "bottles flasche flaschen bouteille bouteilles flacon flacons botella botellas bottiglia fles flessen",
    "tin": "tins can cans dose dosen büchse büchsen lata latas latta latte blik blikken",
    "strip": "strips streifen bande bandes tira tiras",
    "label": "labels etikett etiketten étiquette étiquettes etiqueta etiquetas",
    "box": "boxes carton cartons karton kartons schachtel schachteln boîte boîtes boite boites caja cajas scatola doos",
    "tube": "tubes tuben tubo tubos tubi",
    "bag": "bags sack sacks säcke beutel tüte tüten sac sacs sachet sachets bolsa bolsas sacchetto zak zakken",
    "jar": "jars pot pots glas gläser bocal bocaux tarro tarros vasetto vasetti",
    "pack": "packs packet packets pkt pkg pk packung packungen päckchen paquet paquets paquete pacco pacchi pak",
    "pad": "pads block blocks blöcke bloc blocs",
    "bucket": "buckets pail pails eimer seau seaux cubo cubos secchio secchi emmer",
    "canister": "canisters jug jugs kanister bidon bidons bidón bidones tanica taniche",
}


def words(names: str) -> tuple[str, ...]:
    """
    Further names of a unit.

    >>> words("gram grams")
    ('gram', 'grams')
    """
    return tuple(names.split())


UNITS: Mapping[str, tuple[Unit, ...]] = {
    "mass": (
        Unit("mg", 0, "milligram", ("milligram", "milligrams")),
        Unit("g", 2, "gram", words("gram grams gm gms gr grs gramm gramme grammes gramo gramos grammo grammi")),
        Unit(
            "kg",
            3,
            "kilogram",
            words("kilogram kilograms kilo kilos kgs kilogramm kilogramme kilogrammes kilogramo kilogramos"),
        ),
        Unit("oz", 2, "ounce", ("ounce", "ounces")),
        Unit("lb", 4, "pound", ("lbs", "pound", "pounds")),
    ),
    "volume": (
        Unit("uL", 0, "microliter", ("µl", "microlitre", "microlitres", "microliter", "microliters"), "µL"),
        Unit(
            "mL",
            2,
            "milliliter",
            words("millilitre millilitres milliliter milliliters cc ccm cm3 cm³ mililitro mililitros millilitro"),
        ),
        Unit("cL", 2, "centiliter", ("centilitre", "centilitres", "centiliter", "centiliters")),
        Unit("dL", 2, "deciliter", ("decilitre", "decilitres", "deciliter", "deciliters")),
        Unit("L", 3, "liter", words("litre litres liter liters ltr ltrs lt litro litros litri")),
        Unit("us tsp", 2, "teaspoon", ("us teaspoon", "us teaspoons"), "US tsp"),
        Unit("us tbsp", 2, "tablespoon", ("us tablespoon", "us tablespoons"), "US tbsp"),
        Unit("us cup", 2, "cup", ("us cups",), "US cup", "US cups"),
        Unit("metric tsp", 2, "milliliter", ("metric teaspoon", "metric teaspoons"), times=5),
        Unit("metric tbsp", 2, "milliliter", ("metric tablespoon", "metric tablespoons"), times=15),
        Unit("metric cup", 2, "milliliter", ("metric cups",), plural="metric cups", times=250),
        Unit("fl oz", 2, "fluid_ounce", ("us fl oz", "floz", "fluid ounce", "fluid ounces"), "US fl oz"),
        Unit("pt", 2, "pint", ("us pt", "pint", "pints", "us pint", "us pints"), "US pt"),
        Unit("qt", 3, "quart", ("us qt", "quart", "quarts", "us quart", "us quarts"), "US qt"),
        Unit("gal", 4, "gallon", ("us gal", "gallon", "gallons", "us gallon", "us gallons"), "US gal"),
        Unit("imp fl oz", 2, "imperial_fluid_ounce", ("imperial fluid ounce", "imperial fluid ounces")),
        Unit("imp qt", 3, "imperial_quart", ("imp quart", "imp quarts", "imperial quart", "imperial quarts")),
        Unit("imp pt", 2, "imperial_pint", ("imp pint", "imp pints", "imperial pint", "imperial pints")),
        Unit("imp gal", 4, "imperial_gallon", ("imp gallon", "imp gallons", "imperial gallon", "imperial gallons")),
    ),
    "area": (
        Unit("mm2", 0, "millimeter ** 2", ("sq mm",), "mm²"),
        Unit("cm2", 2, "centimeter ** 2", ("sq cm",), "cm²"),
        Unit("dm2", 4, "decimeter ** 2", ("sq dm",), "dm²"),
        Unit("m2", 4, "meter ** 2", ("sq m",), "m²"),
        Unit("in2", 2, "inch ** 2", ("sq in", "square inch", "square inches"), "in²"),
        Unit("ft2", 4, "foot ** 2", ("sq ft", "square foot", "square feet"), "ft²"),
    ),
    "length": (
        Unit("mm", 0, "millimeter", ("millimetre", "millimetres", "millimeter", "millimeters")),
        Unit("cm", 1, "centimeter", ("centimetre", "centimetres", "centimeter", "centimeters")),
        Unit("m", 3, "meter", ("metre", "metres", "meter", "meters")),
        Unit("in", 2, "inch", ("inch", "inches", '"')),
        Unit("ft", 2, "foot", ("foot", "feet", "'")),
        Unit("yd", 2, "yard", ("yard", "yards")),
    ),
    "thickness": (
        Unit("um", 0, "micrometer", ("µm", "micron", "microns"), "µm"),
        Unit("mm", 2, "millimeter", ("millimetre", "millimetres", "millimeter", "millimeters")),
        Unit("mil", 1, "thou", ("mils", "thou")),
        Unit("in", 4, "inch", ("inch", "inches", '"')),
    ),
    "count": tuple(
        Unit(name, 0, "count", words(also), Sentence(name), also.split()[0]) for name, also in COUNTED.items()
    ),
}
DIMENSIONS = {
    "mass": Sentence("mass"),
    "volume": Sentence("volume"),
    "area": Sentence("area"),
    "length": Sentence("length"),
    "thickness": Sentence("thickness"),
    "count": Sentence("count"),
}
LABELS = {unit.name: unit.label for units in UNITS.values() for unit in units if unit.label}
# what a refusal names: a list of all of them helps nobody
USUAL = {
    "mass": ("g", "kg", "oz", "lb"),
    "volume": ("mL", "L", "cup", "fl oz"),
    "area": ("cm2", "m2", "in2", "ft2"),
    "length": ("cm", "m", "in", "ft"),
    "thickness": ("um", "mm", "mil", "in"),
    "count": ("piece", "pair", "sheet", "roll"),
}
# named alike in both kitchens, measured differently: the studio's choice of cups decides
KITCHEN_WORDS = {
    "cup": "cup",
    "cups": "cup",
    "tbsp": "tbsp",
    "tablespoon": "tbsp",
    "tablespoons": "tbsp",
    "tsp": "tsp",
    "teaspoon": "tsp",
    "teaspoons": "tsp",
}

# what shows in one of them shows in the largest that it fills: 8 oz of a pound, a gallon of 128 fl oz
STEPS = (("lb", "oz"), ("gal", "qt", "fl oz"), ("imp gal", "imp pt", "imp fl oz"))
LARGEST_FIRST = {**{unit: steps for steps in STEPS for unit in steps}, "pt": STEPS[1], "imp qt": STEPS[2]}
# what is typed for each unit of the sums where a dimension is not metric, the one that comes first before the others
CUSTOMARY: Mapping[str, tuple[str, ...]] = {
    "mg": ("oz",),
    "g": ("oz",),
    "kg": ("lb",),
    "mL": ("fl oz",),
    "L": ("gal", "qt", "pt"),
    "mm": ("in",),
    "cm": ("in",),
    "m": ("ft",),
    "mm2": ("in2",),
    "cm2": ("in2",),
    "m2": ("ft2",),
    "g/L": ("oz/gal",),
}
NOT_METRIC = {"mass": "lb", "volume": "gal", "length": "in", "area": "in²", "thickness": "in"}  # settings of a locale
OFFERED = {"mass": ("g", "kg"), "volume": ("mL", "L", "cup"), "length": ("cm", "m")}
IN_PINTS = re.compile(r"\b(?<!imp )(?<!us )(fl\.? ?oz|pt|pints?|qt|quarts?|gal|gallons?)\b\.?", re.IGNORECASE)

VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
LETTER = rf"[^\W\d_{VULGAR}]"
NUMBER = re.compile(
    rf"(?:(?P<whole>\d+)\s+)?(?P<over>\d+)\s*[/⁄]\s*(?P<under>\d+)"
    rf"|(?P<with>\d+)?\s*(?P<vulgar>[{VULGAR}])"
    rf"|(?P<plain>\d+(?:[.,]\d+)*|[.,]\d+)"
)
UNIT = re.compile(rf"(?:{LETTER}(?:\.(?!\d))?|[\"'″′”’]|(?<=\S) (?={LETTER}))+(?:\^?2(?!\w))?")
# what prints a long number in groups sets a space that does not break or is thin
BETWEEN_THOUSANDS = re.compile(r"(?<=\d)[\u00a0\u2007\u2009\u202f](?=\d{3}(?!\d))")
# few keyboards have the space or the apostrophe that pages print
TYPED_IN_GROUPS = {
    marks[-1]: re.compile(rf"(?<![\d.,])\d{{1,3}}(?:[{marks}]\d{{3}})+(?!\d|\s*[/⁄])")
    for marks in (f" {locale.NARROW_NO_BREAK}", "'’")
}
BETWEEN_SIDES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)

NumberWithUnit = tuple[Fraction, str]


def parse(text: str, dimension: str, *, cups: Cups = "us", unit: str = "") -> int:
    """
    Read an amount and return it in the base unit of its dimension, or raise NotUnderstood.

    cups: which cup, tablespoon and teaspoon are meant where the text does not say. unit: the one that is shown where
    this is typed; a number alone is never taken for it, and the refusal asks for it first.

    >>> parse("1 1/2 cups", "volume"), parse("1,5 L", "volume"), parse("12x18 in", "area"), parse("3 lb 2 oz", "mass")
    (354882, 1500000, 139355, 1417476)
    """
    example = examples(dimension)
    tidy = tidied(text, example)
    sides = BETWEEN_SIDES.split(tidy) if dimension == "area" else [tidy]
    if len(sides) > 1:
        width, height = two_sides(sides, tidy, cups)
        return whole_amount(width * height, dimension, tidy)
    parts = numbers_with_units(tidy, example)
    # 10 in a field that shows kg was as often meant in g: nobody is second-guessed
    if len(parts) == 1 and not parts[0][1]:
        return amount_without_unit(parts[0][0], dimension, tidy, unit)
    return whole_amount(total_in_base_units(parts, dimension, tidy, cups), dimension, tidy)


def parse_sides(text: str) -> tuple[int, int]:
    """
    Read the two sides of a plate or a sheet in whole mm, or raise NotUnderstood.

    >>> parse_sides("6 x 8 in"), parse_sides("10,5 x 15 cm")
    ((152, 203), (105, 150))
    """
    tidy = tidied(text, SIDES_EXAMPLE)
    width, height = (whole_amount(side, "length", tidy) for side in two_sides(BETWEEN_SIDES.split(tidy), tidy, "us"))
    if not width or not height:
        refuse(Sentence("“%(typed)s” has a side of nothing; write it like %(example)s."), tidy, SIDES_EXAMPLE)
    return width, height


def parse_number(text: str) -> Decimal:
    """
    Read a number without a unit, or raise NotUnderstood.

    >>> parse_number("1 ½"), parse_number("0,25")
    (Decimal('1.5'), Decimal('0.25'))
    """
    tidy = tidied(text, NUMBER_EXAMPLES)
    match = NUMBER.fullmatch(tidy)
    if not match:
        refuse(Sentence("“%(typed)s” is not one number; write it like %(example)s."), tidy, NUMBER_EXAMPLES)
    number = number_of(match)
    return Decimal(number.numerator) / Decimal(number.denominator)


def in_imperial(text: str) -> str:
    """
    Pints, quarts and gallons as Great Britain means them, unless the text says whose they are.

    >>> in_imperial("2 pt"), in_imperial("1 us gal")
    ('2 imp pt', '1 us gal')
    """
    return IN_PINTS.sub(r"imp \1", text)


def is_customary(dimension: str) -> bool:
    """
    Whether this studio types and reads a dimension in other units than metric ones; a content is mass in a volume.

    >>> with locale.override(locale.Locale(mass="lb")):
    ...     is_customary("mass"), is_customary("content"), is_customary("count")
    (True, False, False)
    """
    if dimension == "content":
        return is_customary("mass") and is_customary("volume")
    return dimension in NOT_METRIC and getattr(locale.current(), dimension) == NOT_METRIC[dimension]


def in_customary(unit: str) -> tuple[str, ...]:
    """
    What is typed for a unit of the sums where its dimension is not metric; in Great Britain its own pints and gallons.

    >>> in_customary("L"), in_customary("A")
    (('gal', 'qt', 'pt'), ())
    >>> with locale.override(locale.Locale(imperial=True)):
    ...     in_customary("L")
    ('imp gal', 'imp qt', 'imp pt')
    """
    names = CUSTOMARY.get(unit, ())
    return tuple(map(in_imperial, names)) if locale.current().imperial else names


def offered(units: Iterable[str], first: str = "", last: str = "") -> list[str]:
    """
    The units that are offered where a number is typed: this studio's own, then the others.

    units: of the sums. first: the one that a thing is kept in. last: what was typed for it last, before all.

    >>> offered(["g", "kg", "cup"]), offered(["g", "kg"], first="lb", last="kg")
    (['g', 'kg', 'cup', 'oz', 'lb'], ['kg', 'lb', 'g', 'oz'])
    >>> with locale.override(locale.Locale(mass="lb", volume="gal")):
    ...     offered(["g", "kg", "cup"]), offered(["%", "cm2"])
    (['oz', 'lb', 'cup', 'g', 'kg'], ['%', 'cm2', 'in2'])
    >>> with locale.override(locale.Locale(volume="gal")):
    ...     offered(["L", "mL"]), offered(["mL", "L"])
    (['gal', 'qt', 'pt', 'fl oz', 'L', 'mL'], ['fl oz', 'pt', 'qt', 'gal', 'mL', 'L'])
    """
    own: list[str] = []
    others: list[str] = []
    for unit in units:
        here, elsewhere = own, others
        if (names := in_customary(unit)) and is_customary(dimension_of(unit)):
            here, elsewhere = others, own
        # a jug is asked in mL before L and rises by fl oz and pints to gallons; a tank falls
        rises = any(dimension_of(before) == dimension_of(unit) for before in here)
        here.append(unit)
        elsewhere += names[::-1] if rises else names
    both = dict.fromkeys([*own, *others])
    return list(dict.fromkeys([*filter(lambda unit: unit and (unit == first or unit in both), (last, first)), *both]))


def own(unit: str) -> str:
    """
    What this studio types first for a unit of the sums.

    >>> with locale.override(locale.Locale(mass="lb")):
    ...     own("kg"), own("mL"), own("piece")
    ('lb', 'mL', 'piece')
    """
    names = in_customary(unit)
    return names[0] if names and is_customary(dimension_of(unit)) else unit


def own_first(names: Iterable[str]) -> list[str]:
    """
    Units in their order, this studio's own before all, those that another kind of studio types behind all.

    >>> with locale.override(locale.Locale(mass="lb", volume="gal")):
    ...     own_first(["mg", "g", "kg", "oz", "lb"]), own_first(["dL", "L", "us cup", "gal"])
    (['oz', 'lb', 'mg', 'g', 'kg'], ['gal', 'dL', 'us cup', 'L'])
    """
    every = {
        *CUSTOMARY,
        *(name for unit in CUSTOMARY for name in (*CUSTOMARY[unit], *map(in_imperial, CUSTOMARY[unit]))),
    }
    here = {name for unit in CUSTOMARY for name in (in_customary(unit) if own(unit) != unit else (unit,))}
    return sorted(names, key=lambda name: (name in every) - 2 * (name in here))


@cache
def dimension_of(unit: str) -> str:
    """
    What a unit measures.

    >>> dimension_of("fl oz"), dimension_of("g/L"), dimension_of("A")
    ('volume', 'content', '')
    """
    if "/" in unit:
        return "content"
    if unit in KITCHEN_WORDS:
        return "volume"
    # a mm is one of length: a thickness has units of its own only where it is typed
    return next((each for each, known in UNITS.items() if any(unit == one.name for one in known)), "")


def show(amount: int, dimension: str, unit: str) -> str:
    """
    Print a base amount in a unit, rounded as the unit deserves; `parse` reads it back.

    >>> show(250_000, "mass", "kg"), show(236_588, "volume", "us cup"), show(60_000, "area", "cm2")
    ('0.25 kg', '1 US cup', '600 cm²')
    >>> show(15_141_647, "volume", "fl oz"), show(226_796, "mass", "lb")
    ('4 US gal', '8 oz')
    """
    number, chosen = in_largest(amount, dimension, unit)
    # where nobody has said how numbers are written, 1.250 is one and a quarter or a thousand
    if not locale.current().thousands and could_be_thousands(number, chosen.name):
        number += "0"
    return chosen.labelled(number if amount >= 0 else f"−{number}")


def in_largest(amount: int, dimension: str, unit: str) -> tuple[str, Unit]:
    """
    The size of a base amount in the unit it shows in, written as a machine does but for commas between thousands.

    >>> in_largest(453_592, "mass", "oz")[0], in_largest(1_500_000, "mass", "g")[0]
    ('1', '1,500')
    """
    chosen = look_up_unit(unit, dimension, "us")
    if amount and (steps := LARGEST_FIRST.get(chosen.name)):
        sizes = [(step, base_units_in_each()[dimension, step]) for step in steps]
        # a whole gallon was rounded to a whole base unit when it was stored
        filled = next((step for step, size in sizes if abs(amount) + Fraction(1, 2) >= size), steps[-1])
        chosen = look_up_unit(filled, dimension, "us")
    exact = abs(amount) / base_units_in_each()[dimension, chosen.name]
    decimals = chosen.decimals
    while amount and not round(exact * 10**decimals):
        decimals += 1  # a small rest is not nothing
    number = f"{Decimal(round(exact * 10**decimals)).scaleb(-decimals):,f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return number, chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """An amount in base units and the ends of its 95 % range."""

    amount: int
    low: int
    high: int


def mass_from_volume(volume_ul: int, density_g_per_ml: Fact[float]) -> Spread:
    """
    Weigh a scoop through its density: mg, as wide as the density's own range.

    >>> mass_from_volume(236_588, Fact(value=1.15, low=1.02, high=1.28, source="from memory"))
    Spread(amount=272076, low=241320, high=302833)
    """
    middle = density_g_per_ml.value
    low = middle if density_g_per_ml.low is None else density_g_per_ml.low
    high = middle if density_g_per_ml.high is None else density_g_per_ml.high
    for bound in (low, middle, high):
        check_range("density", bound, 0.01, 25.0, "g/mL")
    return Spread(amount=round(volume_ul * middle), low=round(volume_ul * low), high=round(volume_ul * high))


def tidied(text: str, example: str) -> str:
    """
    Single spaces, and an early refusal of what only looks like an amount.

    >>> tidied("  2.5   kg ", "250 g"), tidied("1\u202f500 g", "250 g")
    ('2.5 kg', '1500 g')
    >>> with locale.override(locale.Locale("12’345.6")):
    ...     tidied("1'500.5 g", "250 g")
    '1500.5 g'
    """
    if len(text) > LONGEST_TEXT:
        raise NotUnderstood(
            Sentence(
                "That is longer than %(count)s character; write it like %(example)s.",
                "That is longer than %(count)s characters; write it like %(example)s.",
            )
            % {"count": LONGEST_TEXT, "example": example}
        )
    # before they become like any other space: "1 1/2" keeps its own
    tidy = " ".join(BETWEEN_THOUSANDS.sub("", text).split())
    if grouped := TYPED_IN_GROUPS.get(locale.current().thousands):
        tidy = grouped.sub(lambda number: re.sub("[ '’]", "", number[0]), tidy)
    if not tidy:
        raise NotUnderstood(Sentence("Nothing is written; write it like %(example)s.") % {"example": example})
    if any(letter.isnumeric() and not letter.isascii() and letter not in VULGAR + "²" for letter in tidy):
        refuse(Sentence("“%(typed)s” has digits other than 0 to 9; write it with plain digits."), tidy)
    if re.match(r"[-−–]", tidy):
        refuse(Sentence("“%(typed)s” is below zero; write an amount of zero or more, without a sign."), tidy)
    if re.search(r"\d[eE][-+−]?\d", tidy):
        refuse(Sentence("“%(typed)s” has an exponent; write the number out in full, like 100000."), tidy)
    if re.search(r"\b(?:nan|inf|infinity)\b", tidy, re.IGNORECASE):
        refuse(Sentence("“%(typed)s” is not an amount; write it like %(example)s."), tidy, example)
    return tidy


def numbers_with_units(text: str, example: str) -> list[NumberWithUnit]:
    """
    Numbers, each with its unit as typed ("" where there is none).

    >>> numbers_with_units("3 lb 2 oz", "250 g")
    [(Fraction(3, 1), 'lb'), (Fraction(2, 1), 'oz')]
    """
    parts = []
    position = 0
    while position < len(text):
        number = NUMBER.match(text, position)
        if not number:
            refuse(Sentence("“%(typed)s” is not an amount; write it like %(example)s."), text, example)
        position = past_space(text, number.end())
        unit = UNIT.match(text, position)
        if unit:
            position = past_space(text, unit.end())
        elif NUMBER.match(text, position):
            together = re.sub(r"(?<=\d) (?=\d)", "", text)
            refuse(Sentence("“%(typed)s” has two numbers in a row; write one, like %(example)s."), text, together)
        name = unit.group() if unit else ""
        parts.append((number_of(number, name), name))
    return parts


def past_space(text: str, position: int) -> int:
    """
    The next place in a text, past one space where there is one.

    >>> past_space("3 lb", 1), past_space("3lb", 1)
    (2, 1)
    """
    return position + 1 if text[position : position + 1] == " " else position


def number_of(match: re.Match[str], unit: str = "") -> Fraction:
    """
    What a match of NUMBER stands for. unit: the one behind it.

    >>> match = NUMBER.match("1 1/2")
    >>> match and number_of(match)
    Fraction(3, 2)
    """
    if match["plain"]:
        return decimal_number(match["plain"], unit)
    if match["vulgar"]:
        # limit_denominator: numeric() gives a float, and no vulgar fraction is finer than tenths
        return Fraction(match["with"] or 0) + Fraction(numeric(match["vulgar"])).limit_denominator(10)
    if not int(match["under"]):
        refuse(Sentence("“%(typed)s” divides by zero; write a fraction like 1/2."), match.group())
    return Fraction(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))


def decimal_number(typed: str, unit: str = "") -> Fraction:
    """
    One comma or point is the decimal mark; anything that could be thousands is refused. unit: the one behind it.

    >>> decimal_number("1,5"), decimal_number("1.250", "kg")
    (Fraction(3, 2), Fraction(5, 4))
    >>> with locale.override(locale.Locale("12,345.6")):
    ...     decimal_number("1,250"), decimal_number("1.250")
    (Fraction(1250, 1), Fraction(5, 4))
    """
    here = locale.current()
    if here.thousands and re.fullmatch(own_number(here), typed):
        # as this studio's pages write it, so it has one meaning
        return Fraction(typed.replace(here.thousands, "").replace(here.decimal, "."))
    if "," in typed and "." in typed:
        refuse(Sentence("“%(typed)s” has both a comma and a point; write one only, as the decimal mark."), typed)
    if typed.count(",") + typed.count(".") > 1:
        refuse(Sentence("“%(typed)s” has more than one comma or point; write one only, as the decimal mark."), typed)
    number = typed.replace(",", ".")
    if could_be_thousands(number, unit if "." in typed else ""):
        whole, _, decimals = number.partition(".")
        shorter = decimals.rstrip("0")
        small = f"{whole}.{shorter + '0' if len(shorter) == 3 else shorter}".rstrip(".")
        either = strung([whole + decimals, small], OR)
        refuse(Sentence("“%(typed)s” could be %(example)s; write one of these."), typed, either)
    return Fraction(number)


@cache
def own_number(here: locale.Locale) -> str:
    """
    What a number looks like that is written as is usual here.

    >>> bool(re.fullmatch(own_number(locale.Locale("12.345,6")), "1.250,5"))
    True
    """
    return rf"(?:\d{{1,3}}(?:{re.escape(here.thousands)}\d{{3}})+|\d*)(?:{re.escape(here.decimal)}\d+)?"


def could_be_thousands(number: str, unit: str = "") -> bool:
    """
    Whether a number with one mark might as well be thousands. unit: the one behind it.

    >>> could_be_thousands("1.500"), could_be_thousands("1.50"), could_be_thousands("0.500")
    (True, False, False)
    >>> could_be_thousands("1.250", "kg")
    False
    """
    # a scale shows kilograms to the gram, and no shelf bears a tonne
    is_off_a_scale = folded(unit) in ("kg", "kgs", "kilo", "kilos")
    return not is_off_a_scale and bool(re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", number))


def total_in_base_units(parts: list[NumberWithUnit], dimension: str, text: str, cups: Cups) -> Fraction:
    """
    Sum of "3 lb 2 oz" in base units; each unit must be smaller than the one before.

    >>> int(total_in_base_units([(Fraction(2), "kg"), (Fraction(5), "g")], "mass", "2 kg 5 g", "metric"))
    2005000
    """
    units = [look_up_unit(unit, dimension, cups) for _, unit in parts]
    factors = [base_units_in_each()[dimension, unit.name] for unit in units]
    # 2 oz 3 lb is as likely a slip of the unit as of the order
    if any(later >= earlier for earlier, later in pairwise(factors)):
        refuse(Sentence("“%(typed)s” has its units out of order; write the larger unit first, like 3 lb 2 oz."), text)
    return sum((number * factor for (number, _), factor in zip(parts, factors, strict=True)), Fraction(0))


def amount_without_unit(number: Fraction, dimension: str, text: str, shown: str) -> int:
    """
    Pieces need no unit, and nothing is nothing in all of them; any other number could be two things.

    >>> amount_without_unit(Fraction(3), "count", "3", ""), amount_without_unit(Fraction(0), "mass", "0", "g")
    (3, 0)
    """
    if dimension == "count":
        return whole_amount(number, dimension, text)
    if not number:
        return 0
    first, second, *_ = dict.fromkeys(filter(None, (shown, *USUAL[dimension])))
    either = strung([f"{text} {printed_unit(first)}", f"{text} {printed_unit(second)}"], OR)
    raise NotUnderstood(Sentence("The unit is missing; write %(example)s.") % {"example": either})


def two_sides(sides: list[str], text: str, cups: Cups) -> tuple[Fraction, Fraction]:
    """
    The sides of "12x18 in"; one without a unit takes the other's.

    >>> [float(side) for side in two_sides(["12", "18 in"], "12x18 in", "metric")]
    [304.8, 457.2]
    """
    if len(sides) != 2 or not all(sides):
        refuse(Sentence("“%(typed)s” is not an area of two sides; write it like %(example)s."), text, SIDES_EXAMPLE)
    width, height = (numbers_with_units(side, examples("area")) for side in sides)
    # 12x18 in: the inch is written once and meant for both
    if len(width) == 1 and not width[0][1]:
        width = [(width[0][0], height[-1][1])]
    return total_in_base_units(width, "length", text, cups), total_in_base_units(height, "length", text, cups)


def whole_amount(total: Fraction, dimension: str, text: str) -> int:
    """
    Round to base units, but never to nothing and never to a size that must be a slip.

    >>> whole_amount(Fraction(5, 2), "mass", "0.0025 g"), whole_amount(Fraction(3), "count", "3")
    (2, 3)
    """
    if dimension == "count" and total.denominator != 1:
        refuse(Sentence("“%(typed)s” is not a whole number of pieces; write it like 3."), text)
    amount = round(total)
    # a pinch that rounds to nothing would leave no trace of its use
    if total and not amount:
        least = show(1, dimension, UNITS[dimension][0].name)
        refuse(Sentence("“%(typed)s” is less than the book can hold; the least is %(example)s."), text, least)
    if amount > LARGEST_AMOUNT:
        refuse(Sentence("“%(typed)s” is more than a workshop holds; write a smaller amount."), text)
    return amount


def look_up_unit(typed: str, dimension: str, cups: Cups) -> Unit:
    """
    The unit of a dimension by any name it has, or NotUnderstood.

    >>> look_up_unit("Litres", "volume", "metric").name, look_up_unit("cups", "volume", "us").name
    ('L', 'us cup')
    """
    name = folded(typed)
    if name in KITCHEN_WORDS:
        name = f"{cups} {KITCHEN_WORDS[name]}"
    if name in units_by_name(dimension):
        return units_by_name(dimension)[name]
    *usual, last = map(printed_unit, USUAL[dimension])
    known = OR % {"row": usual, "next": last}
    if not name:
        raise NotUnderstood(Sentence("The unit is missing; write %(example)s.") % {"example": known})
    for other in UNITS:
        if name in units_by_name(other):
            places = {"typed": typed, "measured": DIMENSIONS[other], "asked": DIMENSIONS[dimension], "units": known}
            told = Sentence("“%(typed)s” measures %(measured)s, and %(asked)s is asked for; write %(units)s.")
            raise NotUnderstood(told % places)
    told = Sentence("“%(typed)s” is not a unit of %(asked)s known here; write %(units)s.")
    raise NotUnderstood(told % {"typed": typed, "asked": DIMENSIONS[dimension], "units": known})


def printed_unit(unit: str) -> str:
    """
    A unit as it is printed, without a number.

    >>> printed_unit("um"), printed_unit("cup")
    ('µm', 'cup')
    """
    return LABELS.get(unit, unit)


SEVERAL = {
    unit.name: Sentence(unit.label or unit.name, unit.plural) % {"count": 2}
    for units in UNITS.values()
    for unit in units
    if unit.plural
}


def printed_units(unit: str) -> str:
    """
    A unit as it is printed over a row of figures, or behind one that is not whole.

    >>> printed_units("piece"), printed_units("g")
    ('pieces', 'g')
    """
    return SEVERAL.get(unit, printed_unit(unit))


def folded(unit: str) -> str:
    """
    Phones capitalise and people write dots: no unit here differs from another by these.

    >>> folded("Fl. Oz."), folded("cm²")
    ('fl oz', 'cm2')
    """
    plain = unit.casefold().replace(".", " ").replace("^", "").replace("²", "2")
    for typed, meant in (("″", '"'), ("”", '"'), ("''", '"'), ("′", "'"), ("’", "'")):
        plain = plain.replace(typed, meant)
    return " ".join(plain.split())


@cache
def units_by_name(dimension: str) -> Mapping[str, Unit]:
    """
    The units of a dimension by every name that people write.

    >>> units_by_name("mass")["kg"].name
    'kg'
    """
    return {folded(name): unit for unit in UNITS[dimension] for name in (unit.name, unit.label, *unit.aliases) if name}


# by definition exact, those of pint's own that are used here: all of its thousand take half a second to read
DEFINITIONS = """
micro- = 1e-6
milli- = 1e-3
centi- = 1e-2
deci- = 1e-1
kilo- = 1e3
count = []
meter = [length]
gram = [mass]
yard = 0.9144 * meter
foot = yard / 3
inch = yard / 36
thou = 1e-3 * inch
liter = decimeter ** 3
gallon = 231 * inch ** 3
quart = gallon / 4
pint = quart / 2
cup = pint / 2
fluid_ounce = pint / 16
tablespoon = fluid_ounce / 2
teaspoon = fluid_ounce / 6
imperial_gallon = 4.54609 * liter
imperial_quart = imperial_gallon / 4
imperial_pint = imperial_gallon / 8
imperial_fluid_ounce = imperial_pint / 20
pound = 453.59237 * gram
ounce = pound / 16
"""


@cache
def base_units_in_each() -> Mapping[tuple[str, str], Fraction]:
    """
    How many base units each unit is; by definition exact, so pint's 28 digits are rounded back to 12 decimals.

    >>> int(base_units_in_each()["mass", "kg"])
    1000000
    """
    from pint import UnitRegistry  # here, because every start would wait for it

    registry: UnitRegistry[Decimal] = UnitRegistry(DEFINITIONS.splitlines(), non_int_type=Decimal)
    return {
        (dimension, unit.name): Fraction(
            round(registry.Quantity(Decimal(unit.times), unit.pint_unit).to(BASES[dimension]).magnitude, 12)
        )
        for dimension, units in UNITS.items()
        for unit in units
    }


def refuse(told: Sentence, typed: str, example: str = "") -> NoReturn:
    """
    Refuse what was typed, in a sentence that names it.

    >>> refuse(Sentence("“%(typed)s” is too much."), "2 kg")
    Traceback (most recent call last):
        ...
    chemistry.units.NotUnderstood: “2 kg” is too much.
    """
    raise NotUnderstood(told % {"typed": typed, "example": example})
