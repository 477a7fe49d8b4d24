"""Deposits in one act with what they come from."""

from dataclasses import asdict

import pytest
from django.urls import reverse

from chemistry import waste
from chemistry.measured import by_scale
from chemistry.waste.drum import weighed
from inventory.book import strike
from inventory.models import Constituent, Material
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths import operations as baths
from studio.baths.models import BathEvent
from studio.waste import content, hazards, operations, properties, sources
from studio.waste.flags import flags_of_drum
from studio.waste.models import Drum
from studio.waste.operations import DepositRequest
from studio.workshop import operations as workshop
from tests.factories import MaterialFactory, WorkshopFactory, adopted, bitten, jug, signed, stocked
from tests.studio.cathodes.shop import bite, hung
from tests.studio.safety.shop import constituent, copied
from tests.studio.waste.shop import KEYHOLDER, NOTHING, drum, put

pytestmark = pytest.mark.django_db

COPPER_PER_BLUE = 0.2545


def test_what_is_taken_out_of_a_bath_carries_its_copper_into_the_drum():
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")

    entry = sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))

    assert estimate.at_moment(bath).volume_l == pytest.approx(10, abs=0.01)
    now = content.content_of_drum(into)
    assert now.copper.value == pytest.approx(2 * 240 * COPPER_PER_BLUE, rel=1e-3)
    assert now.copper.half_width > 0.1 * now.copper.value
    assert now.copper_per_l.value == pytest.approx(1000 * 240 * COPPER_PER_BLUE, rel=1e-3)
    assert now.mass.value == pytest.approx(2 * 1149, rel=2e-3)
    assert entry.subject.endswith("2 L out, into W1")


def test_the_copper_of_a_drum_follows_its_bath():
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")
    sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(3))

    baths.top_up(bath, water_l=0.9, by=signed(2), weak_anyway=True)

    assert content.content_of_drum(into).copper.value == pytest.approx(2 * 223.3 * COPPER_PER_BLUE, rel=5e-3)


def test_what_a_drum_refuses_leaves_the_bath_as_it_was():
    bath, into = adopted(), drum("bath_spent", capacity_l=1)

    with pytest.raises(Refused, match="takes 0.9 L more"):
        sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))

    assert not BathEvent.objects.filter(kind=BathEvent.Kind.REMOVED).exists()
    assert estimate.at_moment(bath).volume_l == pytest.approx(12)


def test_the_towel_of_a_straining_brings_its_bath_and_its_powder():
    bath, into = adopted(strength_g_per_l=240), drum("rags_copper", vessel="lined_pail")
    towel = DepositRequest(drum=into, kind="rags_copper", mass_g=weighed(40))

    sources.strain(bath, litres_lost=0.05, crystals_g=0, into=towel, by=signed(1))

    copper = content.content_of_drum(into).copper
    assert copper.value == pytest.approx(0.05 * 240 * COPPER_PER_BLUE + 12, rel=1e-2)
    assert copper.half_width > 12


def test_a_rinse_brings_what_dripped_off_plates_since_the_one_before_it():
    bath, into = adopted(strength_g_per_l=240), drum("rinse")
    bitten(bath, at=1, ml_each=8)
    put(into, 4, at=2, source="rinse")
    bitten(bath, at=3, ml_each=8)
    baths.drips(bath, plates=2, ml_each=8, by=signed(4))
    put(into, 4, at=5, source="rinse")

    now = content.content_of_drum(into)

    first, second = now.copper_parts
    assert first.copper_g.value == pytest.approx(0.008 * 240 * COPPER_PER_BLUE, rel=1e-2)
    assert second.copper_g.value == pytest.approx(3 * first.copper_g.value, rel=1e-2)
    assert now.copper.sd == pytest.approx(first.copper_g.sd + second.copper_g.sd)  # one studio drips alike


def test_a_rinse_without_drips_in_the_book_brings_copper_that_nobody_knows():
    into = drum("rinse")

    put(into, 3, at=1, source="rinse")

    now = content.content_of_drum(into)
    assert now.copper is None
    assert properties.copper_mg_per_l(now) is None


def test_a_rinse_written_late_takes_its_share_from_the_one_after_it():
    bath, into = adopted(), drum("rinse")
    bitten(bath, at=1)
    bitten(bath, at=3)
    put(into, 4, at=5, source="rinse")
    whole = content.content_of_drum(into).copper.value

    put(into, 4, at=2, source="rinse")

    now = content.content_of_drum(into)
    assert now.copper.value == pytest.approx(whole)
    assert [part.copper_g.value for part in now.copper_parts] == pytest.approx([whole / 2, whole / 2], rel=0.05)


def test_each_strip_goes_into_the_drum_for_metal_and_its_powder_into_another():
    cathode = hung()
    bite(cathode, 20, at=1)
    metal, powder = drum("cathode_copper", name="Tin"), drum("cathode_powder", name="Jar")

    sources.strip(
        cathode,
        weight=by_scale(20, 0.1),
        powder_g=5,
        metal_into=DepositRequest(drum=metal, kind="cathode_copper"),
        powder_into=DepositRequest(drum=powder, kind="cathode_powder"),
        by=signed(2),
    )

    assert content.content_of_drum(metal).copper.value == 20
    assert content.content_of_drum(metal).mass.value == 20
    assert content.content_of_drum(powder).copper.value == pytest.approx(3)


def test_powder_is_never_put_to_the_metal():
    cathode = hung()
    bite(cathode, 20, at=1)
    metal = drum("cathode_copper", name="Tin")

    with pytest.raises(Refused, match="Pieces are scrap metal, loose powder is not"):
        sources.strip(
            cathode,
            weight=by_scale(20, 0.1),
            powder_g=5,
            powder_into=DepositRequest(drum=metal, kind="cathode_powder"),
            by=signed(2),
        )


def test_what_is_past_its_date_leaves_the_shelf_for_the_drum():
    tin = stocked("1 L", dimension="volume", shown_unit="mL", storage_group="flammable")
    into = drum("solvent_spent", vessel="safety_can")

    entry = sources.discard(tin, amount=400_000, into=DepositRequest(drum=into, kind="solvent_spent"), by=signed(1))

    tin.refresh_from_db()
    assert tin.on_hand == 600_000
    assert content.content_of_drum(into).volume.value == pytest.approx(0.4)
    assert [deposit.container for deposit in entry.deposits.all()] == [tin]


def bleach(**facts):
    return stocked("1 L", name="Household bleach", dimension="volume", shown_unit="mL", **facts)


@pytest.mark.parametrize("called", ["cleaner_used", "bath_spent", "ground_scrap", "bleach"])
@pytest.mark.parametrize("allowance", [NOTHING, KEYHOLDER])
def test_bleach_stays_out_of_the_acid_cleaner_whatever_it_is_called(called, allowance):
    jar, into = bleach(storage_group="bleach"), drum("cleaner_used")

    with pytest.raises(Refused, match="Chlor") as refusal:
        sources.discard(
            jar, amount=500_000, into=DepositRequest(drum=into, kind=called, allowance=allowance), by=signed(1)
        )

    assert refusal.value.field == "drum"
    assert not content.content_of_drum(into).deposits


def test_a_jar_without_a_group_is_judged_by_what_its_sheet_says_is_in_it():
    jar, into = stocked("1 L", dimension="volume", shown_unit="mL"), drum("bleach")
    vinegar = Constituent(substance="acetic_acid_5pct", name="vinegar", low_percent=100, high_percent=100)
    Material._base_manager.filter(pk=jar.material_id).update(composition=[asdict(vinegar)])

    with pytest.raises(Refused, match="Chlorine gas"):
        sources.discard(jar, amount=500_000, into=DepositRequest(drum=into, kind="bleach"), by=signed(1))


def test_what_a_jar_brought_is_remembered_when_something_else_joins_it():
    jar = stocked("1 kg", name="Chlorine tablets", storage_group="bleach")
    into, further = (drum("empties", name=name, vessel="lined_pail") for name in ("W1", "W2"))
    sources.discard(jar, amount=500_000, into=DepositRequest(drum=into, kind="empties"), by=signed(1))
    operations.pour_over(into, into=DepositRequest(drum=further, kind="empties", mass_g=weighed(200)), by=signed(2))
    vinegar = stocked("1 L", name="Vinegar", dimension="volume", shown_unit="mL", storage_group="weak acid")

    for vessel in (into, further):
        with pytest.raises(Refused, match="Chlorine gas"):
            sources.discard(vinegar, amount=100_000, into=DepositRequest(drum=vessel, kind="empties"), by=signed(3))


def of_peroxide(jar):
    into = Drum.objects.filter(name="P1").first() or drum("peroxide_mix", name="P1", allowance=KEYHOLDER)

    def give_up(allowance):
        put_into = DepositRequest(drum=into, kind="peroxide_mix", allowance=allowance)
        return sources.discard(jar, amount=100_000, into=put_into, by=signed(1))

    return give_up


SPIRIT = {"dimension": "volume", "shown_unit": "mL", "name": "Spirit"}


def known_by_its_flash_point():
    return stocked("1 L", **SPIRIT, flash_point_c=20)


def known_by_its_suppliers_sheet():
    jar = stocked("1 L", **SPIRIT)
    copied(jar.material, ("H225", "Highly flammable liquid and vapour."), signal_word="Danger")
    return jar


def known_by_a_statement_of_no_class_of_ours():
    jar = stocked("1 kg", name="Firelighters")
    copied(jar.material, ("H228", "Flammable solid."), signal_word="Danger")
    return jar


def known_by_what_it_is_made_of_though_declared_as_something_else():
    return stocked("1 L", **SPIRIT, storage_group="general", composition=[constituent("acetone", 5, 10)])


@pytest.mark.parametrize("allowance", [NOTHING, KEYHOLDER])
@pytest.mark.parametrize(
    "jar",
    [
        known_by_its_flash_point,
        known_by_its_suppliers_sheet,
        known_by_a_statement_of_no_class_of_ours,
        known_by_what_it_is_made_of_though_declared_as_something_else,
    ],
)
def test_what_burns_stays_out_of_peroxide_however_it_is_known(jar, allowance):
    with pytest.raises(Refused, match="Fire; acetone with peroxide"):
        of_peroxide(jar())(allowance)


def test_a_jar_nobody_knows_goes_in_only_with_a_keyholders_reason():
    give_up = of_peroxide(stocked("1 L", **SPIRIT))

    with pytest.raises(Refused, match="Needs info: nobody has said what Spirit must be kept from"):
        give_up(NOTHING)
    assert give_up(KEYHOLDER).deposits.get().reason == KEYHOLDER.reason
    with pytest.raises(Refused, match="Needs info"):
        of_peroxide(stocked("1 kg", name="Peroxide", storage_group="oxidiser"))(NOTHING)


def test_water_goes_in_although_it_has_no_group():
    assert of_peroxide(stocked("1 L", water=True))(NOTHING).deposits.count() == 1


@pytest.mark.parametrize(
    ("facts", "kind"),
    [
        ({"storage_group": "weak acid", "category": "Plate cleaners and degreasers"}, "cleaner_used"),
        ({"storage_group": "acid", "category": "Plate cleaners and degreasers"}, ""),
        ({"storage_group": "bleach"}, "bleach"),
        ({"storage_group": "flammable", "category": "Solvents and thinners"}, "solvent_spent"),
        ({"storage_group": "flammable", "category": "Grounds"}, "ground_scrap"),
        ({"storage_group": "base", "category": "Neutralising and spill"}, ""),
        ({"category": "Plate cleaners and degreasers"}, ""),
    ],
)
def test_what_a_jar_is_as_waste_follows_from_what_it_is(facts, kind):
    assert hazards.usual_kind(MaterialFactory(**facts)) == kind


def test_a_solvent_is_given_up_by_who_was_shown_how():
    WorkshopFactory(asks_for_induction=True)
    tin = stocked("1 L", dimension="volume", shown_unit="mL", category="Solvents and thinners")
    into = drum("solvent_spent", vessel="safety_can")

    with pytest.raises(Refused, match="is not inducted for") as refusal:
        sources.discard(tin, amount=400_000, into=DepositRequest(drum=into, kind="solvent_spent"), by=signed(1))

    assert refusal.value.field == "done_by"


def test_a_struck_line_gives_back_what_it_took_from_everybody():
    bath, into = adopted(), drum("bath_spent")
    entry = sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))

    strike(entry, by=signed(2), reason="it was water")

    assert content.content_of_drum(into).deposits == []
    assert estimate.at_moment(bath).volume_l == pytest.approx(12)


# what a jar is made of, and what the American list then says of it, given up unused: (substance, from, to), state
UNUSED = [
    ([("acetone", 100, 100)], "applies"),
    ([("toluene", 100, 100)], "applies"),
    ([("xylene", 100, 100)], "applies"),
    ([("acetone", 99, 100)], "needs info"),
    ([("toluene", 50, 50), ("acetone", 50, 50)], "needs info"),
    ([], "needs info"),
]


@pytest.mark.parametrize(("made_of", "state"), UNUSED)
def test_a_jar_past_its_date_is_listed_though_nobody_used_it(keyholder, studio, made_of, state):
    workshop.change(studio, by=signed(0), region="us")
    parts = [constituent(*part) for part in made_of]
    jar = stocked("1 L", dimension="volume", shown_unit="mL", composition=parts, category="Ink, wiping and post")
    page = reverse("waste:discard", args=[jar.code])

    assert page in keyholder.get(jar.get_absolute_url()).content.decode()
    assert "Acetone U002, toluene U220, xylene U239" in keyholder.get(page).content.decode()

    into = drum("solvent_spent", vessel="safety_can", capacity_l=20)
    request = DepositRequest(drum=into, kind="solvent_spent", allowance=KEYHOLDER)
    sources.discard(jar, amount=jar.on_hand, into=request, by=signed(2))
    flags = flags_of_drum(content.content_of_drum(into), WorkshopFactory.build(region="us")).flags
    assert {flag.rule_id: flag.state for flag in flags}["us.u_listed"] == state


def test_what_was_used_is_on_no_list_of_unused_products():
    put(spent := drum("solvent_spent", vessel="safety_can", capacity_l=20), 2)

    flags = flags_of_drum(content.content_of_drum(spent), WorkshopFactory.build(region="us")).flags

    assert {flag.rule_id: flag.state for flag in flags}["us.u_listed"] == "does not apply"


# a jar given up unused: what is in it, and which of the American toxic ones it then holds
TOXIC = [
    ("butanone", {"us.tc.solvents": "applies", "us.tc.other_metals": "needs info"}),
    ("lead_white", {"us.tc.solvents": "needs info", "us.tc.other_metals": "applies"}),
    ("chrome_yellow", {"us.tc.solvents": "needs info", "us.tc.other_metals": "applies"}),
    ("cadmium_pigment", {"us.tc.solvents": "needs info", "us.tc.other_metals": "applies"}),
    ("potassium_dichromate", {"us.tc.solvents": "needs info", "us.tc.other_metals": "applies"}),
    ("acetone", {"us.tc.solvents": "needs info", "us.tc.other_metals": "needs info"}),
]


def test_toxic_metals_and_solvents_of_a_jar_are_known_from_its_parts_and_never_ruled_out():
    for substance, expected in TOXIC:
        parts = [constituent(substance, 5, 20)]
        jar = stocked("1 L", name=substance, dimension="volume", shown_unit="mL", composition=parts)

        found = waste.flags(properties.unused([jar.material]), waste.rule_sets_for("us"))

        assert {flag.rule_id: flag.state for flag in found if flag.rule_id in expected} == expected, substance
