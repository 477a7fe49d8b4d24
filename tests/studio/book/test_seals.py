import pytest
from django.db import models
from django.urls import reverse

from inventory import seals
from inventory.models import Entry, Seal
from studio.waste.models import Disposal
from tests.factories import stocked
from tests.studio.waste.shop import drum, handed_over, put

SEALS = reverse("book:seals")


def words(response) -> str:
    return " ".join(response.content.decode().split())


def test_a_book_without_seals_says_when_the_first_comes(member):
    assert "The first seal comes by itself within a day" in words(member.get(SEALS))


@pytest.mark.parametrize(
    "typed", [lambda seal: seal.code, lambda seal: seal.digest[:8].upper(), lambda seal: seal.digest]
)
def test_a_code_on_paper_is_looked_up(member, typed):
    stocked("500 g")
    seal = seals.seal()

    page = words(member.get(SEALS, {"code": typed(seal)}))

    # the day is that of the studio's clock
    assert f"Seal {seal.pk} of " in page and f": {seal.code}" in page
    assert "What it covers stands as it was" in page


def test_a_seal_that_is_broken_says_what_was_changed(member):
    stocked("500 g")
    seal = seals.seal()
    first = Entry.objects.first()
    models.QuerySet(Entry).filter(pk=first.pk).update(note="slipped in")

    page = words(member.get(SEALS, {"code": seal.code}))

    assert f"entry {first.pk} is not as seal {seal.pk} of" in page
    assert "What it covers stands as it was" not in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("abc", "Eight letters or more"),
        ("copperplates", "Eight letters or more"),
        ("0" * 8, "No seal of this book begins"),
    ],
)
def test_a_code_that_is_none_is_answered(member, typed, sentence):
    assert sentence in words(member.get(SEALS, {"code": typed}))


def test_a_handover_is_sealed_once_it_is_written(member, django_capture_on_commit_callbacks):
    left = drum()
    put(left, 2.0)

    with django_capture_on_commit_callbacks(execute=True):
        handed_over(left)

    assert seals.covering(Disposal.objects.get().entry) == Seal.objects.get()
