"""What opens without signing in, and what a browser keeps of it."""

import pytest
from django.urls import reverse

from inventory import book, ledger
from inventory.models import Person
from tests.factories import MaterialFactory, adopted, signed, stocked
from tests.studio.safety.shop import made_of
from tests.studio.waste.shop import drum

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 19, 5
OPEN, KEPT, WORKER = (reverse(f"safety:{name}") for name in ("open", "kept", "worker"))


def test_the_list_opens_for_anybody_in_few_queries(stranger, django_assert_max_num_queries):
    bath, acetone = adopted(name="Upright tank"), made_of(("acetone", 100, 100), name="Acetone")
    MaterialFactory(name="Secret ground", category="Grounds")
    held = drum(name="W1")

    with django_assert_max_num_queries(MOST_QUERIES):
        stranger.get(OPEN)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        shown = stranger.get(OPEN).content.decode()

    assert reverse("safety:open_bath", args=[bath.pk]) in shown
    assert reverse("safety:open_drum", args=[held.pk]) in shown
    assert reverse("safety:open_material", args=[acetone.pk]) in shown
    assert "needs info" in shown
    assert reverse("first_aid") in shown


def test_the_list_tells_neither_amounts_nor_names_of_people(stranger):
    stocked("512 g", name="Blue crystals", crystals=True)
    adopted()

    told = stranger.get(OPEN).content.decode() + stranger.get(KEPT).content.decode()

    assert "512" not in told
    assert not [person.name for person in Person.objects.all() if person.name in told]


def test_an_empty_studio_still_has_first_aid_and_the_wall_sheet(stranger):
    shown = stranger.get(OPEN).content.decode()

    assert "No bath and no material is in the book yet." in shown
    assert reverse("first_aid") in shown and reverse("safety:wall") in shown


def test_a_code_typed_from_a_label_leads_to_its_summary(stranger):
    jar = stocked("500 g", crystals=True)

    assert stranger.get(OPEN, {"code": f" {jar.code} "}).headers["Location"] == reverse(
        "safety:open_container", args=[jar.code]
    )
    assert stranger.get(OPEN, {"code": "?!"}).headers["Location"] == OPEN


@pytest.mark.parametrize("address", ["c/NO-SUCH/", "c/%21%21/", "materials/4711/", "baths/4711/", "nonsense/"])
def test_a_wrong_code_is_answered_clearly_and_first_aid_stays_at_hand(stranger, address):
    response = stranger.get(f"{OPEN}{address}")

    shown = response.content.decode()
    assert response.status_code == 404
    assert "the code was mistyped" in shown
    assert reverse("first_aid") in shown and OPEN in shown


def test_a_finished_jar_still_tells_what_was_in_it(stranger):
    jar = stocked("500 g", crystals=True)
    with book.entry("used", "used up", signed(1)) as entry:
        ledger.finish(jar, entry=entry)

    shown = stranger.get(reverse("safety:open_container", args=[jar.code]))

    assert shown.status_code == 200
    assert "DANGER" in shown.content.decode()
    assert f"{jar.code} is empty" in shown.content.decode()


def test_a_bath_that_was_renamed_is_found_by_its_old_code(stranger):
    bath = adopted(name="Upright tank")
    type(bath)._base_manager.filter(pk=bath.pk).update(name="Tall tank")

    assert "Tall tank" in stranger.get(reverse("safety:open_bath", args=[bath.pk])).content.decode()


def test_a_browser_keeps_first_aid_first_then_what_the_pages_are_drawn_with_then_every_summary(
    stranger, django_assert_max_num_queries
):
    bath, jar = adopted(), stocked("500 g", crystals=True)

    with django_assert_max_num_queries(MOST_QUERIES):
        kept = stranger.get(KEPT).json()
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        stranger.get(KEPT)

    material = reverse("safety:open_material", args=[jar.material_id])
    assert kept["pages"][0] == reverse("first_aid")
    assert {OPEN, reverse("safety:wall"), material, reverse("safety:open_bath", args=[bath.pk])} <= set(kept["pages"])
    assert kept["codes"] == {reverse("safety:open_container", args=[jar.code]): material}


def test_every_page_that_is_kept_opens_for_a_stranger(stranger):
    adopted()
    drum()
    stocked("500 g", crystals=True)

    pages = [path for path in stranger.get(KEPT).json()["pages"] if not path.startswith("/static/")]

    assert [stranger.get(path).status_code for path in pages] == [200] * len(pages)


def test_the_worker_may_answer_for_the_whole_book_and_is_asked_for_anew(stranger):
    response = stranger.get(WORKER)

    assert response.headers["Content-Type"] == "text/javascript"
    assert response.headers["Service-Worker-Allowed"] == reverse("bench:bench")
    assert "no-cache" in response.headers["Cache-Control"]
    assert "default-src 'none'" in response.headers["Content-Security-Policy"]


def test_every_open_page_asks_to_be_kept_and_has_a_place_for_the_date(stranger):
    bath, jar = adopted(), stocked("500 g", crystals=True)
    pages = [OPEN, reverse("safety:wall"), reverse("first_aid"), reverse("safety:open_bath", args=[bath.pk])]
    pages.append(reverse("safety:open_container", args=[jar.code]))

    for path in pages:
        shown = stranger.get(path).content.decode()
        assert f'data-worker="{WORKER}"' in shown, path
        assert 'id="saved" hidden' in shown and "<time></time>" in shown, path
