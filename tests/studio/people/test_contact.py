import io
import zipfile
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Entry
from studio.people import operations
from studio.people.models import Contact
from tests.factories import PersonFactory, signed

TELEPHONE, EMAIL = "030 5550199", "ada@example.org"


@pytest.fixture
def ada(studio):
    person = PersonFactory(name="Ada Brook")
    operations.reach(person, telephone=TELEPHONE, email=EMAIL, by=signed(1))
    return person


def page(client, person) -> str:
    return client.get(reverse("people:person", args=[person.pk])).content.decode()


def test_a_keyholder_sees_how_somebody_is_reached(keyholder, ada):
    assert f"{TELEPHONE} · {EMAIL}" in page(keyholder, ada)


def test_that_a_keyholder_looked_stands_in_the_log(keyholder, ada, caplog):
    caplog.set_level("INFO", "studio.door")
    for person in (keyholder.person, ada):
        page(keyholder, person)
        keyholder.get(reverse("people:contact", args=[person.pk]))

    said = f"read how person {ada.pk} is reached: account {keyholder.person.account.pk} from 127.0.0.1"
    assert [record.getMessage() for record in caplog.records if record.name == "studio.door"] == [said, said]


def test_whoever_it_is_sees_and_changes_the_own(member):
    address = reverse("people:contact", args=[member.person.pk])

    member.post(address, {"key": uuid4(), "telephone": TELEPHONE, "email": EMAIL})

    assert TELEPHONE in page(member, member.person)
    assert TELEPHONE in member.get(address).content.decode()


@pytest.mark.parametrize("who", ["member", "viewer"])
def test_nobody_else_sees_or_changes_it(request, who, ada):
    client, address = request.getfixturevalue(who), reverse("people:contact", args=[ada.pk])

    assert TELEPHONE not in page(client, ada) and EMAIL not in page(client, ada)
    assert client.get(address).status_code == 403
    assert client.post(address, {"key": uuid4(), "telephone": "1"}).status_code == 403
    assert Contact.objects.get().telephone == TELEPHONE


def test_the_book_says_that_it_changed_and_not_to_what(keyholder, ada):
    assert Entry.objects.get(kind="contact changed").subject == "Changed how Ada Brook is reached"

    for address in (reverse("book:book"), reverse("people:people"), reverse("people:inductions"), "/"):
        assert TELEPHONE not in keyholder.get(address).content.decode()


def test_it_is_not_taken_along_with_the_book(keyholder, ada):
    answer = b"".join(keyholder.get(reverse("bench:everything")).streaming_content)

    with zipfile.ZipFile(io.BytesIO(answer)) as archive:
        assert not [name for name in archive.namelist() if TELEPHONE.encode() in archive.read(name)]


def test_it_goes_when_they_go(keyholder, ada):
    operations.leave(ada, left_on=timezone.localdate(), by=signed(2))

    assert not Contact.objects.exists()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [({"telephone": "call me"}, "so that a phone can dial it"), ({"email": "ada"}, "valid email")],
)
def test_what_reaches_nobody_is_refused(keyholder, ada, typed, sentence):
    response = keyholder.post(reverse("people:contact", args=[ada.pk]), {"key": uuid4(), **typed})

    assert sentence in response.content.decode()
