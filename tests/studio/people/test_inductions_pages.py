import csv
import io
import zipfile
from datetime import date
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Material
from studio.people.inductions import Task, induct
from studio.people.models import Induction
from studio.workshop import operations
from tests.factories import PersonFactory, adopted, bitten, signed, stocked

LIST = reverse("people:inductions")


@pytest.fixture
def ask(studio, today):
    """The studio asks for inductions; it is the tenth day."""
    today(10)
    studio.asks_for_induction = True
    studio.save_base()


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def words(response) -> str:
    return " ".join(response.content.decode().split())


def inducted(person, keyholder, *tasks, until_on=None):
    return induct(person, tasks=tasks or Task.values, until_on=until_on, by=signed(1, done_by=keyholder.person))


def needs(client) -> str:
    return words(client.get(reverse("bench:needs")))


def test_a_keyholder_writes_an_induction_down(keyholder, ask):
    ben = PersonFactory(name="Ben Crane")

    response = posted(
        keyholder, reverse("people:induct", args=[ben.pk]), tasks=["bath", "cutting"], until_on="2027-03-01"
    )

    assert response.headers["Location"] == reverse("people:person", args=[ben.pk])
    assert set(Induction.objects.values_list("person", "task", "until_on")) == {
        (ben.pk, "bath", date(2027, 3, 1)),
        (ben.pk, "cutting", date(2027, 3, 1)),
    }


def test_a_year_is_offered(keyholder, ask):
    page = words(keyholder.get(reverse("people:induct", args=[PersonFactory().pk])))

    assert 'value="2027-03-12"' in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Needed: choose one."),
        ({"tasks": ["flying"]}, "flying is not one of the available choices"),
        ({"tasks": ["bath"], "until_on": "soon"}, "Enter a valid date"),
        ({"tasks": ["bath"], "until_on": "2026-03-01"}, "It would end before it began"),
    ],
)
def test_an_induction_that_is_not_understood_is_explained(keyholder, ask, typed, sentence):
    response = posted(keyholder, reverse("people:induct", args=[PersonFactory().pk]), **typed)

    assert sentence in words(response)
    assert not Induction.objects.exists()


def test_the_list_says_who_was_shown_what_and_by_whom(member, keyholder, ask):
    ben, cleo = PersonFactory(name="Ben Crane"), PersonFactory(name="Cleo Dunn", account=None)
    inducted(ben, keyholder, Task.BATH, until_on=date(2026, 3, 15))
    inducted(cleo, keyholder, Task.SOLVENTS, until_on=date(2026, 3, 5))

    page = words(member.get(LIST))

    assert f"ends soon</span> until 15 March 2026, shown by {keyholder.person}" in page
    assert f"ended</span> on 5 March 2026, shown by {keyholder.person}" in page
    assert "keyholder</span> shows it to others" in page
    assert "not inducted" in page


def test_whoever_left_is_on_no_list(member, ask):
    PersonFactory(name="Ben Crane", left_on="2026-03-01")

    assert "Ben Crane" not in words(member.get(LIST))


def test_the_list_asks_the_database_little(member, keyholder, ask, django_assert_max_num_queries):
    for _ in range(10):
        inducted(PersonFactory(), keyholder)

    with django_assert_max_num_queries(5):
        member.get(LIST)


def test_the_list_says_whether_anybody_is_stopped(member, studio):
    assert "stops nobody" in words(member.get(LIST))

    operations.change(studio, asks_for_induction=True, by=signed())

    assert "an etcher who keeps the book alone never meets this" in words(member.get(LIST))


def test_the_list_is_printed(member, ask):
    response = member.get(reverse("people:inductions_paper"))

    assert response.headers["Content-Type"] == "application/pdf"


def test_a_member_inducts_nobody(member, ask):
    address = reverse("people:induct", args=[PersonFactory().pk])

    assert member.get(address).status_code == 403
    assert posted(member, address, tasks=["bath"]).status_code == 403


def test_a_bite_is_refused_beside_whoever_would_bite(member, keyholder, ask):
    bath = adopted()

    response = posted(member, reverse("bites:start"), bath=bath.pk, state=1, checked="on", planned_min="30")

    assert f"{member.person} is not inducted for the bath. Ask {keyholder.person}" in words(response)


def test_nobody_fills_in_a_whole_bite_before_hearing_of_the_induction(member, keyholder, ask):
    adopted()

    assert f"{member.person} is not inducted for the bath." in words(member.get(reverse("bites:start")))
    assert "not inducted" not in words(keyholder.get(reverse("bites:start")))


def test_a_solvent_is_refused_beside_whoever_would_take_it(member, keyholder, ask):
    tin = stocked("1 L", category=Material.Category.SOLVENTS, dimension="volume", shown_unit="mL")

    response = posted(member, reverse("shelf:use", args=[tin.code]), amount="20 mL")

    assert f"{member.person} is not inducted for solvents. Ask {keyholder.person}" in words(response)
    assert '<details class="working signature" open>' in words(response)


def test_the_bench_tells_of_inductions_that_end_within_a_week(member, keyholder, ask):
    ben = PersonFactory(name="Ben Crane")
    inducted(ben, keyholder, Task.BATH, until_on=date(2026, 3, 19))
    inducted(ben, keyholder, Task.SOLVENTS, until_on=date(2026, 3, 20))

    shown = needs(member)

    assert "The induction of Ben Crane for the bath ends on 19 March 2026." in shown
    assert "for solvents" not in shown
    assert reverse("people:person", args=[ben.pk]) in shown


def test_the_bench_tells_of_a_bite_without_an_induction_until_it_is_given(member, keyholder, ask):
    ben = PersonFactory(name="Ben Crane")
    bitten(adopted(), at=2, by=signed(2, done_by=ben))
    assert "Ben Crane bit on 4 March 2026 without an induction for the bath." in needs(member)

    inducted(ben, keyholder, Task.BATH)

    assert "without an induction" not in needs(member)


def test_a_studio_that_asks_for_no_induction_hears_nothing_of_it(member, studio):
    bitten(adopted(), at=2, by=signed(2))

    assert "without an induction" not in needs(member)


def test_the_book_says_what_an_induction_changed(member, keyholder, ask):
    line = inducted(PersonFactory(name="Ben Crane"), keyholder, Task.BATH, until_on=date(2027, 3, 1))

    assert "inducted for the bath, until 1 March 2027" in words(member.get(line.get_absolute_url()))


def test_inductions_are_taken_along_with_the_book(keyholder, ask):
    inducted(PersonFactory(name="Ben Crane"), keyholder, Task.BATH, until_on=date(2027, 3, 1))

    answer = b"".join(keyholder.get(reverse("bench:everything")).streaming_content)

    with zipfile.ZipFile(io.BytesIO(answer)) as archive:
        head, line = csv.reader(io.StringIO(archive.read("inductions.csv").decode("utf-8-sig")))
    assert dict(zip(head, line, strict=True)) | {"Entry": "", "When": ""} == {
        **{"Entry": "", "When": "", "Who": "Ben Crane", "For": "bath", "Until": "2027-03-01"},
        **{"Shown by": keyholder.person.name, "Struck": ""},
    }


def test_the_studio_page_says_whether_induction_is_asked_for(member, studio):
    assert "nobody is stopped" in words(member.get(reverse("workshop:studio")))

    operations.change(studio, asks_for_induction=True, by=signed())

    assert "keyholders are never stopped" in words(member.get(reverse("workshop:studio")))


def test_a_keyholder_opens_and_closes_the_gate(keyholder, studio):
    page = words(keyholder.get(reverse("workshop:change")))

    assert "Ask for an induction before a bite" in page
    assert "it changes nothing for an etcher alone" in page
