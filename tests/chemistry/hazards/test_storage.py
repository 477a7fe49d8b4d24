"""Two lists: what must not stand together, and what must not be poured together."""

from itertools import combinations

import pytest

from chemistry.hazards import storage
from chemistry.hazards.storage import GROUPS, MIXING, STANDING, keep_apart, keep_unmixed
from chemistry.hazards.substances import SUBSTANCES

NAMES = (
    "flammable",
    "combustible",
    "oxidiser",
    "acid",
    "weak acid",
    "base",
    "ammonia",
    "carbonate",
    "copper salt",
    "bleach",
    "salt cleaner",
    "reactive metal",
    "steel",
    "pigment",
    "self heating",
    "under current",
    "general",
)
# X never, o better not, . nothing known; a row meets the groups before it, in the order of NAMES
BESIDE = """
flammable
combustible    .
oxidiser       XX
acid           o.X
weak acid      ..o.
base           o.oXo
ammonia        o.XX..
carbonate      ...o...
copper salt    ..o.....
bleach         o.oXX.X.X
salt cleaner   ..o..o...X
reactive metal ..oX.X..o..
steel          ...o........
pigment        ...o.........
self heating   XXX...........
under current  X..............
general        ................
"""
INTO_ONE_VESSEL = """
flammable
combustible    .
oxidiser       XX
acid           XoX
weak acid      ..X.
base           X.XXX
ammonia        ..XXoo
carbonate      ..oXo..
copper salt    ..X.oooo
bleach         X.XXX.X.X
salt cleaner   ..X..o.oXX
reactive metal ..XXoX.oXXX
steel          ..XX....XXX.
pigment        ...Xo...o....
self heating   XXX...........
under current  X..............
general        ................
"""


def drawn(asked):
    """What a list answers of every pair, as it is drawn above."""

    def mark(one, other):
        reasons = asked([one], [other])
        assert reasons == asked([other], [one])
        return "." if not reasons else "X" if reasons[0].refused else "o"

    rows = (
        f"{name:<15}" + "".join(mark(name, before) for before in NAMES[:number]) for number, name in enumerate(NAMES)
    )
    return [row.strip() for row in rows]


@pytest.mark.parametrize(("asked", "matrix"), [(keep_apart, BESIDE), (keep_unmixed, INTO_ONE_VESSEL)])
def test_every_group_meets_every_other_with_a_reason_or_with_nothing_known(asked, matrix):
    assert drawn(asked) == matrix.strip().splitlines()
    assert tuple(GROUPS) == NAMES
    assert not any(asked([name], [name]) for name in NAMES)


@pytest.mark.parametrize("reasons", [STANDING, MIXING])
def test_every_pair_is_told_once_and_says_why_and_who_says_so(reasons):
    pairs = [frozenset(reason.pair) for reason in reasons]

    assert len(pairs) == len(set(pairs))
    assert all(len(pair) == 2 and pair <= GROUPS.keys() for pair in pairs)
    assert all(reason.why.endswith(".") and reason.source for reason in reasons)
    assert {reason.grade for reason in reasons} <= {"read", "secondary", "computed", "from memory", "ours"}
    assert all(reason.grade == "ours" for reason in reasons if "no source" in reason.source)


def test_what_is_refused_in_one_vessel_is_not_refused_on_a_shelf_for_that_alone():
    """Three closed drums side by side have no anode, and vinegar beside whiting has no ammonia."""
    for one, other in [("copper salt", "salt cleaner"), ("weak acid", "carbonate"), ("copper salt", "steel")]:
        assert keep_unmixed([one], [other])
        assert keep_apart([one], [other]) == []
    for reason in STANDING:
        assert "anode" not in reason.why


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        ("ferric_chloride", "hydrogen_peroxide_3pct", "ferric chloride breaks peroxide down"),
        ("nitric_acid", "acetone", "nitric acid never"),
        ("sodium_hydroxide", "acetic_acid_glacial", "heat and spray"),
        ("ammonia_solution", "nitric_acid", "Fumes of both"),
    ],
)
def test_jars_that_hurt_each_other_are_kept_apart(one, other, why):
    reasons = keep_apart(*(SUBSTANCES[key].hazards.storage_groups.value for key in (one, other)))

    assert any(why in reason.why for reason in reasons)
    assert any(reason.refused for reason in reasons)


@pytest.mark.parametrize(
    ("one", "other"), list(combinations(["acetic_acid_5pct", "citric_acid", "sodium_carbonate"], 2))
)
def test_what_a_kitchen_keeps_in_one_cupboard_is_no_clash(one, other):
    assert keep_apart(*(SUBSTANCES[key].hazards.storage_groups.value for key in (one, other))) == []


@pytest.mark.parametrize("asked", [keep_apart, keep_unmixed])
def test_an_unknown_group_is_refused(asked):
    with pytest.raises(ValueError, match="no such storage group: food"):
        asked(["acid"], ["food"])


def test_advice_for_acids_holds_for_weak_ones():
    assert storage.with_kin(["weak acid", "copper salt", "powder"]) == {"weak acid", "acid", "copper salt", "powder"}
    assert {group.like for group in GROUPS.values()} - {""} <= GROUPS.keys()


def test_nobody_chooses_a_bath_under_current_for_a_material():
    assert [group.id for group in GROUPS.values() if group not in storage.CHOSEN] == ["under current"]


@pytest.mark.parametrize(
    ("place", "region", "litres"),
    [
        # 29 CFR 1910.106(d)(3)(i): 60 US gallons of 3.785411784 L
        ("cabinet", "us", [60 * 3.785411784]),
        ("cabinet", "US", [60 * 3.785411784]),
        # HSE guidance under DSEAR
        ("cabinet", "gb", [50, 250]),
        ("cabinet", "eu", []),
        ("cabinet", "elsewhere", []),
        ("cabinet", "", []),
        ("bench", "us", [5]),
        ("bench", "gb", [5]),
        ("outside a cabinet", "eu", [38]),
    ],
)
def test_each_region_has_its_own_limits_or_none_on_record(place, region, litres):
    limits = storage.flammables_limits(place, region)

    assert [float(limit.litres) for limit in limits] == pytest.approx(litres, abs=0.5)
    assert all(limit.grade == "ours" for limit in limits if not limit.regions)
    assert not [limit for limit in limits if "CFR" in limit.source and region.lower() != "us"]


@pytest.mark.parametrize(("flash_point_c", "does"), [(-20, True), (32, True), (32.1, False), (60, False), (None, True)])
def test_what_flashes_in_a_warm_room_is_told_by_its_flash_point(flash_point_c, does):
    assert storage.flashes_in_a_warm_room(flash_point_c) is does
