from decimal import Decimal
from fractions import Fraction

import pytest

from chemistry.hazards.acute import BANDS, POINTS, acute_toxicity, category_of
from chemistry.hazards.ingredients import NOT_TOXIC, UNKNOWN, Ingredient


def solid(percent, **facts):
    return Ingredient("a solid", percent, **facts)


def water(percent):
    return Ingredient("water", percent, (), NOT_TOXIC)


@pytest.mark.parametrize("route", BANDS)
@pytest.mark.parametrize("category", [1, 2, 3, 4])
def test_the_upper_bound_of_a_category_belongs_to_it(route, category):
    bound = BANDS[route][category - 1]

    assert category_of(bound, route, "EU") == category
    assert category_of(bound + Fraction(1, 10**9), route, "EU") == (category + 1 if category < 4 else None)


@pytest.mark.parametrize("route", POINTS)
def test_the_point_a_category_counts_as_lies_at_its_dangerous_end(route):
    # the point of category 2 is the upper bound of category 1, which is the standards' own choice
    lower_bounds = (0, *BANDS[route])

    for lower, point, upper in zip(lower_bounds, POINTS[route], BANDS[route], strict=False):
        assert lower <= point < upper


@pytest.mark.parametrize("percent", [24.05, Decimal("24.05"), Fraction(2405, 100)])
def test_an_estimate_of_exactly_2000_is_category_4_however_the_percentage_is_written(percent):
    found = acute_toxicity([solid(percent, ate={"oral": 481}), water(100 - Fraction("24.05"))], "oral", "EU")

    assert found.ate == 2000
    assert found.category == 4


def test_floats_that_drift_do_not_flip_a_class():
    third = acute_toxicity([solid(0.1 + 0.2, ate={"oral": 0.9}), water(99)], "oral", "EU")

    assert 0.1 + 0.2 != 0.3
    assert third.category == 3


def test_a_category_without_an_estimate_counts_as_its_point():
    found = acute_toxicity([solid(100, classes=("acute_oral_4",))], "oral", "EU")

    assert found.ate == 500


def test_an_estimate_goes_before_the_point_of_its_category():
    found = acute_toxicity([solid(100, classes=("acute_oral_4",), ate={"oral": 481})], "oral", "EU")

    assert found.ate == 481


def test_a_class_of_inhalation_counts_as_vapour_and_dust_until_an_estimate_tells_which():
    class_only = solid(100, classes=("acute_inh_4",))
    told = solid(100, classes=("acute_inh_4",), ate={"vapour": 11})

    assert [acute_toxicity([class_only], route, "EU").ate for route in ("vapour", "dust")] == [11, Fraction("1.5")]
    assert acute_toxicity([told], "dust", "EU").unknown_percent == 100


def test_a_route_left_out_is_unknown_and_one_said_to_lie_above_the_categories_is_not():
    silent = acute_toxicity([solid(100, ate={"oral": 481})], "dermal", "EU")
    said = acute_toxicity([solid(100, ate={"oral": 481, "dermal": NOT_TOXIC})], "dermal", "EU")

    assert (silent.category, silent.unknown_percent) == (None, 100)
    assert (said.category, said.unknown_percent) == (None, 0)


def test_no_class_does_not_tell_the_acute_toxicity():
    assert acute_toxicity([solid(100, classes=())], "oral", "EU").unknown_percent == 100


def test_ten_percent_unknown_still_dilutes_and_more_does_not():
    toxic = solid(20, ate={"oral": 400})

    ten = acute_toxicity([toxic, Ingredient("a mystery", 10), water(70)], "oral", "EU")
    eleven = acute_toxicity([toxic, Ingredient("a mystery", 11), water(69)], "oral", "EU")

    assert ten.ate == 2000
    assert eleven.ate == 2000 * Fraction(89, 100)


def test_what_is_missing_from_100_percent_counts_as_unknown():
    named = acute_toxicity([solid(20, ate={"oral": 400}), Ingredient("a mystery", 60), water(20)], "oral", "EU")
    unnamed = acute_toxicity([solid(20, ate={"oral": 400}), water(20)], "oral", "EU")

    assert named.ate == unnamed.ate == 800
    assert unnamed.unknown_percent == 60


def test_a_range_counts_at_its_worst_end():
    ranged = acute_toxicity([solid((20, 26), ate={"oral": 481}), water((74, 80))], "oral", "EU")

    assert ranged.ate == acute_toxicity([solid(26, ate={"oral": 481}), water(74)], "oral", "EU").ate


def test_beside_much_that_is_unknown_the_low_end_of_water_is_the_worst():
    found = acute_toxicity([solid((20, 30), ate={"oral": 500}), water((20, 60))], "oral", "EU")

    assert found.ate == Fraction(50) / (Fraction(30) / 500)
    assert found.unknown_percent == 60


@pytest.mark.parametrize(("ate", "below", "above"), [(250, 0.09, 0.1), (500, 0.99, 1)])
def test_too_little_to_count_is_left_out(ate, below, above):
    little = acute_toxicity([solid(below, ate={"oral": ate}), water(90)], "oral", "EU")
    enough = acute_toxicity([solid(above, ate={"oral": ate}), water(90)], "oral", "EU")

    assert little.ate is None
    assert enough.ate is not None


def test_category_5_is_known_to_un_ghs_alone():
    ingredients = [solid(100, ate={"oral": 3000})]

    assert acute_toxicity(ingredients, "oral", "UN").category == 5
    assert acute_toxicity(ingredients, "oral", "EU").ate is None
    assert acute_toxicity(ingredients, "oral", "US").category is None


def test_the_working_can_be_redone_from_the_line():
    line = acute_toxicity([solid(25, ate={"oral": 481}), water(75)], "oral", "EU").working

    assert line.text == "100 / (a solid 25 % / 481) = 1924 mg/kg: acute toxicity, oral, category 4"
    assert line.gives == "acute_oral_4"
    assert line.source


@pytest.mark.parametrize(
    ("ingredients", "route", "regime", "refusal"),
    [
        ([solid(10)], "eye", "EU", "route must be one of"),
        ([solid(10)], "oral", "GHS", "regime must be one of UN, EU, GB, US"),
        ([solid(60), solid(50)], "oral", "EU", "more than 100 %: 110 %"),
    ],
)
def test_nonsense_is_refused(ingredients, route, regime, refusal):
    with pytest.raises(ValueError, match=refusal):
        acute_toxicity(ingredients, route, regime)


def test_nothing_at_all_is_all_unknown():
    found = acute_toxicity([], "oral", "EU")

    assert (found.ate, found.category, found.unknown_percent) == (None, None, 100)


def test_unknown_may_be_said_of_one_route():
    assert acute_toxicity([solid(100, ate={"oral": UNKNOWN})], "oral", "EU").unknown_percent == 100
