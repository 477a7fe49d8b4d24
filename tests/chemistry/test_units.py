from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from chemistry import locale, units, vessels
from chemistry.hazards.substances import SUBSTANCES
from chemistry.sourced import Fact
from tests import sources

SOURCES = sources.read("units")
BULK_DENSITY = SUBSTANCES["copper_sulfate_pentahydrate"].bulk_density_g_per_ml

dimensions = st.sampled_from(sorted(units.UNITS))
every_unit = st.sampled_from([(dimension, unit) for dimension, known in units.UNITS.items() for unit in known])
# bits of amounts in any order, which come nearer to the grammar than free text does
bits = st.lists(
    st.sampled_from(
        ["1", "12", "000", ",", ".", " ", "/", "½", "⅐", "x", "×", "by", "g", "kg", "lb", "oz", "cups", "fl oz", "in"]
        + [
            "cm2",
            "²",
            "^2",
            '"',
            "'",
            "-",
            "−",
            "+",
            "e5",
            "nan",
            "٣",
            "５",
            " ",
            "⁄",
            "µL",
            "0",
            "é",
            "\x00",
            "*",
        ]
    ),
    max_size=12,
).map("".join)


@pytest.mark.parametrize(
    ("text", "dimension", "amount"),
    [
        ("250g", "mass", 250_000),
        ("250 G.", "mass", 250_000),
        ("1,5 kg", "mass", 1_500_000),
        ("0,125 kg", "mass", 125_000),
        ("1234.567 g", "mass", 1_234_567),
        (".5 kg", "mass", 500_000),
        ("3 lb 2 oz", "mass", 1_417_476),
        ("3lb2oz", "mass", 1_417_476),
        ("3 lb .5 oz", "mass", 1_374_952),
        ("1 lb 1/2 oz", "mass", 467_767),
        ("0 g", "mass", 0),
        ("1 1/2 cups", "volume", 354_882),
        ("½ cup", "volume", 118_294),
        ("1½ cups", "volume", 354_882),
        ("1 ½ cups", "volume", 354_882),
        ("1 1⁄2 cups", "volume", 354_882),
        ("1,5 L", "volume", 1_500_000),
        ("1.5 l", "volume", 1_500_000),
        ("0.5 gal", "volume", 1_892_706),
        ("8 fl. oz.", "volume", 236_588),
        ("1 metric cup", "volume", 250_000),
        ("1 L 500 mL", "volume", 1_500_000),
        ("5 μL", "volume", 5),
        ("12x18 in", "area", 139_355),
        ("12 × 18 in", "area", 139_355),
        ("12 by 18 in", "area", 139_355),
        ('12" x 18"', "area", 139_355),
        ("12 in x 18 in", "area", 139_355),
        ("1 ft x 30 cm", "area", 91_440),
        ("30x45 cm", "area", 135_000),
        ("600 cm²", "area", 60_000),
        ("600 cm^2", "area", 60_000),
        ("1 sq. ft", "area", 92_903),
        ("6 ft 2 in", "length", 1_880),
        ("6' 2\"", "length", 1_880),
        ("1.2 mm", "thickness", 1_200),
        ("48 mil", "thickness", 1_219),
        ("3", "count", 3),
        ("3 pieces", "count", 3),
        # off a scale: kilograms to the gram
        ("1.250 kg", "mass", 1_250_000),
        ("12.345 Kilo", "mass", 12_345_000),
        # what prints long numbers in groups
        ("1\u202f500 g", "mass", 1_500_000),
        ("1\u00a0000\u00a0000 g", "mass", 1_000_000_000),
        ("2\u2009500,5 mL", "volume", 2_500_500),
        ("3 feuilles", "count", 3),
        ("2 Rouleaux", "count", 2),
        ("4 boîtes", "count", 4),
        ("1 tube", "count", 1),
        ("5 Stk.", "count", 5),
        ("500 gr", "mass", 500_000),
        ("250 ccm", "volume", 250_000),
    ],
)
def test_amounts_are_read_as_people_type_them(text, dimension, amount):
    assert units.parse(text, dimension) == amount


@pytest.mark.parametrize(("text", "dimension", "amount"), SOURCES["definitions"]["rows"])
def test_units_are_as_large_as_their_definitions(text, dimension, amount):
    assert units.parse(text, dimension) == amount


@pytest.mark.parametrize(("text", "amount"), SOURCES["metric_kitchen"]["rows"])
def test_the_studios_cups_decide_what_a_cup_is(text, amount):
    assert units.parse(text, "volume", cups="metric") == amount
    assert units.parse(text, "volume", cups="us") < amount


@pytest.mark.parametrize(
    ("text", "dimension", "sentence"),
    [
        ("", "mass", "Nothing is written; write it like 250 g or 3 lb 2 oz."),
        (" \t", "area", "Nothing is written; write it like 600 cm2 or 12x18 in."),
        ("1" * 41, "mass", "That is longer than 40 characters; write it like 250 g or 3 lb 2 oz."),
        ("1,000 g", "mass", "“1,000” could be 1000 or 1; write one of these."),
        ("1.000 g", "mass", "“1.000” could be 1000 or 1; write one of these."),
        ("1,250 kg", "mass", "“1,250” could be 1250 or 1.25; write one of these."),
        ("12.345 g", "mass", "“12.345” could be 12345 or 12.3450; write one of these."),
        (
            "1,234.5 g",
            "mass",
            "“1,234.5” has both a comma and a point; write one only, as the decimal mark.",
        ),
        ("1.5.2 g", "mass", "“1.5.2” has more than one comma or point; write one only, as the decimal mark."),
        ("1 000 g", "mass", "“1 000 g” has two numbers in a row; write one, like 1000 g."),
        ("1e5 g", "mass", "“1e5 g” has an exponent; write the number out in full, like 100000."),
        ("2E-3 g", "mass", "“2E-3 g” has an exponent; write the number out in full, like 100000."),
        ("NaN g", "mass", "“NaN g” is not an amount; write it like 250 g or 3 lb 2 oz."),
        ("infinity", "mass", "“infinity” is not an amount; write it like 250 g or 3 lb 2 oz."),
        ("-5 g", "mass", "“-5 g” is below zero; write an amount of zero or more, without a sign."),
        ("−5 g", "mass", "“−5 g” is below zero; write an amount of zero or more, without a sign."),
        ("+5 g", "mass", "“+5 g” is not an amount; write it like 250 g or 3 lb 2 oz."),
        ("２５０ g", "mass", "“２５０ g” has digits other than 0 to 9; write it with plain digits."),
        ("٣ g", "mass", "“٣ g” has digits other than 0 to 9; write it with plain digits."),
        ("250", "mass", "The unit is missing; write 250 g or 250 kg."),
        ("1,5", "volume", "The unit is missing; write 1,5 mL or 1,5 L."),
        ("1 kg 500", "mass", "The unit is missing; write g, kg, oz or lb."),
        ("5 stone", "mass", "“stone” is not a unit of mass known here; write g, kg, oz or lb."),
        ("5 mL", "mass", "“mL” measures volume, and mass is asked for; write g, kg, oz or lb."),
        ("1 cup", "mass", "“cup” measures volume, and mass is asked for; write g, kg, oz or lb."),
        (
            "3 in",
            "count",
            "“in” measures length, and count is asked for; write piece, pair, sheet or roll.",
        ),
        ("2 oz 3 lb", "mass", "“2 oz 3 lb” has its units out of order; write the larger unit first, like 3 lb 2 oz."),
        ("1 g 1 g", "mass", "“1 g 1 g” has its units out of order; write the larger unit first, like 3 lb 2 oz."),
        ("1/0 g", "mass", "“1/0” divides by zero; write a fraction like 1/2."),
        ("g", "mass", "“g” is not an amount; write it like 250 g or 3 lb 2 oz."),
        ("5. g", "mass", "“5. g” is not an amount; write it like 250 g or 3 lb 2 oz."),
        ("12x18", "area", "The unit is missing; write cm, m, in or ft."),
        ("12x18x3 in", "area", "“12x18x3 in” is not an area of two sides; write it like 12x18 in."),
        ("x 18 in", "area", "“x 18 in” is not an area of two sides; write it like 12x18 in."),
        ("1.5 pieces", "count", "“1.5 pieces” is not a whole number of pieces; write it like 3."),
        ("½", "count", "“½” is not a whole number of pieces; write it like 3."),
        ("0.0001 mg", "mass", "“0.0001 mg” is less than the book can hold; the least is 1 mg."),
        ("2000000 kg", "mass", "“2000000 kg” is more than a workshop holds; write a smaller amount."),
    ],
)
def test_what_has_no_single_meaning_is_refused_in_its_own_sentence(text, dimension, sentence):
    with pytest.raises(units.NotUnderstood) as refusal:
        units.parse(text, dimension)

    assert str(refusal.value) == sentence


@pytest.mark.parametrize("dimension", units.UNITS)
def test_nothing_is_nothing_in_every_unit(dimension):
    assert units.parse("0", dimension) == 0


@pytest.mark.parametrize(
    ("unit", "sentence"),
    [("kg", "The unit is missing; write 2.5 kg or 2.5 g."), ("lb", "The unit is missing; write 2.5 lb or 2.5 g.")],
)
def test_a_number_alone_is_refused_and_the_unit_that_is_shown_is_asked_for_first(unit, sentence):
    with pytest.raises(units.NotUnderstood) as refusal:
        units.parse("2.5", "mass", unit=unit)

    assert str(refusal.value) == sentence


@pytest.mark.parametrize("dimension", units.UNITS)
def test_a_refusal_names_four_usual_units_that_would_be_understood(dimension):
    assert len(units.USUAL[dimension]) == 4
    for unit in units.USUAL[dimension]:
        assert units.parse(f"3 {unit}", dimension) > 0


@given(st.text(max_size=50) | bits, dimensions)
@example("9**9**9**9", "mass")
@example("1 " * 20, "mass")
@example("¹", "count")
@example("2²", "area")
def test_no_text_gets_past_the_grammar_as_anything_but_a_whole_amount(text, dimension):
    try:
        amount = units.parse(text, dimension)
    except units.NotUnderstood as refusal:
        assert str(refusal).endswith(".")
    else:
        assert isinstance(amount, int)
        assert 0 <= amount <= units.LARGEST_AMOUNT


@given(st.text(max_size=50) | bits)
def test_no_text_gets_past_the_number_grammar_as_anything_but_a_number(text):
    try:
        number = units.parse_number(text)
    except units.NotUnderstood:
        return
    assert number.is_finite()
    assert number >= 0


@given(st.integers(0, units.LARGEST_AMOUNT // 2), every_unit)  # at the very top a rounding passes the limit
def test_what_is_shown_can_be_typed_back(amount, dimension_and_unit):
    dimension, kept_in = dimension_and_unit

    shown = str(units.show(amount, dimension, kept_in.name))

    back = units.parse(shown, dimension)
    unit = units.look_up_unit(shown.partition(" ")[2], dimension, "us")
    base_units = Fraction(units.parse(f"1000 {unit.name}", dimension), 1000)
    assert abs(back - amount) <= base_units / 10**unit.decimals / 2 + 1


@given(st.integers(1, 999_999))
def test_grams_to_the_milligram_come_back_exactly(milligrams):
    assert units.parse(f"{milligrams // 1000}.{milligrams % 1000:03}0 g", "mass") == milligrams


@pytest.mark.parametrize(
    ("amount", "dimension", "unit", "shown"),
    [
        (250_000, "mass", "g", "250 g"),
        (250_000, "mass", "kg", "0.25 kg"),
        (1_234_000, "mass", "kg", "1.234 kg"),
        (1_234_000, "volume", "L", "1.2340 L"),
        (-250_000, "mass", "g", "−250 g"),
        (1, "mass", "kg", "0.000001 kg"),
        (0, "mass", "kg", "0 kg"),
        (10**12, "mass", "kg", "1000000 kg"),
        (236_588, "volume", "us cup", "1 US cup"),
        (354_882, "volume", "us cup", "1.5 US cups"),
        (1_000_000, "volume", "L", "1 L"),
        (60_000, "area", "cm2", "600 cm²"),
        (1_024, "thickness", "mm", "1.02 mm"),
        (1, "count", "piece", "1 piece"),
        (3, "count", "piece", "3 pieces"),
    ],
)
def test_amounts_are_shown_in_the_unit_asked_for(amount, dimension, unit, shown):
    assert units.show(amount, dimension, unit) == shown


def test_an_amount_is_not_shown_in_a_unit_of_something_else():
    with pytest.raises(units.NotUnderstood, match="measures volume, and mass is asked for"):
        units.show(1000, "mass", "mL")


@pytest.mark.parametrize(
    ("text", "number"),
    [("12", "12"), ("1,5", "1.5"), ("1 1/2", "1.5"), ("¾", "0.75"), ("0.125", "0.125"), (" 7 ", "7")],
)
def test_numbers_are_read_as_people_type_them(text, number):
    assert units.parse_number(text) == Decimal(number)


@pytest.mark.parametrize("text", ["", "12 g", "1,000", "1e3", "-1", "1 2", "nan", "１２"])
def test_numbers_with_no_single_meaning_are_refused(text):
    with pytest.raises(units.NotUnderstood):
        units.parse_number(text)


def test_no_two_units_of_a_dimension_answer_to_one_name():
    for known in units.UNITS.values():
        names = [{alias.casefold() for alias in (unit.name, unit.label, *unit.aliases) if alias} for unit in known]

        assert sum(map(len, names)) == len(set().union(*names))


def test_a_us_cup_of_crystals_weighs_272_g_give_or_take():
    # common practice, no source: bulk density 1.02 to 1.28 g/mL from memory
    cup = units.mass_from_volume(units.parse("1 cup", "volume"), BULK_DENSITY)

    assert (cup.low, cup.amount, cup.high) == (241_320, 272_076, 302_833)


def test_a_density_known_exactly_has_no_spread():
    weighed = units.mass_from_volume(1_000_000, Fact(value=1.2, source="weighed here"))

    assert weighed.low == weighed.amount == weighed.high == 1_200_000


def test_a_density_no_powder_has_is_refused():
    with pytest.raises(ValueError, match="density must be between 0.01 and 25 g/mL, not 0"):
        units.mass_from_volume(1000, Fact(value=0.0, source="a slip"))


@pytest.mark.parametrize(
    ("typed", "sides"),
    [
        ("6x8 in", (152, 203)),
        ("6 in x 20 cm", (152, 200)),
        ("100 × 150 mm", (100, 150)),
        ("1 ft 2 in by 9 in", (356, 229)),
    ],
)
def test_a_plate_has_two_sides(typed, sides):
    assert units.parse_sides(typed) == sides


@pytest.mark.parametrize("typed", ["6", "6 in", "6x8", "6x8x2 in", "0x8 in", "600 cm2"])
def test_what_has_not_two_sides_is_no_plate(typed):
    with pytest.raises(units.NotUnderstood):
        units.parse_sides(typed)


@pytest.mark.parametrize(
    ("typed", "kept_in", "shown"),
    [
        ("4 gal", "fl oz", "4 US gal"),
        ("1 gal", "fl oz", "1 US gal"),
        ("1 qt", "fl oz", "1 US qt"),
        ("8 fl oz", "gal", "8 US fl oz"),
        ("1 pt", "pt", "16 US fl oz"),
        ("12 oz", "lb", "12 oz"),
        ("16 oz", "oz", "1 lb"),
        ("3 lb 4 oz", "oz", "3.25 lb"),
        ("0.25 oz", "lb", "0.25 oz"),
        ("0 lb", "lb", "0 lb"),
        ("12x24 in", "in2", "288 in²"),
        ("2 imp gal", "imp pt", "2 imp gal"),
        ("1 imp qt", "imp gal", "2 imp pt"),
        # metric and a kitchen's stay as they are kept
        ("2500 g", "g", "2500 g"),
        ("0.25 kg", "kg", "0.25 kg"),
        ("1500 mL", "mL", "1500 mL"),
        ("20 L", "L", "20 L"),
        ("32 us cups", "us cup", "32 US cups"),
    ],
)
def test_ounces_show_in_the_largest_unit_that_they_fill(typed, kept_in, shown):
    dimension = next(each for each, known in units.UNITS.items() if kept_in in [unit.name for unit in known])

    assert str(units.show(units.parse(typed, dimension), dimension, kept_in)) == shown


@pytest.mark.parametrize(
    ("typed", "imperial_ul"),  # 4.54609 L: Weights and Measures Act 1985, Schedule 1, from memory
    [
        ("1 gal", 4_546_090),
        ("2 qt", 2_273_045),
        ("1 pint", 568_261),
        ("10 fl. oz", 284_131),
        ("1 gal 1 pt", 5_114_351),
        ("1 US gal", 3_785_412),
        ("1 imp pt", 568_261),
        ("1,5 L", 1_500_000),
    ],
)
def test_pints_in_great_britain_are_its_own(typed, imperial_ul):
    with locale.override(locale.Locale(imperial=True)):
        assert vessels.parse_typed(typed, "volume") == imperial_ul
    if "imp" not in typed:
        assert vessels.parse_typed(typed, "volume") == units.parse(typed, "volume")


def test_units_are_as_large_as_pint_has_them():
    known = pint.UnitRegistry(non_int_type=Decimal)

    for dimension, listed in units.UNITS.items():
        for unit in listed:
            size = known.Quantity(Decimal(unit.times), unit.pint_unit).to(units.BASES[dimension]).magnitude
            assert units.base_units_in_each()[dimension, unit.name] == Fraction(round(size, 12))
