import pytest

from inventory import book, facts, ledger, past
from inventory.models import Container, Material, Place
from tests.factories import MaterialFactory, PlaceFactory, day, declared, entry, signed, stocked

pytestmark = pytest.mark.django_db


def stood(at):
    return [(jar.code, jar.on_hand, jar.place.name) for jar in past.containers_on_hand_at(day(at))]


def stays(*jars):
    ours = Container.objects.filter(pk__in=[jar.pk for jar in jars])
    return [(stay.place.name, stay.since, stay.until) for stay in past.storage_intervals(ours)]


def used(jar, amount, at):
    with book.entry("used", "used", signed(at)) as written:
        ledger.use(jar, amount, entry=written)
    return written


def moved(jar, place, at):
    with book.entry("moved", "moved", signed(at)) as written:
        ledger.move(jar, place, entry=written)
    return written


def test_a_jar_stood_where_it_was_and_held_what_it_did():
    jar = stocked("500 g", at=1)
    first, second = jar.place, PlaceFactory()
    used(jar, 100_000, at=3)
    moved(jar, second, at=5)
    used(jar, 400_000, at=7)

    assert stood(0) == []
    assert stood(2) == [(jar.code, 500_000, first.name)]
    assert stood(4) == [(jar.code, 400_000, first.name)]
    assert stood(6) == [(jar.code, 400_000, second.name)]
    assert stood(8) == []


def test_what_was_struck_never_happened():
    jar = stocked("500 g", at=1)
    use, move = used(jar, 100_000, at=3), moved(jar, PlaceFactory(), at=4)
    book.strike(use, reason="wrong jar", by=signed(5))
    book.strike(move, reason="wrong jar", by=signed(5))

    assert stood(6) == [(jar.code, 500_000, jar.place.name)]


def test_a_count_says_what_was_there_whatever_was_written_before_it_later_on():
    jar = stocked("500 g", at=1)
    with book.entry("counted", "counted", signed(4)) as written:
        ledger.count(jar, 300_000, entry=written)
    used(jar, 50_000, at=2)

    assert [on_hand for _, on_hand, _ in stood(3)] == [450_000]
    assert [on_hand for _, on_hand, _ in stood(5)] == [300_000]


def test_now_is_what_the_ledger_keeps():
    jar, other = stocked("500 g", at=1), stocked("2 kg", at=1)
    used(jar, 100_000, at=3)
    moved(other, PlaceFactory(), at=3)

    now = {jar.code: (jar.on_hand, jar.place) for jar in past.containers_on_hand_at(day(9))}

    assert now == {each.code: (each.on_hand, each.place) for each in Container.objects.select_related("place")}


def test_where_a_jar_ever_stood_ends_when_it_was_empty():
    jar = stocked("500 g", at=1)
    second = PlaceFactory()
    moved(jar, second, at=5)
    used(jar, 500_000, at=7)

    assert stays(jar) == [
        (jar.place.name, day(1).date(), day(5).date()),
        (second.name, day(5).date(), day(7).date()),
    ]


def test_a_jar_that_still_holds_something_stands_there_still():
    jar = stocked("500 g", at=1)

    assert stays(jar) == [(jar.place.name, day(1).date(), None)]


def test_a_jar_whose_receipt_was_struck_never_came():
    jar = stocked("500 g", at=1)
    book.strike(jar.movements.get().entry, reason="another studio's", by=signed(2))

    assert stays(jar) == [] and stood(3) == []


def test_a_struck_move_leaves_a_jar_where_it_first_stood():
    jar = stocked("500 g", at=1)
    book.strike(moved(jar, PlaceFactory(), at=5), reason="wrong jar", by=signed(6))

    assert stays(jar) == [(jar.place.name, day(1).date(), None)]


def test_the_past_takes_few_queries_however_many_jars(django_assert_num_queries):
    for _ in range(5):
        moved(stocked("500 g"), PlaceFactory(), at=1)

    with django_assert_num_queries(5):
        past.containers_on_hand_at(day(2))
    with django_assert_num_queries(4):
        list(past.storage_intervals(Container.objects.all()))


def test_an_empty_book_has_no_past():
    entry(1)

    assert past.containers_on_hand_at(day(2)) == [] and list(past.storage_intervals(Container.objects.all())) == []


def test_a_jar_of_a_past_day_has_the_facts_of_that_day():
    jar = stocked("100 g", name="White spirit", flash_point_c=None)
    with book.entry(declared("changed"), "changed", signed(3)) as written:
        facts.change(jar.material, {"name": "White spirit, low odour", "flash_point_c": 41.0}, entry=written)
        facts.change(jar.place, {"kind": Place.Kind.FLAMMABLES}, entry=written)

    [before], [after] = past.containers_on_hand_at(day(2)), past.containers_on_hand_at(day(4))

    assert (str(before.material), before.material.flash_point_c) == ("White spirit", None)
    assert (str(after.material), after.material.flash_point_c) == ("White spirit, low odour", 41)
    assert (before.place.kind, after.place.kind) == (Place.Kind.SHELF, Place.Kind.FLAMMABLES)


def test_whether_a_sheet_is_missed_is_one_rule_in_the_database_and_beside_it():
    for category in Material.Category.values:
        for dimension in Material.Dimension.values:
            MaterialFactory(category=category, dimension=dimension)

    missed = set(Material.objects.needing_sheet())

    assert missed == {material for material in Material.objects.all() if material.needs_sheet}
