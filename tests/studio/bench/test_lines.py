"""Whom to call: asked for until somebody answers."""

import pytest
from django.urls import reverse

from tests.factories import settings_of

ASKED = "Write down whom to call"
CHANGE = reverse("workshop:change")


def bench(client) -> str:
    return client.get("/").content.decode()


def test_a_keyholder_is_asked_for_the_numbers_and_a_member_is_not(keyholder, member):
    assert ASKED in bench(keyholder)
    assert ASKED not in bench(member)


@pytest.mark.parametrize("answer", [{"emergency_line": "112", "poison_line": "030 19240"}, {"is_without_lines": True}])
def test_nobody_is_asked_once_they_are_written_down_or_declined(keyholder, studio, answer):
    keyholder.post(CHANGE, settings_of(studio, **answer))

    assert ASKED not in bench(keyholder)


def test_half_the_numbers_are_not_enough(keyholder, studio):
    studio.emergency_line = "112"
    studio.save_base()

    assert ASKED in bench(keyholder)


@pytest.mark.parametrize("page", ["first aid", "spill"])
def test_where_a_number_is_missing_a_keyholder_is_led_to_writing_it_down(keyholder, member, page):
    address = reverse("first_aid") if page == "first aid" else reverse("waste:report")

    assert f'href="{CHANGE}">Emergency' in keyholder.get(address).content.decode()
    assert f'href="{CHANGE}"' not in member.get(address).content.decode()
