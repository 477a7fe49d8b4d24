import pytest
from axes.models import AccessAttempt
from django.urls import reverse
from django.utils import timezone

from tests.factories import PersonFactory

GOOD = "etched in blue"
SIGN_IN = reverse("people:sign_in")


def sign_in(client, username, password="guess", address="192.0.2.7"):
    return client.post(SIGN_IN, {"username": username, "password": password}, REMOTE_ADDR=address)


@pytest.fixture
def ada(studio):
    person = PersonFactory(account__username="ada")
    person.account.set_password(GOOD)
    person.account.save()
    return person


def test_people_behind_one_address_do_not_lock_each_other_out(stranger, ada):
    for name in ("ben", "cleo", "dov"):
        for _ in range(5):
            sign_in(stranger, name)

    assert sign_in(stranger, "ben").status_code == 429
    assert sign_in(stranger, "ada", GOOD).status_code == 302


def test_one_address_guessing_at_many_names_is_slowed(stranger, ada):
    answers = [sign_in(stranger, f"name{number}").status_code for number in range(50)]

    assert answers == [200] * 49 + [429]
    assert sign_in(stranger, "ada", GOOD).status_code == 429


def test_the_other_addresses_are_none_the_worse_for_it(stranger, ada):
    for number in range(50):
        sign_in(stranger, f"name{number}")

    assert sign_in(stranger, "ada", GOOD, address="192.0.2.8").status_code == 302


def test_after_a_quarter_of_an_hour_an_address_may_try_again(stranger, ada):
    for number in range(50):
        sign_in(stranger, f"name{number}")
    AccessAttempt.objects.update(attempt_time=timezone.now() - timezone.timedelta(minutes=16))

    assert sign_in(stranger, "ada", GOOD).status_code == 302


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [({"password": "x"}, "Needed: fill this in."), ({"username": "ada"}, "Needed: fill this in.")],
)
def test_a_door_that_was_left_half_filled_asks_in_our_own_words(stranger, typed, sentence):
    page = stranger.post(SIGN_IN, typed).content.decode()

    assert sentence in page
    assert "This field is required" not in page
