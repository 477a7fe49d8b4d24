"""What holds of flags whatever is known: more knowledge never unsays a flag, and what is unknown decides nothing."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from chemistry.hazards.ingredients import UNKNOWN
from chemistry.waste.conditions import ALWAYS, read
from chemistry.waste.rules import SHIPPED
from chemistry.waste.vocabulary import VOCABULARY, known

CODES = ["H270", "H272", "H302", "H318", "H400"]
EUH_CODES = ["EUH001", "EUH019", "EUH031", "EUH066"]


def limits_of(key):
    """The limits that rules set for a number, so that values fall on them and beside them."""
    found = set()

    def collect(condition):
        if hasattr(condition, "limit"):
            if condition.property.key == key:
                found.add(condition.limit)
            return
        for inner in (*condition.all, *condition.any, *condition.none):
            collect(inner)

    for rule_set in SHIPPED.values():
        for rule in rule_set.rules:
            collect(rule.when)
    return sorted(found)


def numbers(of):
    inside = st.fractions(of.low, of.high, max_denominator=1000)
    near = [limit + step for limit in limits_of(of.key) for step in (-Fraction(1, 1000), 0, Fraction(1, 1000))]
    near = [number for number in near if of.low <= number <= of.high]
    return inside | st.sampled_from(near) if near else inside


def exact_value(of):
    if of.kind == "yes or no":
        return st.booleans()
    if of.kind == "number":
        return numbers(of)
    if of.kind == "one of":
        return st.sampled_from(of.choices or ["CA", "OR"])
    return st.frozensets(st.sampled_from(CODES if of.key == "h_codes" else EUH_CODES))


RULES = [rule for rule_set in SHIPPED.values() for rule in rule_set.rules if rule.when != ALWAYS]


def less_known(of, value):
    """The same fact, less well known: left out, a range around it, words that may not be all."""
    ways = [st.none(), st.just(value)]
    if of.kind == "number":
        ways.append(st.tuples(numbers(of), numbers(of)).map(lambda ends: (min(*ends, value), max(*ends, value))))
    elif of.kind == "any of":
        ways.append(st.sets(st.sampled_from(sorted(value) or [UNKNOWN])).map(lambda kept: kept | {UNKNOWN}))
    return st.one_of(ways)


@st.composite
def judged_twice(draw):
    """A rule, a waste of which little is known, and the same waste when all that the rule asks for is known."""
    rule = draw(st.sampled_from(RULES))
    all_of_it = {key: draw(exact_value(VOCABULARY[key])) for key in rule.when.speaks_of()}
    little = {key: draw(less_known(VOCABULARY[key], value)) for key, value in all_of_it.items()}
    return rule, little, all_of_it


def judge(rule, properties):
    return rule.when.judge(known(properties))


@given(judged_twice())
def test_what_a_little_knowledge_decides_no_further_knowledge_changes(judged):
    rule, little, all_of_it = judged

    before, after = judge(rule, little), judge(rule, all_of_it)

    assert after.holds is not None
    assert before.holds in (after.holds, None)


@given(judged_twice(), st.data())
def test_a_further_fact_never_turns_a_flag_into_a_question(judged, data):
    rule, little, all_of_it = judged
    key = data.draw(st.sampled_from(list(all_of_it)))

    before, after = judge(rule, little), judge(rule, little | {key: all_of_it[key]})

    assert before.holds in (after.holds, None)


@given(judged_twice())
def test_what_is_asked_for_would_decide_and_is_not_known_exactly(judged):
    rule, little, all_of_it = judged

    verdict = judge(rule, little)

    assert (verdict.holds is None) == bool(verdict.missing)
    assert all(little[key] != all_of_it[key] for key in verdict.missing)
    assert judge(rule, little | {key: all_of_it[key] for key in verdict.missing}).holds is not None


@given(judged_twice())
def test_no_other_property_than_its_own_moves_a_rule(judged):
    rule, little, _ = judged
    others = {key: True for key, of in VOCABULARY.items() if of.kind == "yes or no" and key not in little}

    assert judge(rule, little | others) == judge(rule, little)


@given(st.dictionaries(st.sampled_from(list(VOCABULARY)), st.none()))
def test_facts_nobody_knows_decide_nothing(unknown):
    assert {judge(rule, unknown).holds for rule in RULES} == {None}


# Kleene's tables, true T, false F, not known U

LEAVES = {
    True: {"property": "is_liquid", "is": True},
    False: {"property": "is_liquid", "is": False},
    None: {"property": "ph", "below": 5},
}
TRUTHS = st.sampled_from([True, False, None])
RANK = {False: 0, None: 1, True: 2}


def truth_of(condition):
    return read(condition).judge(known({"is_liquid": True})).holds


@given(st.lists(TRUTHS, min_size=1, max_size=4))
def test_all_is_as_true_as_its_least_and_any_as_its_most(truths):
    leaves = [LEAVES[truth] for truth in truths]

    assert truth_of({"all": leaves}) == min(truths, key=RANK.get)
    assert truth_of({"any": leaves}) == max(truths, key=RANK.get)


@given(st.lists(TRUTHS, min_size=1, max_size=4))
def test_none_is_the_opposite_of_any(truths):
    leaves = [LEAVES[truth] for truth in truths]

    opposite = {True: False, False: True, None: None}
    assert truth_of({"none": leaves}) == opposite[truth_of({"any": leaves})]


def test_a_rule_for_everything_asks_nothing():
    assert ALWAYS.judge({}).holds is True
    assert ALWAYS.speaks_of() == ()
    assert str(ALWAYS) == "always"
