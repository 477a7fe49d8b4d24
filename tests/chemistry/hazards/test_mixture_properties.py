"""What must hold of every mixture, whatever it is made of."""

import re
from fractions import Fraction
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.hazards import mixture
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import ROUTES
from chemistry.hazards.mixture import NOT_TOXIC, UNKNOWN, Ingredient, classify

MILDEST = len(CLASSES)
SEVERITY = {id: place for place, id in enumerate(CLASSES)}

regimes = st.sampled_from(["UN", "EU", "US"])
class_ids = st.sampled_from(sorted(CLASSES))
# near the limits of the rules, where classes turn
percents = st.one_of(
    st.sampled_from([Fraction(percent, 100) for percent in (5, 10, 25, 99, 100, 249, 250, 300, 500, 999, 1000, 2405)]),
    st.fractions(min_value=0, max_value=60, max_denominator=200),
)
estimates = st.one_of(
    st.just(NOT_TOXIC),
    st.just(UNKNOWN),
    st.sampled_from([Fraction(1, 2), 3, 5, 50, 300, 481, 2000, 3000, 5000, 6000]),
)


@st.composite
def ingredients(draw, most=Fraction(60), hazardous=False):
    low, high = sorted((draw(percents), draw(percents)))
    ranged = draw(st.booleans())
    known = st.lists(class_ids, min_size=1, max_size=4, unique=True).map(tuple)
    return Ingredient(
        name="it",
        percent=(min(low, most), min(high, most)) if ranged else min(high, most),
        classes=draw(known if hazardous else st.one_of(known, st.just(()), st.just(UNKNOWN))),
        ate=draw(
            st.one_of(st.just(UNKNOWN), st.just(NOT_TOXIC), st.dictionaries(st.sampled_from(sorted(ROUTES)), estimates))
        ),
        m_acute=draw(st.sampled_from([1, 10, 100])),
        m_chronic=draw(st.sampled_from([1, 10, 100])),
        specific_limits=tuple(
            draw(st.lists(st.tuples(class_ids, st.sampled_from([Fraction(1, 2), 2, 20])), max_size=2))
        ),
        additive_eye=draw(st.booleans()),
        flash_point_c=draw(st.none() | st.integers(-30, 120)),
        boiling_point_c=draw(st.none() | st.integers(20, 200)),
        ph=draw(st.none() | st.integers(-1, 14)),
    )


@st.composite
def mixtures(draw, room=Fraction(100)):
    """Some ingredients that fit into a vessel."""
    made = []
    for _ in range(draw(st.integers(0, 4))):
        made.append(draw(ingredients(most=room)))
        room -= made[-1].least
    return made


def water(percent):
    return Ingredient("water", percent, (), NOT_TOXIC)


def severity(classes):
    """The most severe class of each hazard, as its place in the standards' order: less is worse."""
    return {CLASSES[id].hazard: SEVERITY[id] for id in classes}


def is_no_worse(classes, than):
    worse = severity(than)
    return all(place >= worse.get(hazard, MILDEST) for hazard, place in severity(classes).items())


def all_classes(found):
    return (*found.classes, *found.environment)


@given(made=mixtures(), regime=regimes, data=st.data())
def test_the_order_of_ingredients_does_not_matter(made, regime, data):
    shuffled = data.draw(st.permutations(made))

    one, other = classify(made, regime), classify(shuffled, regime)

    assert all_classes(one) == all_classes(other)
    assert (one.signal_word, one.pictograms, one.h_codes) == (other.signal_word, other.pictograms, other.h_codes)
    assert set(one.needs_info) == set(other.needs_info)


@given(made=mixtures(), regime=regimes, kept=st.fractions(min_value=0, max_value=1, max_denominator=50))
def test_diluting_with_water_never_adds_a_class(made, regime, kept):
    diluted = [*(scaled(each, kept) for each in made), water(100 * (1 - kept))]

    before, after = classify(made, regime), classify(diluted, regime)

    assert is_no_worse(all_classes(after), than=all_classes(before))


@given(
    made=mixtures(room=Fraction(60)),
    regime=regimes,
    added=ingredients(most=Fraction(20), hazardous=True),
)
def test_a_hazardous_ingredient_in_place_of_water_never_removes_a_class(made, regime, added):
    of_water = 100 - sum((each.least for each in made), Fraction())

    before = classify([*made, water(of_water)], regime)
    after = classify([*made, water(of_water - added.least), added], regime)

    assert is_no_worse(all_classes(before), than=all_classes(after))


@given(made=mixtures(), regime=regimes)
def test_widening_a_range_never_removes_a_class(made, regime):
    wider = [ranged(each, each.least / 2, min(each.most + 5, Fraction(100))) for each in made]

    assert is_no_worse(all_classes(classify(made, regime)), than=all_classes(classify(wider, regime)))


@given(made=mixtures(), regime=regimes)
def test_forgetting_what_an_ingredient_is_never_reads_as_clear(made, regime):
    forgotten = [Ingredient(f"mystery {number}", each.percent) for number, each in zip(count(), made, strict=False)]

    found = classify(forgotten, regime)

    assert found.classes == ()
    assert found.needs_info


@given(made=mixtures(), regime=regimes, ph=st.none() | st.floats(-2, 16), flash=st.none() | st.floats(-40, 200))
def test_every_mixture_gets_an_answer_that_a_label_can_carry(made, regime, ph, flash):
    found = classify(made, regime, ph=ph, flash_point_c=flash)

    printed = mixture.label(found.classes, regime)
    assert set(printed.h_codes) <= set(found.h_codes)
    assert (found.signal_word == "") is all(CLASSES[id].signal_word == "" for id in found.classes)
    assert all(mixture.statement(code, regime) for code in (*printed.h_codes, *printed.p_codes))
    assert all(0 <= mixture.acute_toxicity(made, route, regime).unknown_percent <= 100 for route in ROUTES)


@given(numbers=st.lists(st.floats(), min_size=2, max_size=2), class_id=st.text(max_size=12))
def test_whatever_is_typed_is_refused_with_a_sentence_or_classified(numbers, class_id):
    try:
        found = classify([Ingredient("it", tuple(numbers), (class_id,) if class_id else ())], "EU", ph=numbers[0])
    except ValueError as refusal:
        assert re.match(
            "percent of it must|(nan|inf|-inf) is not a number|no such hazard class|pH must be", str(refusal)
        )
    else:
        assert found.classes in ((), ("skin_corr_1", "eye_dam_1"))


def scaled(ingredient, kept):
    return ranged(ingredient, ingredient.least * kept, ingredient.most * kept)


def ranged(ingredient, least, most):
    return Ingredient(
        **{name: getattr(ingredient, name) for name in Ingredient.__slots__ if name != "percent"}, percent=(least, most)
    )


@pytest.mark.parametrize("regime", ["UN", "EU", "US"])
def test_an_empty_vessel_asks_what_is_in_it(regime):
    found = classify([], regime)

    assert found.classes == ()
    assert "what the other 100 % of the mixture is" in found.needs_info
