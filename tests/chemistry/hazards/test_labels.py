import re
from pathlib import Path

import pytest

from chemistry import data_files
from chemistry.hazards import labels
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import bath, classify_as_sold
from chemistry.hazards.labels import STATEMENTS, label, statement
from chemistry.hazards.mixture import classify
from chemistry.hazards.regimes import REGIMES

FORBIDDEN = re.compile(r"\b(harmless|non-?toxic|safe)\b", re.IGNORECASE)


@pytest.mark.parametrize(
    ("classes", "pictograms"),
    [
        (["eye_dam_1", "eye_irrit_2"], ("GHS05",)),
        (["eye_dam_1", "skin_irrit_2"], ("GHS05",)),
        (["eye_dam_1", "acute_oral_4"], ("GHS05", "GHS07")),
        (["eye_dam_1", "skin_irrit_2", "acute_oral_4"], ("GHS05", "GHS07")),
        (["eye_dam_1", "stot_se_3_resp"], ("GHS05", "GHS07")),
        (["eye_dam_1", "stot_se_3_narc"], ("GHS05", "GHS07")),
        (["eye_dam_1", "skin_sens_1"], ("GHS05", "GHS07")),
        (["acute_oral_3", "skin_irrit_2", "stot_se_3_narc"], ("GHS06",)),
        (["acute_inh_2", "acute_oral_4", "eye_dam_1"], ("GHS05", "GHS06")),
        (["resp_sens_1", "skin_sens_1", "eye_irrit_2"], ("GHS08",)),
        (["resp_sens_1", "skin_sens_1", "acute_oral_4"], ("GHS07", "GHS08")),
        (["repr_2", "skin_irrit_2"], ("GHS07", "GHS08")),
        (["flam_liq_2", "eye_irrit_2"], ("GHS02", "GHS07")),
        (["aq_chronic_3"], ()),
    ],
)
def test_the_exclamation_mark_gives_way_only_for_the_hazards_named(classes, pictograms):
    # CLP Art. 26(1); UN GHS 1.4.10.5.3.1
    assert label(classes, "EU").pictograms == pictograms


def test_danger_replaces_warning():
    assert label(["flam_liq_3", "asp_1"], "EU").signal_word == "Danger"
    assert label(["flam_liq_3", "eye_irrit_2"], "EU").signal_word == "Warning"
    assert label(["aq_chronic_2"], "EU").signal_word == ""
    assert label([], "EU") == labels.Label(signal_word="", pictograms=(), h_codes=(), p_codes=())


@pytest.mark.parametrize(
    ("classes", "h_codes"),
    [
        (["aq_acute_1", "aq_chronic_1"], ("H410",)),
        (["aq_acute_1", "aq_chronic_2"], ("H400", "H411")),
        (["aq_acute_1", "aq_chronic_3"], ("H400", "H412")),
        (["aq_acute_2", "aq_chronic_2"], ("H411",)),
        (["aq_acute_3", "aq_chronic_3"], ("H412",)),
        (["skin_corr_1", "eye_dam_1"], ("H314",)),
        (["skin_irrit_2", "eye_dam_1"], ("H315", "H318")),
        (["eye_dam_1", "eye_irrit_2"], ("H318",)),
    ],
)
def test_a_statement_is_left_out_only_where_another_includes_it(classes, h_codes):
    assert label(classes, "UN").h_codes == h_codes


def test_classes_a_regime_does_not_know_are_left_out_of_its_label():
    classes = ["flam_liq_4", "acute_oral_5", "eye_irrit_2b", "aq_acute_1", "aq_acute_3"]

    assert label(classes, "EU").h_codes == ("H400",)
    assert label(classes, "US").h_codes == ("H227", "H320")
    assert label(classes, "UN").h_codes == ("H227", "H303", "H320", "H400")


def test_a_bath_in_the_eu_carries_six_precautions_with_the_eye_first():
    # CLP Art. 28(3): six as a rule
    found = label(classify(bath(20), "EU").classes, "EU")

    assert found.p_codes == ("P273", "P280", "P305+P351+P338", "P310", "P391", "P501")


def test_a_thinner_in_the_eu_carries_six_precautions_and_elsewhere_all():
    thinner = classify_as_sold("lacquer_thinner_generic", "EU").classes

    assert label(thinner, "EU").p_codes == ("P210", "P280", "P301+P310", "P303+P361+P353", "P305+P351+P338", "P331")
    assert len(label(thinner, "UN").p_codes) > 20


@pytest.mark.parametrize(
    ("class_id", "response"),
    [
        ("skin_corr_1", {"P301+P330+P331", "P303+P361+P353", "P305+P351+P338", "P310"}),
        ("eye_dam_1", {"P305+P351+P338", "P310"}),
        ("asp_1", {"P301+P310", "P331"}),
    ],
)
def test_the_response_to_a_grave_hazard_is_never_crowded_out(class_id, response):
    # all classes but those which include these statements in others
    crowd = [id for id in CLASSES if id not in ("skin_corr_1", "asp_1")]

    assert response <= set(label([*crowd, class_id], "EU").p_codes)


@pytest.mark.parametrize("regime", REGIMES)
def test_every_code_that_a_label_can_carry_has_words(regime):
    for known in CLASSES.values():
        codes = label([known.id], regime)

        assert all(statement(code, regime) for code in (*codes.h_codes, *codes.p_codes))


def test_every_statement_is_used_by_some_class():
    used = {code for known in CLASSES.values() for code in (known.h_code, *known.p_codes)}

    # those that CLP adds belong to no class here; they are read off a sheet
    assert used == {code for code in STATEMENTS if not code.startswith("EUH")}


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("H318", "Causes serious eye damage."),
        ("H400", "Very toxic to aquatic life."),
        ("H411", "Toxic to aquatic life with long lasting effects."),
        ("H302", "Harmful if swallowed."),
        ("H304", "May be fatal if swallowed and enters airways."),
        ("H361d", "Suspected of damaging the unborn child."),
        ("P273", "Avoid release to the environment."),
        ("P391", "Collect spillage."),
    ],
)
def test_the_words_are_those_of_the_standard(code, words):
    # CLP Annex III and IV, consolidated 2025-09-01
    assert statement(code, "EU") == words


def test_american_spelling_is_used_where_american_rules_hold():
    assert statement("H226", "US") == "Flammable liquid and vapor."
    assert statement("H226", "UN") == "Flammable liquid and vapour."
    assert "oxidizer" in statement("H272", "US")
    assert "POISON CENTER" in statement("P312", "US")


def test_a_disposal_route_is_never_invented():
    assert statement("P501", "EU") == "Dispose of contents/container according to local rules."


def test_no_gap_of_the_standard_is_left_on_a_paper():
    assert not [code for code, known in STATEMENTS.items() if re.search(r"…|\.\.\.|[<>\[\]]", known.text)]


def test_words_filled_in_by_us_are_marked():
    assert STATEMENTS["P501"].filled
    assert STATEMENTS["P370+P378"].filled
    assert not STATEMENTS["H318"].filled


def test_an_unknown_statement_or_class_is_refused():
    with pytest.raises(ValueError, match="no such statement: H999"):
        statement("H999", "EU")
    with pytest.raises(ValueError, match="no such hazard class: blinding"):
        label(["blinding"], "EU")
    with pytest.raises(ValueError, match="regime must be one of"):
        label([], "UK")


def test_pictograms_are_named_as_the_standard_names_them():
    assert labels.PICTOGRAMS["GHS09"] == "environment"
    assert {known.pictogram for known in CLASSES.values()} - {""} <= labels.PICTOGRAMS.keys()


@pytest.mark.parametrize("path", sorted(data_files.DATA.glob("*.toml")), ids=lambda path: path.stem)
def test_no_fact_on_record_calls_anything_harmless(path: Path):
    assert not FORBIDDEN.findall(path.read_text(encoding="utf-8"))
