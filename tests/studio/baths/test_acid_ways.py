"""Every way in which a studio brings acid into a bath: mixed with it, topped up with it, poured in alone."""

from uuid import uuid4

import pytest

from inventory.models import Entry
from studio.baths import estimate
from studio.baths.acid import acid_jars, strength_of
from studio.baths.status import status_of_baths
from studio.safety.labels import label_of_bath
from studio.workshop.models import Workshop
from tests.factories import BathFactory, adopted, stocked
from tests.studio.baths.test_planner import errors, mixing, topping_up, url, words
from tests.studio.safety.shop import constituent

pytestmark = pytest.mark.django_db

TRAINED = {"trained": "on"}
ACID_96, WEIGHED_96 = "Sulfuric acid 96 %", "Sulphuric acid, 96 %"
# densities of sulfuric acid at 20 °C: CRC Handbook, 102nd ed., 96 % 1.8355, 37 % 1.277 g/mL
WAYS = [
    # what is typed of the acid, the bottle that stands here, grams of H2SO4 that go in
    ("none", {}, None, 0.0),
    ("an amount of nothing", {"acid_0": "0", "acid_1": "g"}, None, 0.0),
    ("by weight", {"acid_0": "100", "acid_1": "g", "acid_percent": "96"}, None, 96.0),
    ("by weight, US", {"acid_0": "4", "acid_1": "oz", "acid_percent": "96"}, None, 0.96 * 4 * 28.3495),
    ("by volume", {"acid_0": "100", "acid_1": "mL", "acid_percent": "96"}, None, 0.96 * 183.55),
    ("by volume, US", {"acid_0": "4", "acid_1": "fl oz", "acid_percent": "37"}, None, 0.37 * 1.277 * 4 * 29.5735),
    ("its unit beside its number", {"acid_0": "100 ml", "acid_1": "g", "acid_percent": "96"}, None, 0.96 * 183.55),
    ("battery acid", {"acid_0": "200", "acid_1": "mL", "acid_percent": "37"}, None, 0.37 * 255.4),
    ("aimed at", {"acid_0": "30", "acid_1": "g/L", "acid_percent": "96"}, None, "30 g/L"),
    ("aimed at, typed whole", {"acid_0": "30 g/L", "acid_1": "g", "acid_percent": "96"}, None, "30 g/L"),
    ("aimed at, US", {"acid_0": "4", "acid_1": "oz/gal", "acid_percent": "96"}, None, "29.96 g/L"),
    ("a bottle with its strength", {"acid_0": "100", "acid_1": "g"}, ACID_96, 96.0),
    ("a bottle with a range", {"acid_0": "100", "acid_1": "mL"}, "Battery acid 30-38 %", 0.34 * 125.1),
    ("another strength than its name says", {"acid_0": "100", "acid_1": "g", "acid_percent": "50"}, ACID_96, 50.0),
    ("a bottle that is weighed", {"acid_0": "100", "acid_1": "mL"}, WEIGHED_96, 0.96 * 183.55),
    ("aimed at, out of a bottle", {"acid_0": "30", "acid_1": "g/L"}, ACID_96, "30 g/L"),
]
REFUSED = [
    # what is typed of the acid, the bottle, the field that asks again
    ("nobody trained", {"acid_0": "100", "acid_1": "g", "acid_percent": "96", "trained": ""}, None, "trained"),
    ("no strength", {"acid_0": "100", "acid_1": "g"}, None, "acid_percent"),
    ("a bottle whose strength nobody wrote down", {"acid_0": "100", "acid_1": "g"}, "Battery acid", "acid_percent"),
    ("stronger than pure", {"acid_0": "100", "acid_1": "g", "acid_percent": "120"}, None, "acid_percent"),
    ("more than is in the bottle", {"acid_0": "3000", "acid_1": "g"}, ACID_96, "acid"),
    ("no etching bath", {"acid_0": "400", "acid_1": "g/L", "acid_percent": "96"}, None, "acid"),
    ("weaker than is aimed at", {"acid_0": "100", "acid_1": "g/L", "acid_percent": "10"}, None, "acid"),
    ("no number", {"acid_0": "some", "acid_1": "g", "acid_percent": "96"}, None, "acid"),
]


def bottle_of(name):
    if name is None:
        return None
    kept = (
        {"dimension": "mass", "shown_unit": "g"} if name == WEIGHED_96 else {"dimension": "volume", "shown_unit": "mL"}
    )
    return stocked("1 kg" if name == WEIGHED_96 else "1 L", name=name, category="Plate cleaners and degreasers", **kept)


@pytest.fixture
def bottles():
    """A bottle of each name."""
    names = {name for _, _, name, _ in (*WAYS, *REFUSED)}
    return {name: bottle_of(name) for name in sorted(names, key=str)}


def parts(substance, percent):
    return constituent(substance, percent, percent) | {"of_part": substance == "sulfuric_acid"}


def of_bottle(jar):
    return {"acid_from": str(jar.pk) if jar else ""}


def is_as_wanted(bath, wanted):
    state = estimate.at_moment(bath)
    if isinstance(wanted, str):
        return state.acid_g_per_l == pytest.approx(float(wanted.partition(" ")[0]), rel=0.002)
    return state.acid_g == pytest.approx(wanted, rel=0.002)


def test_a_bath_is_mixed_with_acid_in_one_write(member, bottles):
    crystals = stocked("20 kg", crystals=True)
    for way, typed, name, wanted in WAYS:
        bath, form = BathFactory(), mixing((crystals, "900"), water="4", **TRAINED, **of_bottle(bottles[name]))

        answer = member.post(url("mix", bath), form | typed)

        assert answer.status_code == 302, (way, answer.context["form"].errors)
        assert Entry.objects.filter(bath_events__bath=bath).distinct().count() == 1, way
        assert is_as_wanted(bath, wanted), (way, estimate.at_moment(bath).acid_g)


def test_acid_joins_a_top_up_and_goes_in_alone(member, bottles):
    for way, typed, name, wanted in WAYS:
        added, alone = adopted(volume_l=4, fill_l=5, strength_g_per_l=220), adopted(volume_l=4, strength_g_per_l=220)
        form = {"key": uuid4()} | TRAINED | of_bottle(bottles[name]) | typed

        answer = member.post(url("top_up", added), topping_up(water="0.2", weak_anyway="on") | form)

        assert answer.status_code == 302, (way, answer.context["form"].errors)
        assert is_as_wanted(added, wanted), (way, estimate.at_moment(added).acid_g)
        if wanted:
            member.post(url("add_acid", alone), form | {"key": uuid4()})
            assert is_as_wanted(alone, wanted), (way, estimate.at_moment(alone).acid_g)


def test_what_cannot_be_is_asked_again_beside_its_field_on_every_page(member, bottles):
    crystals = stocked("20 kg", crystals=True)
    for way, typed, name, field in REFUSED:
        form = TRAINED | of_bottle(bottles[name])
        pages = {
            "mix": (BathFactory(), mixing((crystals, "900"), water="4")),
            "top_up": (adopted(volume_l=4, strength_g_per_l=220), topping_up(water="0.2", weak_anyway="on")),
            "add_acid": (adopted(volume_l=4, strength_g_per_l=220), {"key": uuid4()}),
        }
        for page, (bath, others) in pages.items():
            answer = member.post(url(page, bath), others | form | typed)

            assert answer.status_code == 200, (way, page)
            assert errors(answer, field), (way, page, answer.context["form"].errors)
            state = estimate.at_moment(bath)
            assert state is None or state.acid_g == 0, (way, page)
            assert "Acid into water, never the other way" in words(answer), (way, page)


def test_the_bottle_goes_down_by_what_went_in_as_it_is_kept(member, bottles):
    # 96 %: 1.8355 g/mL; mL and g are kept as µL and mg
    for name, typed, gone in [
        (ACID_96, {"acid_0": "100", "acid_1": "mL"}, 100_000),
        (ACID_96, {"acid_0": "183.55", "acid_1": "g"}, 100_000),
        (WEIGHED_96, {"acid_0": "100", "acid_1": "mL"}, 183_550),
        (WEIGHED_96, {"acid_0": "100", "acid_1": "g"}, 100_000),
    ]:
        jar, bath = bottles[name], adopted(volume_l=4)
        before = jar.on_hand

        member.post(url("add_acid", bath), {"key": uuid4()} | TRAINED | of_bottle(jar) | typed)

        jar.refresh_from_db()
        assert before - jar.on_hand == pytest.approx(gone, abs=100), (name, typed)


def test_acid_that_is_in_a_bath_already_is_only_made_more(member):
    sour = adopted(volume_l=4, strength_g_per_l=220)
    form = TRAINED | {"acid_percent": "96", "acid_1": "g/L"}
    member.post(url("add_acid", sour), {"key": uuid4(), "acid_0": "40"} | form)

    more = member.post(url("add_acid", sour), {"key": uuid4(), "acid_0": "50"} | form)
    less = member.post(url("add_acid", sour), {"key": uuid4(), "acid_0": "30"} | form)

    assert more.status_code == 302
    assert estimate.at_moment(sour).acid_g_per_l == pytest.approx(50, rel=0.002)
    assert "holds 50 g/L already" in errors(less, "acid")


def test_powder_and_acid_make_the_bath_that_crystals_and_acid_make(member):
    crystals, powder = stocked("5 kg", crystals=True), stocked("5 kg", powder=True)
    blue, pale = BathFactory(), BathFactory()
    acid = TRAINED | {"acid_0": "100", "acid_1": "g", "acid_percent": "96"}

    member.post(url("mix", blue), mixing((crystals, "900"), water="4", **acid))
    # 575.3 g of CuSO4 and the 324.7 g of water that 900 g of its pentahydrate hold (IUPAC weights)
    member.post(url("mix", pale), mixing((powder, "575.3"), water="4.3253", **acid))

    first, second = estimate.at_moment(blue), estimate.at_moment(pale)
    for name in ("strength_g_per_l", "acid_g_per_l", "volume_l"):
        assert getattr(second, name) == pytest.approx(getattr(first, name), rel=0.001), name


def test_the_recipe_says_the_acid_and_fills_it_in(member):
    bath, crystals = BathFactory(), stocked("5 kg", crystals=True)
    asked = {"volume_0": "4", "volume_1": "L", "strength": "228", "acid": "50"}

    page = member.get(url("mix", bath), asked)

    assert "208 g (114 mL) of sulfuric acid, 96 %" in words(page)
    recipe = page.context["recipe"]
    offered = {"acid_0": "50", "acid_1": "g/L", "acid_percent": "96"} | TRAINED
    member.post(url("mix", bath), mixing((crystals, str(recipe.salt_g)), water=f"{recipe.water_l:.4f}", **offered))
    mixed = estimate.at_moment(bath)
    assert (mixed.volume_l, mixed.strength_g_per_l, mixed.acid_g_per_l) == pytest.approx((4, 228, 50), rel=0.001)
    assert 'value="50"' in page.content.decode()


def test_a_recipe_goes_by_the_bottle_that_stands_here(member):
    stocked("1 L", name="Battery acid 37 %", dimension="volume", shown_unit="mL")
    asked = {"volume_0": "4", "volume_1": "L", "strength": "228", "acid": "50"}

    # 200 g of H2SO4
    assert "541 g (423 mL) of sulfuric acid, 37 %" in words(member.get(url("mix", BathFactory()), asked))


def test_a_recipe_that_a_weak_acid_cannot_reach_is_refused(member):
    stocked("1 L", name="Sulfuric acid 10 %", dimension="volume", shown_unit="mL")
    asked = {"volume_0": "4", "volume_1": "L", "strength": "228", "acid": "200"}

    assert "take a stronger one" in words(member.get(url("mix", BathFactory()), asked))


def test_the_planner_brings_the_acid_back(member):
    sour, clear = adopted(volume_l=10, strength_g_per_l=230), adopted(volume_l=10, strength_g_per_l=230)
    member.post(
        url("add_acid", sour), {"key": uuid4(), "acid_0": "40", "acid_1": "g/L", "acid_percent": "96"} | TRAINED
    )
    asked = {"way": "water", "level_0": "12", "level_1": "L", "acid": "40"}

    planned = member.get(url("top_up", sour), asked).context["plan"]

    assert planned.acid.added.percent == 96
    assert planned.after.acid_g_per_l == pytest.approx(40, rel=0.001)
    assert "g of sulfuric acid, 96 %, up to 40 g/L" in words(member.get(url("top_up", sour), asked))
    assert "already" in words(member.get(url("top_up", sour), asked | {"acid": "20"}))
    assert "Acid wanted" not in words(member.get(url("top_up", clear)))


def test_the_label_says_acid_as_soon_as_it_is_mixed(member):
    bath, crystals = BathFactory(), stocked("5 kg", crystals=True)
    acid = TRAINED | {"acid_0": "50", "acid_1": "g/L", "acid_percent": "96"}

    member.post(url("mix", bath), mixing((crystals, "900"), water="4", **acid))

    label = label_of_bath(status_of_baths([bath])[0], Workshop(), elements="workplace")
    assert "sulfuric acid" in label["what"]
    assert "skin_corr_1" in label["classes"]


def test_what_stands_here_is_told_by_its_sheet_its_lot_or_its_name():
    stands = [
        ("Sulfuric acid 96 %", {}, 96),
        ("Sulphuric acid 30-38 %", {}, 34),
        ("Oil of vitriol", {}, None),
        ("Pickle", {"composition": [parts("sulfuric_acid", 10), parts("water", 90)]}, 10),
        ("Brass cleaner", {"composition": [parts("sulfuric_acid", 10), parts("acetone", 10)]}, "no sulfuric acid"),
        ("Vinegar", {}, "no sulfuric acid"),
    ]
    jars = {stocked("1 L", name=name, dimension="volume", **facts).pk: told for name, facts, told in stands}

    found = {jar.pk: strength_of(jar) for jar in acid_jars()}

    for pk, told in jars.items():
        assert (pk in found) == (told != "no sulfuric acid")
        if pk in found:
            assert (found[pk] and found[pk].percent) == told
