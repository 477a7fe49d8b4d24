"""What must not stand together."""

import pytest
from django.urls import reverse

from chemistry.waste.streams import STREAMS
from inventory.models import Place
from studio.bench import needs
from studio.bench.needs import Now
from studio.safety.places import co_storage_in_places
from tests.factories import MaterialFactory, PlaceFactory, adopted, entry
from tests.studio.safety.shop import copied, made_of, put
from tests.studio.waste.shop import drum

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 10, 5
PAGE = reverse("safety:together")


@pytest.fixture
def shelf(studio):
    return PlaceFactory(name="Shelf 2")


def clashes(studio):
    return [
        (each.place.name, clash.reason.pair, [[thing.name for thing in some] for some in (clash.ones, clash.others)])
        for each in co_storage_in_places(studio)
        for clash in each.clashes
    ]


def test_storage_groups_keep_things_apart(studio, shelf):
    put(MaterialFactory(name="Vinegar", storage_group="weak acid"), "1 kg", shelf)
    put(MaterialFactory(name="Bleach", storage_group="bleach"), "1 kg", shelf)

    assert clashes(studio) == [("Shelf 2", ("weak acid", "bleach"), [["Vinegar"], ["Bleach"]])]


def test_what_a_material_is_made_of_gives_its_groups_where_nobody_did(studio, shelf):
    put(made_of(("acetone", 100, 100), name="Nail cleaner"), "1 kg", shelf)
    put(made_of(("hydrogen_peroxide_3pct", 100, 100), name="Drugstore bottle"), "1 kg", shelf)

    assert ("Shelf 2", ("flammable", "oxidiser"), [["Nail cleaner"], ["Drugstore bottle"]]) in clashes(studio)


def test_classes_copied_from_a_sheet_give_a_group_too(studio, shelf):
    oxidiser, spirit = MaterialFactory(name="Brightener"), MaterialFactory(name="Spirit")
    copied(oxidiser, ("H272", "May intensify fire; oxidiser."), signal_word="Danger")
    copied(spirit, ("H225", "Highly flammable liquid and vapour."), signal_word="Danger")
    put(oxidiser, "1 kg", shelf)
    put(spirit, "1 kg", shelf)

    assert clashes(studio) == [("Shelf 2", ("flammable", "oxidiser"), [["Spirit"], ["Brightener"]])]


def test_things_in_two_places_are_apart(studio, shelf):
    put(MaterialFactory(storage_group="acid"), "1 kg", shelf)
    put(MaterialFactory(storage_group="bleach"), "1 kg", PlaceFactory())

    assert clashes(studio) == []


def test_what_is_finished_or_away_stands_nowhere(studio, shelf):
    away = PlaceFactory(kind=Place.Kind.AWAY)
    put(MaterialFactory(storage_group="acid"), "1 kg", away)
    put(MaterialFactory(storage_group="bleach"), "1 kg", away)

    assert clashes(studio) == []


def test_one_material_in_two_groups_is_not_kept_from_itself_but_from_others(studio, shelf):
    put(made_of(("acetic_acid_glacial", 100, 100), name="Glacial acetic acid"), "1 kg", shelf)
    assert clashes(studio) == []

    put(MaterialFactory(name="Spirit", storage_group="flammable"), "1 kg", shelf)

    assert clashes(studio) == [("Shelf 2", ("flammable", "acid"), [["Spirit"], ["Glacial acetic acid"]])]


def test_a_bath_and_a_drum_stand_in_their_places_too(studio, shelf):
    adopted(name="Upright tank", place=shelf)
    drum(name="W7", place=shelf)
    put(MaterialFactory(name="Bleach", storage_group="bleach"), "1 kg", shelf)

    assert clashes(studio) == [("Shelf 2", ("copper salt", "bleach"), [["Upright tank", "drum W7"], ["Bleach"]])]


def test_what_stands_together_in_studios(studio):
    """By what a jar is made of, what was declared of it, what is in a drum, and what a tank is."""

    def of(*parts):
        return lambda place, name: put(made_of(*((key, 100, 100) for key in parts), name=name), "1 kg", place)

    def called(group):
        return lambda place, name: put(MaterialFactory(name=name, storage_group=group), "1 kg", place)

    def waste(kind):
        return lambda place, name: drum(kind, name=name, place=place, vessel=STREAMS[kind].vessels[0])

    def tank(place, name):
        adopted(name=name, place=place)

    act, look, nothing = "must not stand together", "better apart", ""
    for things, word, why in [
        ([of("ferric_chloride"), of("hydrogen_peroxide_3pct")], act, "iron in ferric chloride"),
        ([called("acid"), of("hydrogen_peroxide_3pct")], act, "Where both leak"),
        ([of("sodium_hydroxide"), called("reactive metal")], act, "hydrogen"),
        ([of("sodium_hydroxide"), called("steel")], nothing, ""),
        ([of("acetone"), tank], act, "Clips and leads spark"),
        ([waste("solvent_spent"), tank], act, "Clips and leads spark"),
        ([waste("rags_drying_oil"), of("white_spirit")], act, "catch fire by themselves"),
        ([waste("rags_drying_oil"), waste("solvent_spent")], act, "catch fire by themselves"),
        ([waste("bath_spent"), waste("cleaner_used"), waste("rinse")], nothing, ""),
        ([waste("bath_spent"), tank, of("sodium_carbonate")], nothing, ""),
        ([of("acetic_acid_5pct"), called("carbonate")], nothing, ""),
        ([of("acetic_acid_5pct"), called("bleach")], act, "vinegar is acid enough"),
        ([waste("ferric_spent"), called("carbonate")], look, "foams"),
        ([of("hydrogen_peroxide_3pct"), called("general")], nothing, ""),
        ([of("hydrogen_peroxide_3pct"), of("rosin")], act, "burn with it"),
        ([called("ammonia"), called("bleach")], act, "Chloramines"),
        ([of("sodium_carbonate"), called("bleach")], nothing, ""),
    ]:
        place = PlaceFactory()
        for number, stand in enumerate(things):
            stand(place, f"{place.pk}-{number}")
        found = [clash for each in co_storage_in_places(studio) if each.place == place for clash in each.clashes]

        assert [clash.word for clash in found] == ([word] if word else []), (word, why, found)
        assert all(why in clash.reason.why for clash in found)


def test_the_page_says_why_and_what_nobody_can_say(member, studio, shelf, django_assert_max_num_queries):
    put(MaterialFactory(name="Vinegar", storage_group="weak acid"), "1 kg", shelf)
    put(MaterialFactory(name="Bleach", storage_group="bleach"), "1 kg", shelf)
    put(MaterialFactory(name="Secret ground"), "1 kg", shelf)

    with django_assert_max_num_queries(MOST_QUERIES):
        member.get(PAGE)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        shown = member.get(PAGE).content.decode()

    assert "Chlorine gas: vinegar is acid enough." in shown
    assert "Needs info" in shown and "Secret ground" in shown


def test_a_room_without_a_clash_is_not_called_clear_while_something_is_unknown(member, studio, shelf):
    put(MaterialFactory(name="Secret ground"), "1 kg", shelf)

    shown = member.get(PAGE).content.decode()

    assert "as far as is known" in shown


def test_the_bench_asks_to_part_what_must_not_stand_together(studio, shelf):
    put(MaterialFactory(name="Vinegar", storage_group="weak acid"), "1 kg", shelf)
    put(MaterialFactory(name="Bleach", storage_group="bleach"), "1 kg", shelf)

    asked = [ask for ask in needs.action_items(Now(studio)) if ask.word == "must not stand together"]

    assert [(ask.level, ask.url) for ask in asked] == [("act", f"{PAGE}#place-{shelf.pk}")]
    assert asked[0].sentence == "Shelf 2: Vinegar and Bleach."


def test_the_bench_asks_about_too_much_that_burns(studio):
    bench = PlaceFactory(name="Bench 1", kind=Place.Kind.BENCH, flammables_limit_ul=1_000_000)
    put(MaterialFactory(name="Spirit", dimension="volume", shown_unit="L", storage_group="flammable"), "1.5 L", bench)

    asked = [ask for ask in needs.action_items(Now(studio)) if ask.word == "over the limit"]

    assert [ask.sentence for ask in asked] == ["Bench 1: 1.5 L of flammable liquid, and 1 L is its limit."]


def test_an_empty_shelf_has_nothing_to_part(member, studio):
    entry()

    assert "Nothing stands anywhere yet." in member.get(PAGE).content.decode()
