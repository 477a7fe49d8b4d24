from itertools import combinations

import pytest

from chemistry.hazards.storage import FLAMMABLES_LIMITS, GROUPS, REASONS, keep_apart
from chemistry.hazards.substances import SUBSTANCES


@pytest.mark.parametrize(("one", "other"), list(combinations(GROUPS, 2)))
def test_it_does_not_matter_which_jar_was_there_first(one, other):
    assert keep_apart([one], [other]) == keep_apart([other], [one])


@pytest.mark.parametrize("group", GROUPS)
def test_jars_of_one_group_stand_together(group):
    assert keep_apart([group], [group]) == []


def test_every_pair_is_told_once_and_says_why():
    pairs = [frozenset(reason.pair) for reason in REASONS]

    assert len(pairs) == len(set(pairs))
    assert all(len(pair) == 2 and pair <= GROUPS.keys() for pair in pairs)
    assert all(reason.why.endswith(".") for reason in REASONS)


def test_nitric_acid_meets_solvents_as_acid_and_as_oxidiser():
    nitric = SUBSTANCES["nitric_acid"].hazards.storage_groups.value
    acetone = SUBSTANCES["acetone"].hazards.storage_groups.value

    reasons = keep_apart(nitric, acetone)

    assert any(reason.refused for reason in reasons)
    assert any("nitric acid never" in reason.why for reason in reasons)


def test_soda_ash_beside_the_bath_is_apart_on_the_shelf_but_not_refused():
    (reason,) = keep_apart(["copper salt"], ["base"])

    assert not reason.refused


def test_waxes_beside_salts_are_no_reason():
    assert keep_apart(["general"], ["copper salt"]) == []


def test_an_unknown_group_is_refused():
    with pytest.raises(ValueError, match="no such storage group: food"):
        keep_apart(["acid"], ["food"])


def test_our_own_limits_for_flammables_are_marked_as_ours():
    ours = {limit.id: int(limit.litres) for limit in FLAMMABLES_LIMITS.values() if limit.grade == "ours"}

    assert ours == {"bench": 5, "outside a cabinet": 38}


@pytest.mark.parametrize(
    ("id", "us_gallons"),
    [
        ("cabinet", 60),
        ("outside a cabinet, category 1", 25),
        ("outside a cabinet, others", 120),
        ("outside a cabinet", 10),
    ],
)
def test_litres_agree_with_the_gallons_of_the_rule(id, us_gallons):
    # 29 CFR 1910.106(d)(3)(i), (e)(2)(ii)(b); 3.785411784 L to a US gallon
    assert float(FLAMMABLES_LIMITS[id].litres) == pytest.approx(us_gallons * 3.785411784, abs=0.5)
