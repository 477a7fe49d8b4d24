"""Counting by place, blind; what differs is decided afterwards, one reason at a time."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.book import strike
from inventory.models import Container, Entry, Place
from inventory.refusals import Refused
from studio.shelf import counting, operations
from studio.shelf.models import CountLine, CountSheet
from tests.factories import PersonFactory, PlaceFactory, day, signed, stocked
from tests.studio.baths.test_bath_papers import text

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"shelf:{name}", args=args)


@pytest.fixture
def jar(today):
    """500 g of crystals, received on the first day; now it is the tenth."""
    jar = stocked("500 g", name="Crystals")
    today(10)
    return jar


@pytest.fixture
def sheet(jar):
    """A count of the place where the jar stands, begun."""
    return counting.begin(jar.place, by=PersonFactory())


def counted(sheet, jar, amount, at=5):
    """The line of a jar in which somebody saw so much, so many days into the book."""
    counting.note(sheet, {jar: amount}, by=PersonFactory(), at=day(at))
    return CountLine.objects.with_book().get(sheet=sheet, container=jar)


def on_hand(jar):
    return Container.objects.get(pk=jar.pk).on_hand


# the walk


def test_two_people_at_one_place_share_its_sheet(sheet):
    assert counting.begin(sheet.place, by=PersonFactory()) == sheet


def test_two_places_are_counted_at_once(sheet):
    assert counting.begin(PlaceFactory(), by=PersonFactory()) != sheet


def test_a_look_changes_nothing_in_the_book(sheet, jar):
    before = Entry.objects.count()

    counted(sheet, jar, 450_000)

    assert (on_hand(jar), Entry.objects.count()) == (500_000, before)


def test_the_second_look_at_a_jar_stands(sheet, jar):
    counted(sheet, jar, 450_000)

    assert counted(sheet, jar, 480_000).amount == 480_000


def test_nothing_is_counted_before_it_came(sheet, jar):
    with pytest.raises(Refused, match="came on 2 March 2026"):
        counting.note(sheet, {jar: 1}, by=PersonFactory(), at=day(-2))


def test_a_finished_sheet_takes_no_more(sheet, jar):
    counting.finish(sheet)

    with pytest.raises(Refused, match="finished"):
        counted(sheet, jar, 450_000)


# what differs


def test_a_line_stands_beside_what_the_book_had_at_its_moment(sheet, jar):
    operations.use(jar, amount=100_000, by=signed(2))
    operations.use(jar, amount=50_000, by=signed(8))

    line = counted(sheet, jar, 390_000, at=5)

    assert (line.book, line.amount) == (400_000, 390_000)


def test_the_last_count_before_it_is_where_the_book_begins(sheet, jar):
    operations.count(jar, amount=300_000, by=signed(3))
    operations.use(jar, amount=20_000, by=signed(4))
    operations.use(jar, amount=60_000, by=signed(2))

    assert counted(sheet, jar, 280_000, at=5).book == 280_000


def test_what_is_written_late_moves_the_difference(sheet, jar):
    counted(sheet, jar, 450_000)

    operations.use(jar, amount=50_000, by=signed(4))

    assert not CountLine.objects.differing().exists()


# deciding


def decided(sheet, *lines, at=9, reason="Part tin, by eye"):
    return counting.decide(sheet, lines=list(lines), reason=reason, by=signed(at))


def test_a_decided_difference_is_an_entry_with_its_reason_when_it_was_counted(sheet, jar):
    line = counted(sheet, jar, 450_000)

    entry = decided(sheet, line)

    assert (entry.happened_at, str(entry)) == (
        day(5),
        f"Counted 450 g of Crystals in {jar.code}: Part tin, by eye",
    )
    assert on_hand(jar) == 450_000


def test_what_was_used_between_count_and_decision_stays_used(sheet, jar):
    line = counted(sheet, jar, 450_000, at=5)
    operations.use(jar, amount=100_000, by=signed(7))

    decided(sheet, line)

    assert on_hand(jar) == 350_000


def test_what_is_not_decided_stays_as_it_was(sheet, jar):
    other = stocked("1 kg")
    first, second = counted(sheet, jar, 450_000), counted(sheet, other, 900_000)

    decided(sheet, first)

    assert list(CountLine.objects.undecided().differing()) == [second]
    assert on_hand(other) == 1_000_000


def test_a_line_is_decided_once(sheet, jar):
    line = counted(sheet, jar, 450_000)
    decided(sheet, line)

    with pytest.raises(Refused, match="decided these already"):
        decided(sheet, line)


def test_a_struck_decision_may_be_taken_anew(sheet, jar):
    line = counted(sheet, jar, 450_000)
    strike(decided(sheet, line), by=signed(9), reason="wrong jar")

    assert on_hand(jar) == 500_000
    assert list(CountLine.objects.undecided().differing()) == [line]


def test_lines_are_decided_together_or_not_at_all(sheet, jar):
    other = stocked("1 kg")
    lines = counted(sheet, jar, 450_000), counted(sheet, other, 100_000)
    operations.use(other, amount=900_000, by=signed(7))

    with pytest.raises(Refused):
        decided(sheet, *lines)

    assert on_hand(jar) == 500_000


# the pages


def test_a_member_counts_from_jar_to_jar_without_the_book(member, jar):
    second = stocked("2 kg", name="Whiting")
    Container.objects.filter(pk=second.pk).update(place=jar.place)
    begun = member.post(url("begin_count", jar.place_id), follow=True)
    address = begun.redirect_chain[-1][0]

    seen = begun.content.decode()
    next_one = member.post(f"{address}?code={jar.code}", {"amount": "1 lb"}, follow=True).content.decode()

    assert "500 g" not in seen.partition("<main")[2].replace("250 g", "")
    assert re.search(rf"<h2>.*{second.code}</span> Whiting", next_one)
    assert CountLine.objects.get().amount == 453_592


def test_a_jar_left_for_later_is_asked_for_again(member, sheet, jar):
    shown = member.get(sheet.get_absolute_url(), {"after": jar.code}).content.decode()

    assert re.search(rf"<h2>.*{jar.code}</span>", shown)


SALTS = [
    # how it is kept, its assay, and what 200 g less of it are in a bath
    ("copper_sulfate_pentahydrate", 1.0, None),
    ("copper_sulfate_pentahydrate", 0.98, "196 g of blue crystals"),
    ("copper_sulfate_anhydrous", 1.0, "313 g of blue crystals and takes up 113 mL of water"),
    ("copper_sulfate_anhydrous", 0.9, "282 g of blue crystals and takes up 102 mL of water"),
    ("copper_sulfate_monohydrate", 0.95, "267 g of blue crystals and takes up 77 mL of water"),
    ("", 1.0, None),
]


def test_each_salt_is_counted_as_it_is_weighed_and_says_what_the_difference_is_in_a_bath(keyholder, today):
    for bath_use, assay, says in SALTS:
        jar = stocked("500 g", bath_use=bath_use, purity=assay)
        today(10)
        sheet = counting.begin(jar.place, by=PersonFactory())
        form = keyholder.get(f"{sheet.get_absolute_url()}?code={jar.code}").content.decode()
        assert ("What is in it?" in form) == bool(bath_use), bath_use
        keyholder.post(f"{sheet.get_absolute_url()}?code={jar.code}", {"amount": "300 g", "looks": bath_use})
        counting.finish(sheet)

        assert CountLine.objects.get(container=jar).amount == 300_000
        for page in ("count_differences", "decide_count"):
            shown = keyholder.get(url(page, sheet.pk)).content.decode()
            assert ("in a bath" in shown) == bool(says), (bath_use, assay, page)
            assert (says or "") in shown, (bath_use, assay, page)


def test_a_jar_in_which_another_salt_is_found_is_not_counted_as_the_books(member, today):
    for kept_as, found, says in [
        ("copper_sulfate_pentahydrate", "copper_sulfate_anhydrous", "469 g of blue crystals"),
        ("copper_sulfate_anhydrous", "copper_sulfate_pentahydrate", "192 g of pale powder"),
        ("copper_sulfate_pentahydrate", "copper_sulfate_monohydrate", "422 g of blue crystals"),
    ]:
        jar = stocked("500 g", bath_use=kept_as)
        today(10)
        sheet = counting.begin(jar.place, by=PersonFactory())
        address = f"{sheet.get_absolute_url()}?code={jar.code}"
        shown = member.post(address, {"amount": "300 g", "looks": found}).content.decode()

        assert f"counts in a bath as {says}" in shown
        assert not CountLine.objects.filter(container=jar).exists()
        member.post(address, {"is_empty": "on", "looks": found})
        assert CountLine.objects.get(container=jar).amount == 0


def test_an_empty_jar_takes_one_tick(member, sheet, jar):
    member.post(f"{sheet.get_absolute_url()}?code={jar.code}", {"is_empty": "on"})

    assert CountLine.objects.get().amount == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"amount": ""}, "Say how much"),
        ({"amount": "3 L"}, "mass"),
        ({"amount": "3 g", "is_empty": "on"}, "clear one of the two"),
    ],
)
def test_a_count_that_is_not_understood_is_not_noted(member, sheet, jar, typed, said):
    shown = member.post(f"{sheet.get_absolute_url()}?code={jar.code}", typed).content.decode()

    assert said in shown
    assert not CountLine.objects.exists()


def test_what_stands_here_against_the_book_is_counted_by_its_code(member, sheet):
    stray = stocked("1 kg", name="Stray")

    shown = member.get(sheet.get_absolute_url(), {"code": stray.code.lower()}).content.decode()

    assert f"By the book it stands elsewhere: {stray.place}" in shown


def test_an_unknown_code_is_said_to_be_one(member, sheet):
    assert "knows no container" in member.get(sheet.get_absolute_url(), {"code": "ZZ-1"}).content.decode()


def test_a_paper_is_typed_in_with_the_moment_of_the_pencil(member, sheet, jar):
    member.post(url("count_from_paper", sheet.pk), {f"c{jar.pk}": "450 g", "happened_at": "2026-03-07T10:00"})

    assert CountLine.objects.get().counted_at == day(5)


def test_the_paper_asks_for_every_jar_and_says_no_amount(keyholder, sheet, jar):
    paper = text(keyholder.get(url("count_paper", sheet.pk)).content)

    assert jar.code in paper and "Crystals" in paper
    assert "500" not in paper


def test_the_paper_of_an_empty_place_says_so_and_has_lines_for_what_stands_there_all_the_same(keyholder):
    empty = counting.begin(PlaceFactory(name="By the tank"), by=keyholder.person)

    paper = text(keyholder.get(url("count_paper", empty.pk)).content)

    assert "By the book nothing is left to count here" in paper and "Material" not in paper
    assert "What stands here all the same" in paper


def test_the_end_of_a_walk_says_how_long_it_took_and_how_much_differs(member, sheet, jar, today):
    counted(sheet, jar, 450_000)
    CountSheet.objects.update(begun_at=day(10) - timedelta(minutes=40))

    shown = member.post(url("finish_count", sheet.pk), follow=True).content.decode()

    assert "Finished in 40 min, 1 difference listed" in shown
    assert all(words in shown for words in ("500 g", "450 g", "−50 g", "undecided", "A keyholder decides"))


def test_nobody_sees_differences_while_somebody_counts(member, sheet, jar):
    counted(sheet, jar, 450_000)

    assert "500 g" not in member.get(url("count_differences", sheet.pk)).content.decode().partition("<main")[2]


def test_a_keyholder_decides_what_is_ticked_and_a_second_tap_does_nothing(keyholder, sheet, jar):
    line = counted(sheet, jar, 450_000)
    typed = {"lines": [line.pk], "reason": "Used and not written down", "key": uuid4()}

    for _ in range(2):
        answer = keyholder.post(url("decide_count", sheet.pk), typed)

    assert answer.status_code == 302
    assert Entry.objects.filter(kind="counted").count() == 1


def test_a_decision_without_a_reason_is_none(keyholder, sheet, jar):
    line = counted(sheet, jar, 450_000)

    answer = keyholder.post(url("decide_count", sheet.pk), {"lines": [line.pk], "key": uuid4()})

    assert "reason" in answer.context["form"].errors
    assert on_hand(jar) == 500_000


@pytest.mark.parametrize("name", ["count_sheet", "count_differences", "decide_count", "count_from_paper"])
def test_a_long_sheet_asks_the_book_no_more_than_a_short_one(
    keyholder, sheet, jar, name, django_assert_max_num_queries
):
    for number in range(30):
        other = stocked("1 kg")
        Container.objects.filter(pk=other.pk).update(place=jar.place)
        if number % 2:
            counted(sheet, other, 900_000)

    with django_assert_max_num_queries(10):
        keyholder.get(url(name, sheet.pk))


def test_the_list_of_places_asks_the_book_little(member, django_assert_max_num_queries):
    Place.objects.bulk_create(Place(name=f"Place no. {number}") for number in range(30))

    with django_assert_max_num_queries(10):
        member.get(url("counts"))
