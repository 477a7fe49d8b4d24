from dataclasses import asdict
from decimal import Decimal

import pytest

from inventory import book
from studio.baths.status import status_of_baths
from studio.hazards import classification
from studio.hazards.classification import VesselContent
from studio.shelf import composition
from tests.factories import BathFactory, MaterialFactory, adopted, day, signed
from tests.studio.safety.shop import constituent, copied, made_of

pytestmark = pytest.mark.django_db


def of_bath(bath, region="eu"):
    return classification.classify_bath(status_of_baths([bath], day(0))[0], region)


def test_a_working_bath_damages_eyes_and_harms_fish():
    found = of_bath(adopted(strength_g_per_l=240)).now

    assert found.signal_word == "Danger"
    assert found.pictograms == ("GHS05", "GHS09")
    assert found.codes == ("H318", "H400", "H411")
    assert found.word == "Danger"


def test_a_bath_is_classed_at_the_strong_end_of_what_is_known():
    bath = adopted(strength_g_per_l=240)  # ± 10

    found = of_bath(bath)

    assert found.blue_percent == Decimal("21.65")  # 249.8 g/L at 1.154 g/mL
    assert "H302" in found.dried.codes


def test_a_bath_says_what_drying_adds():
    found = of_bath(adopted(strength_g_per_l=240))

    assert classification.raised(found.dried.every_class, over=found.now.every_class) == (
        "acute_oral_4",
        "aq_chronic_1",
    )
    assert found.dried_percent == Decimal("25.68")


def test_what_the_salts_own_sheet_knows_besides_goes_into_the_bath():
    copied(MaterialFactory(crystals=True), ("H317", "May cause an allergic skin reaction."), signal_word="Warning")

    assert of_bath(adopted()).now.codes == ("H317", "H318", "H400", "H411")


def test_a_milder_sheet_of_the_salt_takes_nothing_out_of_the_bath():
    copied(MaterialFactory(crystals=True), ("H319", "Causes serious eye irritation."), signal_word="Warning")

    assert of_bath(adopted()).now.codes == ("H318", "H400", "H411")


def test_an_unread_bath_needs_info_and_is_never_clear():
    found = of_bath(BathFactory()).now

    assert found.needs_info
    assert found.word == "needs info"


def test_american_rules_keep_the_hazard_to_fish_beside_the_label():
    found = of_bath(adopted(), "us").now

    assert found.codes == ("H318", "H400", "H411")
    assert [line.code for line in found.hazards] == ["H318"]
    assert [sign.code for sign in found.signs] == ["GHS05", "GHS09"]
    assert "not required" in found.left_out


def test_a_material_without_composition_needs_info():
    found = classification.classify_material(MaterialFactory(), "eu")

    assert found.needs_classes
    assert found.word == "needs info"


def test_a_material_is_classed_by_its_parts():
    thinner = made_of(("toluene", 40, 60), ("acetone", 30, 40), ("isopropanol", 5, 20))

    found = classification.classify_material(thinner, "eu")

    assert {"flam_liq_2", "repr_2", "asp_1"} <= set(found.classes)
    assert found.basis == "the rules of the European Union for mixtures"


@pytest.mark.parametrize(
    ("flash_point_c", "codes"), [(-30, ("H224",)), (4, ("H225",)), (22.9, ("H225",)), (40, ("H226",)), (61, ())]
)
def test_a_flash_point_alone_gives_its_class_and_the_rest_needs_info(flash_point_c, codes):
    found = classification.classify_material(MaterialFactory(name="Spirit", flash_point_c=flash_point_c), "eu")

    assert found.codes == codes
    assert found.is_flammable == bool(codes)
    assert "hazard classes of Spirit (100 %)" in found.needs_info


def test_everything_that_is_known_gives_its_storage_groups():
    stuff = made_of(("acetic_acid_5pct", 10, 20), storage_group="salt cleaner", flash_point_c=20)
    copied(stuff, ("H272", "May intensify fire; oxidiser."), signal_word="Danger")

    found = classification.classify_material(stuff, "eu")

    assert found.storage_groups == {"weak acid", "salt cleaner", "flammable", "oxidiser"}
    assert found.ungrouped == ()


def test_what_is_filed_under_solvents_burns_until_its_sheet_says_otherwise():
    filed = {"category": "Solvents and thinners"}
    thinner, water_based, heavy = (MaterialFactory(**filed, **more) for more in ({}, {}, {"flash_point_c": 95}))
    copied(water_based, ("H319", "Causes serious eye irritation."), signal_word="Warning")

    found = classification.classify_materials([thinner, water_based, heavy], "eu")

    assert [each.is_flammable for each in found.values()] == [True, False, False]
    assert found[thinner.pk].word == "needs info"


def test_a_past_day_goes_by_the_sheet_of_that_day():
    polish = MaterialFactory()
    copied(polish, ("H319", "Causes serious eye irritation."), at=1)
    copied(polish, ("H318", "Causes serious eye damage."), at=5)

    codes = [classification.classify_material(polish, "eu", day(at)).codes for at in (0.5, 2, 6)]

    assert codes == [(), ("H319",), ("H318",)]


def test_an_unknown_part_leaves_a_material_in_need_of_info():
    found = classification.classify_material(made_of(("water", 60, 80), ("secret resin", 20, 40)), "eu")

    assert found.word == "needs info"
    assert any("secret resin" in missing for missing in found.needs_info)


def test_blue_crystals_are_known_by_what_they_do_in_a_bath():
    found = classification.classify_material(MaterialFactory(crystals=True), "gb")

    assert found.codes == ("H302", "H318", "H410")


def test_what_is_not_pure_leaves_a_share_unknown():
    found = classification.classify_material(MaterialFactory(crystals=True, purity=0.98), "gb")

    assert "what the other 2 % of the mixture is" in found.needs_info


def test_water_is_known_not_to_be_classified():
    assert classification.classify_material(MaterialFactory(water=True), "eu").word == "not classified"


def test_the_suppliers_sheet_goes_before_the_sum():
    acetone = made_of(("acetone", 100, 100))
    copied(acetone, ("H226", "Flammable liquid and vapour."), signal_word="Warning", pictograms=["GHS02"])

    found = classification.classify_material(acetone, "eu")

    assert (found.signal_word, found.codes, found.classes) == ("Warning", ("H226",), ("flam_liq_3",))
    assert found.basis == "the supplier’s sheet of 3 March 2025"


def test_an_american_sheet_that_says_nothing_of_fish_does_not_silence_the_sum():
    crystals = MaterialFactory(crystals=True)
    copied(crystals, ("H318", "Causes serious eye damage."), signal_word="Danger", pictograms=["GHS05"])

    american, european = (classification.classify_material(crystals, region) for region in ("us", "eu"))

    assert american.codes == ("H318", "H410")
    assert [sign.code for sign in american.signs] == ["GHS05", "GHS09"]
    assert european.codes == ("H318",)


def test_the_latest_sheet_counts_and_a_struck_one_does_not():
    polish = MaterialFactory()
    copied(polish, ("H319", "Causes serious eye irritation."), at=1)
    later = copied(polish, ("H318", "Causes serious eye damage."), at=2)

    assert classification.classify_material(polish, "eu").codes == ("H318",)
    book.strike(later.entry, by=signed(3), reason="another product")
    assert classification.classify_material(polish, "eu").codes == ("H319",)


def test_a_drum_of_unknown_content_needs_info():
    assert classification.classify_mixture([], "eu").word == "needs info"


def test_a_tested_flash_point_gives_its_class_to_what_nobody_knows():
    [found] = classification.classify_vessels([VesselContent(kinds=["cleaner_used"], flash_point_c=12)], "eu")

    assert found.codes == ("H225",)
    assert found.storage_groups == {"salt cleaner", "flammable"}
    assert found.has_unknown_part


def test_copper_stays_in_the_classes_of_whatever_it_was_poured_to():
    [found] = classification.classify_vessels(
        [VesselContent(kinds=["bath_spent", "cleaner_used"], most_copper_mg_per_l=50_000)], "eu"
    )

    assert {"H318", "H400"} <= set(found.codes)
    assert found.needs_info and found.has_unknown_part


def test_what_a_jar_brought_counts_in_full():
    acetone = made_of(("acetone", 100, 100))

    european, american = (
        classification.classify_vessels([VesselContent(kinds=["rinse"], given_up=[acetone])], region)[0]
        for region in ("eu", "us")
    )

    assert european.codes == american.codes == ("H225", "H319", "H336")
    assert "flammable" in european.storage_groups and european.needs_info


def test_many_materials_are_classed_in_one_query(django_assert_num_queries):
    materials = [made_of(("acetone", 100, 100)) for _ in range(5)]

    with django_assert_num_queries(1):
        classification.classify_materials(materials, "eu")


def test_the_most_severe_come_first_and_what_needs_info_before_what_is_not_classified():
    known = {
        "water": made_of(("water", 100, 100)),
        "unknown": MaterialFactory(),
        "soda": made_of(("sodium_carbonate", 100, 100)),
        "lye": made_of(("sodium_hydroxide", 100, 100)),
    }

    ranked = sorted(known, key=lambda name: classification.classify_material(known[name], "eu").rank)

    assert ranked == ["lye", "soda", "unknown", "water"]


def test_what_a_print_studio_owns_is_classed_by_its_name_or_its_sheet():
    """Named after a substance, or with the line of its sheet; what Annex VI and its limits give, to the letter."""
    corrosive = {"H314"}
    for name, lines, codes, group in [
        ("Muriatic acid", "", {"H290", "H335", *corrosive}, "acid"),
        ("Hydrochloric acid 12 %", "", {"H290", "H315", "H319", "H335"}, "acid"),
        ("Hydrochloric acid 9 %", "", {"H290"}, "acid"),
        ("Sulphuric acid", "", {"H290", *corrosive}, "acid"),
        ("Pickle A", "Sulfuric acid 15\nWater 85", {"H290", *corrosive}, "acid"),
        ("Pickle B", "Sulfuric acid 14.9\nWater 85.1", {"H290", "H315", "H319"}, "acid"),
        ("Pickle C", "7664-93-9 4.9\nWater 95.1", {"H290"}, "acid"),
        ("Dry acid", "", {"H318"}, "acid"),
        ("Citric acid", "", {"H319", "H335"}, "weak acid"),
        ("Baking soda", "", set(), "carbonate"),
        ("Whiting", "", set(), "carbonate"),
        ("Household bleach", "", {"H290", "H315", "H318", "H400", "H411"}, "bleach"),
        ("Pool chlorine", "", {"H290", "H410", *corrosive}, "bleach"),
        ("Hydrogen peroxide 3 %", "", set(), "oxidiser"),
        ("Hydrogen peroxide 6 %", "", {"H319"}, "oxidiser"),
        ("Hydrogen peroxide 12 %", "", {"H318"}, "oxidiser"),
        ("Hydrogen peroxide", "", {"H302", "H315", "H318", "H335"}, "oxidiser"),
        ("Bottle", "7722-84-1 50\nWater 50", {"H272", "H302", "H335", *corrosive}, "oxidiser"),
        ("Citrus solvent", "", {"H226", "H304", "H315", "H317", "H410"}, "flammable"),
        ("Methanol", "", {"H225", "H301", "H311", "H331", "H370"}, "flammable"),
        ("Fuel", "Methanol 3-9\nEthanol 91-97", {"H225", "H302", "H319", "H371"}, "flammable"),
        ("MEK", "", {"H225", "H319", "H336"}, "flammable"),
        ("Boiled linseed oil", "", set(), "combustible"),
        ("Cobalt drier", "", {"H226", "H304", "H317", "H319", "H360", "H400", "H412"}, "flammable"),
        ("Flake white", "", {"H302", "H332", "H360", "H373", "H410"}, "pigment"),
        ("Chrome yellow", "", {"H350", "H360", "H373", "H410"}, "pigment"),
        ("Cadmium red", "", {"H302", "H341", "H350", "H361d", "H372", "H413"}, "pigment"),
        ("Old red ink", "1306-23-6 0.1\nLinseed oil 99.9", {"H350"}, "pigment"),
        (
            "Potassium dichromate",
            "",
            {
                "H272",
                "H301",
                "H312",
                "H317",
                "H330",
                "H334",
                "H335",
                "H340",
                "H350",
                "H360",
                "H372",
                "H410",
                *corrosive,
            },
            "oxidiser",
        ),
        ("Chlorate of potash", "", {"H271", "H302", "H332", "H411"}, "oxidiser"),
        ("Brass sheet", "", set(), "general"),
        ("Zinc plate", "", set(), "reactive metal"),
        ("Zinc dust", "", {"H410"}, "reactive metal"),
        ("Steel wool", "", set(), "steel"),
        # as a sheet lists it, a number means what is dissolved: never the milder solution of that number
        ("Etch", "7697-37-2 68\nWater 32", {"H272", "H331", *corrosive}, "acid"),
        ("Weak etch", "7697-37-2 4.9\nWater 95.1", {"H315", "H318"}, "acid"),
        ("Acid", "64-19-7 80-100", {"H226", *corrosive}, "acid"),
    ]:
        rest = [] if not lines else composition.read(lines)
        material = MaterialFactory(name=name, composition=[asdict(each) for each in rest])
        found = classification.classify_material(material, "eu")
        assert set(found.codes) == codes, (name, lines, set(found.codes) ^ codes)
        assert group in found.storage_groups, (name, found.storage_groups)
        assert found.needs_info, name


def test_a_name_alone_never_reads_as_clear_and_gives_way_to_what_is_written():
    acetone = MaterialFactory(name="Acetone")
    written = MaterialFactory(name="Isopropyl alcohol", composition=[constituent("water", 100, 100)])

    by_name = classification.classify_material(acetone, "eu")

    assert "H225" in by_name.codes and by_name.is_flammable
    assert any("whether Acetone is what its name says" in asked for asked in by_name.needs_info)
    assert classification.classify_material(MaterialFactory(name="Baking soda"), "eu").word == "needs info"
    assert classification.classify_material(written, "eu").word == "not classified"


def test_bleach_says_on_its_label_that_acid_frees_gas():
    european, american = (
        classification.classify_material(MaterialFactory(name=name), region)
        for name, region in (("Household bleach", "eu"), ("Bleach", "us"))
    )

    assert "Contact with acids liberates toxic gas." in european.supplemental
    assert american.supplemental == ()


def test_oil_that_heats_rags_is_handled_as_such_whatever_it_is_filed_under():
    for name in ("Linseed oil", "Gum turpentine", "Cobalt drier", "Citrus solvent"):
        found = classification.classify_material(MaterialFactory(name=name, category="Cleaning"), "eu")
        assert classification.DRYING_OIL in found.handling, name


def test_every_region_calls_its_rules_by_their_own_name():
    thinner = made_of(("toluene", 40, 60))
    names = {"eu": "the European Union", "gb": "Great Britain", "us": "the United States", "elsewhere": "UN GHS"}

    found = {region: classification.classify_material(thinner, region) for region in names}

    assert {region: each.basis.partition(" for mixtures")[0] for region, each in found.items()} == {
        region: f"the rules of {name}" for region, name in names.items()
    }
    # the newer European classes are asked for where they hold
    assert [region for region, each in found.items() if any("EUH380" in one for one in each.needs_info)] == ["eu"]
