from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.measured import Measured, by_scale
from inventory import book
from inventory.models import Material
from inventory.refusals import NotEnoughStock, Refused
from studio.bites import calibration, operations, plates
from studio.bites.models import Plate, Weighing, roman
from studio.bites.plates import GroundApplication
from tests.factories import PersonFactory, PlaceFactory, adopted, bitten, plate, signed, stocked

pytestmark = pytest.mark.django_db


def on_hand(container):
    container.refresh_from_db()
    return container.on_hand


def away(harbour):
    return Plate.objects.with_last_parcel().get(pk=harbour.pk)


# from the shelf


def test_a_ready_plate_leaves_the_shelf_in_the_entry_that_takes_it():
    rack = stocked("4", dimension="count", shown_unit="piece")

    made = plate(1, cut_from=rack)

    assert on_hand(rack) == 3
    assert made.entry.movements.get().amount == -1


def test_a_plate_cut_from_a_sheet_takes_its_own_area():
    sheet = stocked("600 cm2", dimension="area", shown_unit="cm2")

    plate(1, cut_from=sheet, width_mm=100, height_mm=150)

    assert on_hand(sheet) == 60_000 - 15_000


def test_more_than_the_sheet_has_is_refused_and_no_plate_is_made():
    sheet = stocked("100 cm2", dimension="area", shown_unit="cm2")

    with pytest.raises(NotEnoughStock, match="Only 100 cm²"):
        plate(1, cut_from=sheet)

    assert not Plate.objects.exists()


def test_no_plate_is_cut_from_what_is_weighed():
    with pytest.raises(Refused, match="no plate is cut from that"):
        plate(1, cut_from=stocked("500 g"))


def test_a_struck_plate_goes_back_on_the_shelf():
    rack = stocked("4", dimension="count", shown_unit="piece")
    made = plate(1, cut_from=rack)

    book.strike(made.entry, by=signed(2), reason="the other size")

    assert on_hand(rack) == 4
    assert not Plate.objects.standing().exists()


def test_two_plates_are_not_called_alike():
    plate(name="Harbour")

    with pytest.raises(Refused, match="a plate called harbour already"):
        plate(name="harbour")


def test_a_name_is_free_again_once_its_plate_is_struck():
    book.strike(plate().entry, by=signed(1), reason="slip")

    assert plate().name == "Harbour"


def test_nothing_is_done_to_a_struck_plate():
    harbour = plate()
    book.strike(harbour.entry, by=signed(1), reason="never cut")

    with pytest.raises(Refused, match="was struck out of the book: never cut"):
        plates.weigh(harbour, weight=by_scale(280, 1), by=signed(2))


def test_the_scale_confirms_what_size_and_thickness_predict():
    harbour = plate(width_mm=305, height_mm=457, thickness_mm=1.29)

    assert plates.expected_mass_g(harbour) == pytest.approx(1611, abs=1)
    assert plates.expected_mass_g(plate(name="Unknown")) is None


def test_a_plate_weighed_at_once_is_still_one_entry():
    by = signed()
    made = Plate(name="Harbour", width_mm=152, height_mm=203, owner=by.done_by)

    entry = plates.take(made, weight=by_scale(283, 1), by=by)

    assert entry.weighings.get().mass_g == 283


# what lies on it


def test_a_preparation_says_what_is_bare():
    harbour = plate()

    entry = plates.prepare(
        harbour,
        ground=GroundApplication(words="Hard ground, liquid"),
        protected="sky",
        exposed=Measured(40, 4, "cm²"),
        state=2,
        by=signed(1),
    )

    prepared = entry.preparations.get()
    assert (str(prepared), prepared.exposed_cm2, roman(prepared.state)) == ("Hard ground, liquid, sky", 40, "II")


def test_more_bare_copper_than_the_plate_has_is_refused():
    with pytest.raises(Refused, match="more than the whole face"):
        plates.prepare(plate(), exposed=Measured(500, 50, "cm²"), by=signed(1))


def test_a_ground_out_of_a_jar_leaves_the_shelf_in_the_same_entry():
    jar, tin = stocked("250 mL", dimension="volume", shown_unit="mL"), stocked("80 g")

    entry = plates.prepare(
        plate(),
        ground=GroundApplication(jar=jar, amount=5_000),
        stop_out=GroundApplication(jar=tin, amount=2_000),
        by=signed(1),
    )

    prepared = entry.preparations.get()
    assert (on_hand(jar), on_hand(tin)) == (245_000, 78_000)
    assert (prepared.ground, prepared.jars) == (str(jar.material), [jar, tin])


def test_a_jar_may_be_named_without_saying_how_much_is_gone():
    jar = stocked("250 mL", dimension="volume", shown_unit="mL")

    entry = plates.prepare(plate(), ground=GroundApplication(jar=jar), by=signed(1))

    assert (on_hand(jar), entry.preparations.get().ground_from) == (250_000, jar)
    assert not entry.movements.exists()


def test_more_stop_out_than_the_jar_holds_is_refused_beside_its_amount():
    jar = stocked("80 g")

    with pytest.raises(Refused, match="Only 80 g") as refused:
        plates.prepare(plate(), stop_out=GroundApplication(jar=jar, amount=81_000), by=signed(1))

    assert refused.value.field == "stop_out_amount"


def test_a_struck_preparation_gives_the_shelf_its_ground_back():
    jar = stocked("80 g")
    entry = plates.prepare(plate(), ground=GroundApplication(jar=jar, amount=5_000), by=signed(1))

    book.strike(entry, by=signed(2), reason="another plate")

    assert on_hand(jar) == 80_000


# parcels


def test_a_plate_is_away_until_it_comes_back():
    harbour, partner = plate(), PlaceFactory(name="Wrenfield", kind="away")
    assert not away(harbour).is_away

    plates.send([harbour], partner=partner, weight_g=1400, next_step="etch it", by=signed(1))
    assert (away(harbour).is_away, away(harbour).away_at) == (True, "Wrenfield")

    plates.bring_back([harbour], partner=partner, by=signed(9))
    assert not away(harbour).is_away


def test_a_plate_that_is_away_is_not_sent_again():
    harbour, partner = plate(), PlaceFactory(kind="away")
    plates.send([harbour], partner=partner, by=signed(1))

    with pytest.raises(Refused, match="is away already"):
        plates.send([harbour], partner=partner, by=signed(2))


def test_a_parcel_holds_a_plate():
    with pytest.raises(Refused, match="at least one plate"):
        plates.send([], partner=PlaceFactory(kind="away"), by=signed(1))


def test_a_struck_parcel_never_left():
    harbour = plate()
    sent = plates.send([harbour], partner=PlaceFactory(kind="away"), by=signed(1))

    book.strike(sent, by=signed(2), reason="collected instead")

    assert not away(harbour).is_away


# weighed against predicted


def weigh(harbour, mass_g, at, **how):
    plates.weigh(harbour, weight=by_scale(mass_g, 0.1), by=signed(at), **how)


def between(harbour):
    return calibration.between_weighings(Weighing.objects.filter(plate=harbour))


def test_the_bites_between_two_weighings_are_what_the_scale_saw():
    bath, harbour = adopted(), plate()
    weigh(harbour, 284.0, 1)
    bitten(bath, at=2, amps=2, minutes=60, plate=harbour)
    bitten(bath, at=3, amps=1, minutes=60, plate=harbour)
    weigh(harbour, 280.4, 4)
    bitten(bath, at=5, amps=1, minutes=60, plate=harbour)

    (pair,) = between(harbour)

    assert pair.weighed.charge.value == pytest.approx(3)
    assert pair.weighed.moved.value == pytest.approx(3.6)


def test_a_plate_weighed_wet_or_with_its_ground_tells_nothing():
    bath, harbour = adopted(), plate()
    weigh(harbour, 284.0, 1)
    bitten(bath, at=2, plate=harbour)
    weigh(harbour, 289.0, 3, is_bare=False)

    assert between(harbour) == []


def test_a_bite_that_nobody_read_spoils_the_comparison():
    bath, harbour = adopted(), plate()
    weigh(harbour, 284.0, 1)
    bite = bitten(bath, at=2, plate=harbour)
    weigh(harbour, 283.3, 3)
    assert between(harbour)[0].weighed is not None

    book.strike(bite.entry, by=signed(4), reason="slip")

    assert between(harbour)[0].weighed is None


def test_the_studio_learns_its_efficiency_from_the_scale():
    before = calibration.anode_efficiency()
    bath = adopted()
    for number in range(3):
        each = plate(name=f"Plate {number}")
        weigh(each, 900, 1)
        bitten(bath, at=2 + number, amps=4, minutes=60, plate=each)
        weigh(each, 900 - 4 * 1.1855, 9)

    after = calibration.anode_efficiency()

    assert after.value < before.value and after.sd < before.sd


# other metals


def test_no_plate_for_a_copper_bath_is_cut_from_another_metal():
    for name, what in [
        ("Zinc sheet 1 mm", "Copper plates out on zinc at once"),
        ("Mild steel plates", "Copper plates out on steel"),
        ("Aluminum sheet", "eats aluminium in holes"),
        ("Galvanised plates", "hydrogen"),
        ("Brass sheet", "dissolves with its zinc"),
    ]:
        rack = stocked("4", dimension="count", shown_unit="piece", name=name)

        with pytest.raises(Refused, match=what) as refusal:
            plate(1, cut_from=rack)
        assert refusal.value.field == "cut_from"
    assert plate(1, cut_from=stocked("4", dimension="count", shown_unit="piece", name="Copper plates")).pk


def test_a_plate_called_by_another_metal_is_asked_about_and_written_when_it_is_copper():
    for name in ("Zinc plate 3", "Steel sheet", "aluminium"):
        made = Plate(name=name, width_mm=100, height_mm=150, owner=PersonFactory())
        with pytest.raises(Refused, match="Tick if it is copper") as refusal:
            plates.take(made, by=signed(1))
        assert refusal.value.field == "metal_anyway"
        assert plates.take(made, by=signed(1), metal_anyway=True).plates.get() == made
    assert plate(1, name="Iron bridge at dusk").pk


def test_what_is_another_metal_hangs_in_no_bath_unless_somebody_says_it_is_copper():
    bath = adopted()
    named = Plate(name="Zinc plate", width_mm=100, height_mm=150, owner=PersonFactory())
    plates.take(named, by=signed(1), metal_anyway=True)
    rack = stocked("4", dimension="count", shown_unit="piece", name="Plates")
    cut = plate(1, name="Reeds", cut_from=rack)
    Material._base_manager.filter(pk=rack.material_id).update(name="Zinc plates")
    cut.refresh_from_db()

    def begins(plate, at, **anyway):
        setting = operations.Setting(plate=plate)
        return operations.start(bath, setting=setting, by=signed(at), beside_anyway=True, **anyway)

    def was_bitten(plate, at, **anyway):
        setting, ending = operations.Setting(plate=plate), operations.Ending(minutes=5, counted_ah=0.1)
        return operations.note(bath, setting=setting, ending=ending, by=signed(at), **anyway)

    # after the fact as before the current; what its sheet is no tick makes copper
    for at, bites in [(2, was_bitten), (3, begins)]:
        for each, field, allowed in [(cut, "plate_pk", False), (named, "metal_anyway", True)]:
            with pytest.raises(Refused, match="Copper plates out on zinc") as refusal:
                bites(each, at)
            assert refusal.value.field == field
            if allowed:
                assert bites(each, at, metal_anyway=True).bites.get().plate == each
            else:
                with pytest.raises(Refused):
                    bites(each, at, metal_anyway=True)


def test_two_stop_outs_ground_and_what_is_covered_are_all_kept(member):
    varnish = stocked("1 L", name="Varnish", dimension="volume", shown_unit="mL", category="Stop-out and block-out")
    harbour = plate()
    typed = {"state": "1", "ground": "hard ground", "stop_out": "packing tape", "protected": "the sky"}
    second = {"second_stop_out_from": varnish.pk, "second_stop_out_amount": "20 mL"}

    member.post(reverse("bites:prepare", args=[harbour.pk]), {"key": uuid4(), **typed, **second, "note": "two coats"})

    varnish.refresh_from_db()
    page = member.get(harbour.get_absolute_url()).content.decode()
    assert varnish.on_hand == 980_000
    assert "hard ground, packing tape, Varnish, the sky" in page
