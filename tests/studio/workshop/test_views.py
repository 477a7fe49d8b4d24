import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import Entry
from studio.server import database
from studio.workshop import operations
from studio.workshop.models import Workshop
from tests.factories import settings_of, signed, stocked

STUDIO, CHANGE, BEGIN_OWN = (reverse(f"workshop:{name}") for name in ("studio", "change", "begin_own"))


def test_everybody_reads_the_studios_units(member):
    page = member.get(STUDIO).content.decode()

    assert "grams of blue crystals per litre" in page
    assert page.count("none yet: a keyholder writes it down") == 3


def test_the_machine_is_the_keyholders_business(member, keyholder, settings):
    assert str(settings.DATA) in keyholder.get(STUDIO).content.decode()
    assert str(settings.DATA) not in member.get(STUDIO).content.decode()


def test_a_keyholder_sees_which_database_keeps_the_book(keyholder):
    assert database.described() in keyholder.get(STUDIO).content.decode()


def test_a_keyholder_sees_the_address_of_printed_codes(keyholder, settings):
    settings.PUBLIC_URL = "https://book.example.org"

    assert "https://book.example.org" in keyholder.get(STUDIO).content.decode()


def test_a_keyholder_sees_the_request_as_the_book_does(keyholder):
    page = keyholder.get(STUDIO, headers={"host": "localhost:8000"}, REMOTE_ADDR="127.0.0.9").content.decode()

    assert "localhost:8000" in page
    assert "127.0.0.9" in page


def test_the_studio_page_asks_the_database_little(keyholder, django_assert_max_num_queries):
    with django_assert_max_num_queries(6):
        keyholder.get(STUDIO)


def test_a_keyholder_changes_the_units(keyholder, studio):
    response = keyholder.post(CHANGE, settings_of(studio, temperature="°F", poison_line="030 19240"))

    studio.refresh_from_db()
    assert response.headers["Location"] == STUDIO
    assert (studio.temperature, studio.poison_line) == ("°F", "030 19240")
    assert Entry.objects.get().done_by == keyholder.person


def test_a_currency_is_three_letters_however_they_are_typed(keyholder, studio):
    keyholder.post(CHANGE, settings_of(studio, currency="gbp"))

    studio.refresh_from_db()
    assert studio.currency == "GBP"


def test_a_studio_in_the_united_states_says_in_which_state(keyholder, studio):
    keyholder.post(CHANGE, settings_of(studio, region="us", us_state="MO"))

    studio.refresh_from_db()
    assert studio.us_state == "MO"
    assert "<dt>State</dt><dd>Missouri (MO)</dd>" in keyholder.get(STUDIO).content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"us_state": "C1"}, "not one of the available choices"),
        ({"emergency_line": "call Ada"}, "so that a phone can dial it"),
        ({"currency": "€"}, "Three letters, such as EUR"),
        ({"name": ""}, "Needed"),
        ({}, "Nothing is different yet"),
        ({"region": "us", "happened_at": "2126-01-01T10:00"}, "has not come yet"),
    ],
)
def test_settings_that_are_refused_are_explained(keyholder, studio, typed, sentence):
    response = keyholder.post(CHANGE, settings_of(studio, **typed))

    assert sentence in response.content.decode()
    assert Workshop.objects.get().name == studio.name
    assert not Entry.objects.exists()


def test_a_member_changes_no_settings(member, studio):
    assert member.get(CHANGE).status_code == 403
    assert member.post(CHANGE, settings_of(studio, region="us")).status_code == 403


@pytest.mark.parametrize("address", [STUDIO, CHANGE, BEGIN_OWN])
def test_strangers_learn_nothing_about_the_studio(stranger, address):
    assert stranger.get(address).headers["Location"].startswith(reverse("people:sign_in"))


@pytest.fixture
def demo(studio):
    """The book is the demo's."""
    studio.is_demo = True
    studio.save_base()
    return studio


def test_the_demo_says_so_on_every_page(demo, member):
    page = member.get(STUDIO).content.decode()

    assert f'<a class="demo" href="{BEGIN_OWN}">Demo: begin your own</a>' in page


def test_an_own_book_has_no_such_banner(member):
    assert BEGIN_OWN not in member.get(STUDIO).content.decode()


def test_the_demo_answers_its_own_machine_only(demo, member):
    response = member.get(STUDIO, REMOTE_ADDR="192.168.1.20")

    assert response.status_code == 403
    assert "demo stays on its machine" in response.content.decode()


def test_looking_at_the_way_out_of_the_demo_empties_nothing(demo, keyholder):
    stocked("500 g")

    page = keyholder.get(BEGIN_OWN).content.decode()

    assert "What is removed for good" in page
    assert Entry.objects.exists()


def test_the_emptied_demo_leads_to_the_beginning_of_the_own_book(demo, keyholder):
    stocked("500 g")

    response = keyholder.post(BEGIN_OWN)

    assert response.headers["Location"] == reverse("workshop:begin")
    assert keyholder.get(reverse("workshop:begin")).status_code == 200
    assert not Entry.objects.exists()


def test_a_member_does_not_empty_the_demo(demo, member):
    stocked("500 g")

    assert member.post(BEGIN_OWN).status_code == 403
    assert Entry.objects.exists()


def test_an_own_book_has_no_way_to_be_emptied(keyholder):
    stocked("500 g")

    assert keyholder.get(BEGIN_OWN).status_code == keyholder.post(BEGIN_OWN).status_code == 404
    assert Entry.objects.exists()


def test_what_is_known_of_the_studio_comes_with_the_mark_of_the_book(member):
    def ask():
        with CaptureQueriesContext(connection) as asked:
            shown = member.get(reverse("bench:closing")).content.decode()
        return shown, [each["sql"] for each in asked if "workshop_workshop" in each["sql"]]

    before, first = ask()
    operations.change(Workshop.objects.get(), name="Rook Lane", by=signed())
    after, anew = ask()

    assert "Rook Lane" not in before
    assert "Rook Lane" in after
    assert len(first) == len(anew) == 1


@pytest.mark.parametrize(
    ("region", "time_zone", "emergency", "poison"),
    [
        ("us", "America/Chicago", "911", "1-800-222-1222"),  # FCC order 00-327; poison.org
        ("gb", "Europe/London", "999", "111"),  # npis.org; 999 from memory
        ("eu", "Europe/Paris", "112", None),
        ("eu", "Europe/Dublin", "112", "01 809 2166"),  # npis.org
        ("elsewhere", "UTC", None, None),
    ],
)
def test_lines_of_the_region_are_offered_and_count_once_they_are_confirmed(
    keyholder, studio, region, time_zone, emergency, poison
):
    studio.region, studio.time_zone = region, time_zone
    studio.save_base()
    form = keyholder.get(CHANGE).context["form"]

    assert (form["emergency_line"].value() or None, form["poison_line"].value() or None) == (emergency, poison)
    assert Workshop.objects.get().emergency_line == ""


def test_a_state_is_chosen_by_its_name(keyholder):
    page = keyholder.get(CHANGE).content.decode()

    assert '<option value="MO">Missouri (MO)</option>' in page
    assert '<option value="MI">Michigan (MI)</option>' in page
