"""What to do at a bench, whatever the hazard."""

import re

import pytest

from chemistry.hazards.advice import RULES, SECTIONS, advice
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import classify_as_sold
from chemistry.hazards.exposure import AUTHORITIES, air_limits
from chemistry.hazards.storage import GROUPS
from chemistry.hazards.substances import SUBSTANCES
from chemistry.waste.streams import STREAMS

FIRST_AID = ("eyes", "skin", "swallowed", "inhaled")
ALWAYS = [*FIRST_AID, "bench", "spill", "fire", "waste"]
PROMISE = re.compile(r"\b(safe|legal|non-?toxic|harmless)\b", re.IGNORECASE)
GRADES = {"read", "secondary", "ours", "common practice", "from memory"}
INTO = re.compile(r"into (?:the|a) [a-z, ]*(?:pail|can)\b|back into", re.IGNORECASE)
NEGATED = re.compile(r"\b(?:[Nn]ever|[Nn]o|[Nn]ot)\b[^.;:]*")
BREATHED = re.compile("acute_inh|stot|flam")
AQUATIC = {id for id in CLASSES if id.startswith("aq_")}
OF_CONCERN = [key for key, each in SUBSTANCES.items() if each.hazards.classes and each.hazards.classes.value]

# what would hurt if it were said of this thing, and nothing of it may be told to do; negations are struck out before
WRONG = [
    ("acetic_acid_glacial", "spill", r"metal|sawdust|soda ash (?!on it only)"),
    ("acetic_acid_glacial", "waste", r"closed can"),
    ("acetic_acid_glacial", "gear", r"nitrile"),
    ("acetic_acid_glacial", "storage", r"metal"),
    ("nitric_acid", "spill", r"metal|sawdust|paper|towels|rags|\bin(to)? a lidded"),
    ("nitric_acid", "waste", r"closed can|solvent|tight"),
    ("nitric_acid", "gear", r"nitrile"),
    ("nitric_acid", "fire", r"powder|foam"),
    ("nitric_acid", "air", r"cartridge"),
    ("nitric_acid", "swallowed", r"glasses of water"),
    ("hydrogen_peroxide_3pct", "spill", r"metal|sawdust|paper|towels|rags|\bin(to)? a lidded"),
    ("hydrogen_peroxide_3pct", "storage", r"tight|shut"),
    ("sodium_hydroxide", "spill", r"damp|[Mm]oisten|alumin"),
    ("sodium_hydroxide", "bench", r"water to it"),
    ("ammonia_solution", "spill", r"alumin|zinc"),
    ("ferric_chloride", "spill", r"metal"),
    ("acetone", "fire", r"jet"),
    ("toluene", "fire", r"jet"),
    ("white_spirit", "swallowed", r"glasses of water|[Rr]inse the mouth"),
    ("turpentine", "bench", r"cabinet\b(?! only)|emptied every day"),
    ("beeswax", "fire", r"water|foam"),
    ("rosin", "fire", r"water"),
    ("bitumen", "fire", r"water"),
    ("copper_sulfate_pentahydrate", "storage", r"alumin|steel"),
    ("copper_hydroxide", "spill", r"\bdry\b"),
    ("rags_drying_oil", "fire", r"carbon dioxide|powder|foam"),
    ("rags_drying_oil", "spill", r"sand|granules|solvent"),
    ("rags_drying_oil", "storage", r"cabinet|solvent"),
    ("rags_drying_oil", "waste", r"closed can for solvent"),
    ("peroxide_mix", "spill", r"metal|sawdust|rags"),
    ("peroxide_mix", "waste", r"closed can|tight"),
    ("solvent_spent", "fire", r"jet"),
    ("sulfuric_acid", "gear", r"nitrile"),
    ("sulfuric_acid", "spill", r"metal|soda ash (?!on it only)"),
    ("hydrochloric_acid", "spill", r"metal"),
    ("sodium_hypochlorite_strong", "spill", r"metal|sawdust"),
    ("hydrogen_peroxide_35pct", "spill", r"metal|sawdust|paper|towels|rags|\bin(to)? a lidded"),
    ("hydrogen_peroxide_35pct", "waste", r"closed can|tight"),
    ("potassium_chlorate", "spill", r"sawdust|paper|rag"),
    ("potassium_chlorate", "fire", r"foam|carbon dioxide"),
    ("potassium_dichromate", "air", r"P2|N95"),
    ("potassium_dichromate", "spill", r"\bdry\b|sawdust|rag"),
    ("copper_hydroxide", "air", r"P2|N95"),
    ("lead_white", "air", r"P2|N95"),
    ("zinc_powder", "spill", r"[Mm]oisten"),
    ("zinc_powder", "fire", r"water|foam|carbon dioxide|around it"),
    ("linseed_oil", "fire", r"jet"),
    ("linseed_oil", "bench", r"cabinet|solvent"),
    ("d_limonene", "swallowed", r"[Rr]inse the mouth"),
    ("methanol", "fire", r"jet"),
]
# and what must be said of it
RIGHT = [
    ("acetic_acid_glacial", "spill", "plastic pail: never metal"),
    ("acetic_acid_glacial", "gear", "butyl"),
    ("acetic_acid_glacial", "gear", "face shield"),
    ("acetic_acid_glacial", "air", "a hood or a slot"),
    ("nitric_acid", "spill", "inert absorbent"),
    ("nitric_acid", "spill", "vented or loose lid"),
    ("nitric_acid", "spill", "everybody out"),
    ("nitric_acid", "gear", "Never thin nitrile"),
    ("nitric_acid", "waste", "vented cap"),
    ("hydrogen_peroxide_3pct", "spill", "never sawdust, paper, towels or rags"),
    ("hydrogen_peroxide_3pct", "spill", "vented or loose lid"),
    ("sodium_hydroxide", "spill", "Sweep it up dry"),
    ("sodium_carbonate", "spill", "moisten it first"),
    ("ammonia_solution", "air", "ammonia cartridge"),
    ("acetone", "air", "organic-vapour cartridge"),
    ("turpentine", "bench", "heat themselves"),
    ("rosin", "bench", "can explode"),
    ("beeswax", "fire", "Never water on burning wax"),
    ("copper_sulfate_pentahydrate", "swallowed", "one or two glasses of water"),
    ("copper_sulfate_pentahydrate", "spill", "no dust"),
    ("rags_drying_oil", "fire", "plenty of water"),
    ("rags_drying_oil", "bench", "lidded metal can, out of the building"),
    ("rags_drying_oil", "storage", "out of the building overnight"),
    ("bath_spent", "spill", "copper waste"),
    ("sulfuric_acid", "bench", "never water into acid"),
    ("sulfuric_acid", "gear", "butyl"),
    ("hydrochloric_acid", "air", "acid-gas cartridge"),
    ("hydrogen_peroxide_35pct", "spill", "never sawdust"),
    ("potassium_dichromate", "air", "P3 or P100"),
    ("potassium_dichromate", "bench", "can cause cancer"),
    ("potassium_dichromate", "bench", "pregnant"),
    ("potassium_dichromate", "swallowed", "To a doctor at once"),
    ("lead_white", "bench", "pregnant"),
    ("zinc_powder", "fire", "Dry sand"),
    ("linseed_oil", "bench", "heat themselves"),
    ("cobalt_drier", "bench", "heat themselves"),
]


def words(section, *classes, groups=(), is_unknown=False):
    return " ".join(said.text for said in advice(section, classes, groups, is_unknown=is_unknown))


def told_of(key, section):
    """What is said of a substance as it is sold, or of a kind of waste."""
    if key in STREAMS:
        stream = STREAMS[key]
        return words(section, groups={*stream.storage_groups, *(["self heating"] if stream.self_heats else [])})
    substance = SUBSTANCES[key]
    powder = ["powder"] if substance.state == "solid" else []
    stored = substance.hazards.storage_groups.value if substance.hazards.storage_groups else ()
    groups = {*stored, *substance.hazards.handling, *powder}
    return words(section, *classify_as_sold(key, "EU").classes, groups=groups)


@pytest.mark.parametrize("section", ALWAYS)
def test_no_hazard_is_left_without_a_word(section):
    assert [known for known in CLASSES if not advice(section, [known], [])] == []
    assert [known for known in GROUPS if not advice(section, [], [known])] == []
    assert advice(section, [], [])


def test_nothing_of_concern_is_left_without_gloves_and_exhaust_where_it_is_breathed():
    hurts_hands = [key for key in OF_CONCERN if set(SUBSTANCES[key].hazards.classes.value) - AQUATIC]
    breathed = [key for key in OF_CONCERN if BREATHED.search(" ".join(classify_as_sold(key, "EU").classes))]

    assert (
        hurts_hands and [key for key in hurts_hands if not re.search("gloves|Thin nitrile", told_of(key, "gear"))] == []
    )
    assert breathed and [key for key in breathed if not told_of(key, "air")] == []


@pytest.mark.parametrize("section", FIRST_AID)
def test_first_aid_for_the_unknown_is_that_for_the_worst(section):
    worst = words(section, "asp_1" if section == "swallowed" else "skin_corr_1")

    assert words(section, is_unknown=True) == worst


def test_an_eye_that_may_be_damaged_is_rinsed_for_a_quarter_of_an_hour():
    assert "at least 15 minutes" in words("eyes", "eye_dam_1")
    assert "at least 15 minutes" in words("eyes", "skin_corr_1")


def test_nobody_is_made_to_vomit():
    said = [" ".join(each.text for each in rule.says) for rule in SECTIONS["swallowed"].rules]

    assert all("Do not make the person vomit" in text for text in said)


def test_what_would_hurt_is_never_said():
    found = [
        (key, section, pattern)
        for key, section, pattern in WRONG
        if re.search(pattern, NEGATED.sub("", told_of(key, section)))
    ]

    assert found == []


def test_a_label_names_the_agents_that_the_fire_section_names():
    agents = [id for id, each in CLASSES.items() if "P370+P378" in each.p_codes]

    assert agents and [id for id in agents if "foam, powder or carbon dioxide" not in words("fire", id)] == []


def test_what_keeps_from_harm_is_said():
    assert [(key, section, text) for key, section, text in RIGHT if text not in told_of(key, section)] == []


def test_waste_goes_where_local_rules_say_and_nowhere_else():
    assert all("According to local rules" in words("waste", groups=[group]) for group in GROUPS)


def test_a_working_bath_is_kept():
    assert words("waste", groups=["bath", "copper salt"]).startswith("A working bath is kept")


def test_every_sentence_says_how_it_is_known_and_promises_nothing():
    said = [each for rule in RULES for each in rule.says]

    assert {each.grade for each in said} <= GRADES
    assert all(each.source for each in said)
    assert not [each.text for each in said if PROMISE.search(each.text)]
    assert all(each.grade == "common practice" for each in said if "no source" in each.source)


@pytest.mark.parametrize("is_unknown", [True, False])
@pytest.mark.parametrize("classes", [[], ["skin_corr_1"], ["eye_irrit_2"]])
def test_what_a_spill_goes_into_is_said_once(classes, is_unknown):
    handled = [[], *([group] for group in GROUPS), ["acid", "oxidiser"], ["acid", "flammable"]]
    told = {
        (*groups, *more): len(
            INTO.findall(NEGATED.sub("", words("spill", *classes, groups=[*groups, *more], is_unknown=is_unknown)))
        )
        for groups in handled
        for more in ([], ["powder"])
    }

    assert {groups: times for groups, times in told.items() if times != 1} == {}


@pytest.mark.parametrize("key", OF_CONCERN)
def test_whoever_may_set_a_limit_in_the_air_was_asked(key):
    assert SUBSTANCES[key].hazards.exposure_limits.keys() == AUTHORITIES.keys()


@pytest.mark.parametrize(
    ("region", "said"),
    [
        ("us", ["OSHA", "NIOSH"]),
        ("eu", ["EU"]),
        ("gb", ["Great Britain"]),
        ("elsewhere", ["OSHA", "NIOSH", "EU", "Great Britain"]),
    ],
)
def test_a_region_is_told_its_own_limits(region, said):
    assert [each.text.partition(":")[0] for each in air_limits(SUBSTANCES["toluene"], region)] == said


def test_a_limit_nobody_has_found_is_never_left_out():
    assert [each.text for each in air_limits(SUBSTANCES["citric_acid"], "us")] == ["None on record here: OSHA, NIOSH."]
