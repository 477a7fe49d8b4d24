"""Closing for the summer, first day back, moving: lists made of what the book has."""

import pytest
from django.urls import reverse

from chemistry import bath as bath_model
from inventory.models import Container, Place
from studio.baths import operations
from studio.baths.descriptions import describe_baths
from studio.bench import closing
from studio.bench.closing import Checklist
from studio.bites import plates
from studio.cathodes import operations as cathodes
from studio.cathodes.models import Cathode
from studio.pages.quantities import Units
from studio.shelf.models import Ticked
from tests.factories import BathFactory, PlaceFactory, adopted, day, plate, signed, started, stocked
from tests.studio.baths.test_bath_papers import text
from tests.studio.cathodes.shop import hung
from tests.studio.waste.shop import drum

pytestmark = pytest.mark.django_db


def lines(which, *baths):
    made = closing.parts(which, describe_baths(list(baths), Units()), day(1).date())
    return {part.title: [line.words for line in part.lines] for part in made}


def url(which, name="closing_list"):
    return reverse(f"bench:{name}", args=[which])


def test_a_lid_left_off_is_forecast_even_where_it_is_on(today):
    today(1)
    bath = adopted(name="Upright", lid_on=True)
    [upright] = describe_baths([bath], Units())

    dried = closing.lid_off(upright)

    lost_g = upright.status.state.water_g - dried.water_g
    assert lost_g == pytest.approx(
        30 * operations.drying_g_per_day(bath, lid_on=False) * upright.status.state.drying_factor, rel=0.01
    )
    assert dried.salt_g == pytest.approx(upright.status.state.salt_g)


def test_with_its_lid_off_by_the_book_the_same_is_forecast(today):
    today(1)
    bath = adopted(lid_on=False)
    [shown] = describe_baths([bath], Units())

    expected = bath_model.forecast(shown.status.state, days=30)

    assert closing.lid_off(shown).strength_g_per_l == pytest.approx(expected.strength_g_per_l)


def test_a_small_tank_left_open_leaves_crystals(today):
    today(1)
    tank = adopted(volume_l=3, strength_g_per_l=260, rim_l=3.5, fill_l=3)

    assert "g of crystals on the floor" in lines(Checklist.SUMMER, tank)["Baths"][1]


def test_the_summer_list_reads_and_covers_every_bath(today):
    today(1)

    [read, lid] = lines(Checklist.SUMMER, adopted(name="Upright", lid_on=False))["Baths"]

    assert read.startswith("Read Upright: the book has 241 ± 10 g/L, 11.9 ± 0.2 L.")
    assert lid.startswith("Lid of Upright is off: put it on") and "Off for 30 days it would come to" in lid


def test_the_first_day_back_begins_with_the_baths(today):
    today(1)

    assert next(iter(lines(Checklist.FIRST_DAY, adopted(name="Upright")))) == "Read each bath first"


def test_a_move_says_what_to_carry_and_what_to_mix_there(today):
    today(1)

    drain, remake = lines(Checklist.MOVING, adopted(name="Upright", volume_l=12, strength_g_per_l=240))[
        "Vessels and strengths"
    ]

    assert "Drain Upright into plastic" in drain
    assert "2880 g of blue crystals" in remake


def test_an_unread_bath_needs_info():
    assert "needs info" in lines(Checklist.MOVING, BathFactory())["Vessels and strengths"][0]


def test_jars_past_their_day_open_solvents_and_jars_away_are_listed():
    stale, solvent, lent = stocked("1 kg", name="Stale"), stocked("1 kg", name="Spirit"), stocked("1 kg", name="Lent")
    Container.objects.filter(pk=stale.pk).update(use_by_on=day(0).date())
    Container.objects.filter(pk=solvent.pk).update(opened_on=day(0).date())
    Place._base_manager.filter(pk=solvent.place_id).update(kind=Place.Kind.FLAMMABLES)
    Place._base_manager.filter(pk=lent.place_id).update(kind=Place.Kind.AWAY)

    said = " ".join(lines(Checklist.SUMMER)["Shelf"])

    assert all(words in said for words in (f"{stale}, ", f"Cap {solvent}", f"{lent} is away"))


def test_what_burns_is_capped_wherever_it_stands():
    spirit = stocked("1 kg", name="Spirit", storage_group="flammable")
    Container.objects.filter(pk=spirit.pk).update(opened_on=day(0).date())

    assert any(f"Cap {spirit}" in words for words in lines(Checklist.SUMMER)["Shelf"])


def test_cathodes_come_out_and_go_back_by_their_names():
    hung(0, name="Upright sheet", bath=adopted(name="Upright tank"))

    [out] = lines(Checklist.SUMMER)["Plates and cathodes"]
    assert out.startswith("Take Upright sheet out of Upright tank, rinse and dry it")
    assert "Plates and cathodes" not in lines(Checklist.FIRST_DAY)

    cathodes.take_out(Cathode.objects.get(), by=signed(0.5))

    assert "Plates and cathodes" not in lines(Checklist.SUMMER)
    assert lines(Checklist.FIRST_DAY)["Plates and cathodes"][0].startswith("Hang Upright sheet again")
    assert lines(Checklist.MOVING)["Plates and cathodes"][0].startswith("Upright sheet: dry, weighed")


def test_a_studio_without_a_cathode_in_the_book_is_reminded_all_the_same():
    assert lines(Checklist.SUMMER)["Plates and cathodes"] == ["Cathodes out of the liquid, rinsed and dry."]


def test_plates_are_taken_out_asked_after_and_wrapped(today):
    today(2)
    harbour, reeds = plate(name="Harbour"), plate(name="Reeds")
    started(adopted(name="Upright"), at=1.99, plate=harbour)
    plates.send([reeds], partner=PlaceFactory(name="Wrenfield", kind="away"), by=signed(1))

    summer = " ".join(lines(Checklist.SUMMER)["Plates and cathodes"])

    assert "Harbour hangs in Upright: current off" in summer
    assert "Reeds is away at Wrenfield" in summer
    assert "Wrap 1 plate:" in " ".join(lines(Checklist.MOVING)["Plates and cathodes"])


def test_each_drum_is_looked_over_or_handed_over_first():
    drum("rinse", name="W1")

    assert lines(Checklist.SUMMER)["Waste"][0].startswith("W1, ")
    assert "look it over before anything goes in" in lines(Checklist.FIRST_DAY)["Waste"][0]
    assert "hand it over before the move" in lines(Checklist.MOVING)["Waste"][0]


def test_what_must_not_meet_travels_in_boxes_of_its_own():
    for name, group in (("Vinegar", "weak acid"), ("Bleach", "bleach"), ("Tape", "")):
        stocked("1 kg", name=name, storage_group=group)

    said = lines(Checklist.MOVING)["Not in one box"]

    assert said[0] == "1 container of hypochlorite bleach and cleaners: into a box of their own."
    assert any("Never together on the way" in words and "Chlorine gas" in words for words in said)
    assert said[-1].startswith("1 container: needs info")


def test_a_tick_stays_says_whose_it_is_and_may_be_undone(member):
    done = {"line": "supply-off"}

    member.post(url(Checklist.SUMMER, "tick"), done)
    shown = member.get(url(Checklist.SUMMER)).content.decode()
    member.post(url(Checklist.SUMMER, "tick"), done | {"undo": "1"})

    assert f"{member.person}," in shown
    assert not Ticked.objects.exists()


def test_a_list_begun_anew_leaves_the_others_ticked(member):
    for which in (Checklist.SUMMER, Checklist.MOVING):
        member.post(url(which, "tick"), {"line": "rules"})

    member.post(url(Checklist.SUMMER, "tick"), {"anew": "1"})

    assert [ticked.which for ticked in Ticked.objects.all()] == [Checklist.MOVING]


@pytest.mark.parametrize("which", Checklist)
def test_every_list_opens_prints_and_asks_the_book_little(member, which, django_assert_max_num_queries):
    adopted(), stocked("1 kg", name="Crystals"), hung(bath=adopted()), plate(), drum()

    with django_assert_max_num_queries(19):
        assert member.get(url(which)).status_code == 200

    assert str(closing.TITLES[which]) in text(member.get(url(which, "closing_paper")).content)


def test_there_is_no_other_list(member):
    assert member.get("/closing/party/").status_code == 404
