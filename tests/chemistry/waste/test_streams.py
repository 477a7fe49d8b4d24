"""Kinds of waste: what may share a vessel, what it is made of, and what is refused whoever asks."""

import re
from itertools import combinations

import pytest

from chemistry.hazards.storage import GROUPS
from chemistry.waste import streams, vocabulary
from chemistry.waste.rules import SHIPPED
from chemistry.waste.streams import STREAMS, VESSELS, companions, label_lines, objections

COPPER_LIQUIDS = ["bath_spent", "rinse", "cleaner_used", "ferric_spent"]
WET_COPPER = [*COPPER_LIQUIDS, "bath_mud", "sludge", "cathode_powder", "rags_copper"]
METALS = [id for id, vessel in VESSELS.items() if vessel.is_metal]


def refused(kind, beside):
    """The reasons, in a vessel that is right for the kind."""
    return [
        objection.why
        for objection in objections(kind, vessel=STREAMS[kind].vessels[0], is_vented=True, beside=[beside])
        if objection.refused
    ]


# refused whoever asks


@pytest.mark.parametrize("kind", ["bath_spent", "rinse"])
def test_bath_and_rinse_never_meet_cleaner(kind):
    assert any("chlorine at the anode" in why for why in refused(kind, "cleaner_used"))


@pytest.mark.parametrize("kind", WET_COPPER)
def test_copper_never_meets_solvent(kind):
    assert refused(kind, "solvent_spent")


@pytest.mark.parametrize("acid", ["cleaner_used", "ferric_spent"])
def test_bleach_never_meets_acid(acid):
    assert any("Chlorine gas" in why for why in refused("bleach", acid))


@pytest.mark.parametrize("kind", WET_COPPER)
def test_bleach_never_meets_copper_waste(kind):
    assert refused("bleach", kind)


@pytest.mark.parametrize("other", [kind for kind in STREAMS if kind != "peroxide_mix"])
def test_peroxide_stands_alone(other):
    assert refused("peroxide_mix", other)


def test_peroxide_is_never_closed():
    (closed,) = objections("peroxide_mix", vessel="hdpe", is_vented=False)

    assert closed.refused
    assert "bursts" in closed.why
    assert objections("peroxide_mix", vessel="hdpe", is_vented=True) == []


@pytest.mark.parametrize("kind", WET_COPPER)
def test_copper_waste_is_never_kept_in_metal(kind):
    for metal in METALS:
        found = objections(kind, vessel=metal, is_vented=True)

        assert [objection.refused for objection in found] == [True], metal
        assert "HDPE or PP only" in found[0].why, metal


@pytest.mark.parametrize("kind", COPPER_LIQUIDS)
def test_copper_liquids_are_kept_in_two_plastics_and_any_other_vessel_is_asked_about(kind):
    accepted = [id for id in VESSELS if not objections(kind, vessel=id, is_vented=True)]

    assert accepted == ["hdpe", "pp"]


@pytest.mark.parametrize("kind", STREAMS)
def test_nothing_is_kept_in_what_is_made_for_food_or_drink(kind):
    assert any(objection.refused for objection in objections(kind, vessel="drink_bottle", is_vented=True))


@pytest.mark.parametrize("vessel", ["plastic_bag", "open_bin", "hdpe"])
def test_rags_with_drying_oil_are_kept_in_lidded_metal_only(vessel):
    assert any(objection.refused for objection in objections("rags_drying_oil", vessel=vessel, is_vented=True))
    assert objections("rags_drying_oil", vessel="lidded_metal_can", is_vented=False) == []


def test_rags_that_catch_fire_by_themselves_say_so_on_their_label():
    heating = [kind for kind, each in STREAMS.items() if each.self_heats]

    assert heating == ["rags_drying_oil"]
    assert "CATCH FIRE BY THEMSELVES" in STREAMS["rags_drying_oil"].label[1]


@pytest.mark.parametrize("other", ["rags_solvent", "rags_drying_oil"])
def test_towels_with_copper_never_go_with_rags(other):
    assert refused("rags_copper", other)


def test_pieces_of_copper_never_go_with_loose_powder():
    assert refused("cathode_copper", "cathode_powder")


# asked about


def test_bath_takes_its_own_rinse():
    assert objections("rinse", vessel="hdpe", is_vented=False, beside=["bath_spent"]) == []
    assert "met nothing but the bath" in companions("rinse")["bath_spent"]


def test_filter_mud_takes_towels_and_powder():
    assert set(companions("bath_mud")) == {"cathode_powder", "rags_copper"}


def test_kinds_that_nothing_is_known_of_together_are_asked_about_and_not_refused():
    (unknown,) = objections("empties", vessel="open_bin", is_vented=True, beside=["cathode_copper"])

    assert not unknown.refused
    assert unknown.why.startswith("Nothing on record says that these may share a vessel")


def test_used_cleaner_is_loosely_capped_the_first_day():
    (gas,) = objections("cleaner_used", vessel="hdpe", is_vented=False)

    assert not gas.refused


@pytest.mark.parametrize("kind", STREAMS)
def test_a_kind_may_be_kept_in_each_of_its_own_vessels(kind):
    for vessel in STREAMS[kind].vessels:
        assert not any(objection.refused for objection in objections(kind, vessel=vessel, is_vented=True))


@pytest.mark.parametrize("kind", STREAMS)
def test_more_of_the_same_is_no_objection(kind):
    vessel = STREAMS[kind].vessels[0]

    assert objections(kind, vessel=vessel, is_vented=True, beside=[kind]) == objections(
        kind, vessel=vessel, is_vented=True
    )


def test_it_does_not_matter_which_was_there_first():
    def against(kind, beside):
        alone = objections(kind, vessel="hdpe", is_vented=True)
        found = objections(kind, vessel="hdpe", is_vented=True, beside=[beside])
        return {(each.refused, each.grade) for each in found if each not in alone}

    for one, other in combinations(STREAMS, 2):
        assert against(one, other) == against(other, one), (one, other)
        assert against(one, other) or other in companions(one), (one, other)


def test_what_is_refused_comes_first():
    found = objections("cleaner_used", vessel="steel", is_vented=False, beside=["bath_spent"])

    assert [objection.refused for objection in found] == [True, True, False]


@pytest.mark.parametrize(
    ("kind", "vessel", "sentence"),
    [
        ("soup", "hdpe", "no such kind of waste: soup"),
        ("rinse", "gold", "no such vessel: gold; it must be one of hdpe, pp, "),
    ],
)
def test_what_nobody_knows_is_refused_in_a_sentence(kind, vessel, sentence):
    with pytest.raises(ValueError, match=sentence):
        objections(kind, vessel=vessel, is_vented=True)


# words and facts


def test_hazardous_waste_is_written_on_an_american_label_only_where_somebody_decided_so():
    assert label_lines("rinse", region="US", counted_as_hazardous=True)[0] == "Hazardous Waste"
    assert "Hazardous Waste" not in label_lines("rinse", region="us")
    assert "Hazardous Waste" not in label_lines("rinse", region="gb", counted_as_hazardous=True)


@pytest.mark.parametrize("kind", STREAMS)
def test_a_kind_says_what_it_is_and_points_only_at_what_exists(kind):
    each = STREAMS[kind]
    rules = {rule.id for rule_set in SHIPPED.values() for rule in rule_set.rules}

    assert str(each) == each.title
    assert each.label and each.never and each.vessels
    assert set(each.rules) <= rules
    assert set(each.storage_groups) <= GROUPS.keys()
    assert set(each.vessels) <= VESSELS.keys()


@pytest.mark.parametrize("kind", STREAMS)
def test_what_a_kind_alone_says_can_be_given_to_the_rules(kind):
    known = vocabulary.known(STREAMS[kind].properties)

    assert known["kind"] == kind
    assert len(known) > 5


def test_every_list_of_kinds_and_vessels_names_only_known_ones():
    for entry in (*streams.TABLES["unfit"], *streams.TABLES["pressure"], *streams.TABLES["together"]):
        assert set(entry["kinds"]) <= STREAMS.keys()
        assert set(entry.get("vessels", ())) <= VESSELS.keys()
    for entry in streams.TABLES["apart"]:
        assert {*entry["one"], *entry["other"]} <= STREAMS.keys()


def sentences():
    for each in STREAMS.values():
        yield from (each.title, each.what, each.keeping, each.keep_from, each.first_choice, each.route, each.treatment)
        yield from (*each.label, *each.never)
    for name in ("together", "apart", "unfit", "pressure"):
        yield from (entry["why"] for entry in streams.TABLES[name])


def test_no_sentence_promises_what_the_book_cannot_know():
    promise = re.compile(r"\b(safe|safely|legal|harmless|non-?toxic|clear)\b", re.IGNORECASE)

    assert [sentence for sentence in sentences() if promise.search(sentence)] == []
