from uuid import uuid4

import pytest
from axes.models import AccessAttempt
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory import book
from inventory.models import Entry
from studio.people import tablets
from studio.people.models import Pin, Session, Tablet
from studio.people.roles import KEYHOLDER
from studio.waste import addresses
from studio.waste.models import CalendarAddress
from tests.factories import PersonFactory, signed

GOOD = "etched in blue"
WHO, SIGN_IN, BENCH = reverse("people:who"), reverse("people:sign_in"), reverse("bench:bench")


def url(name, *args):
    return reverse(f"people:{name}", args=args)


def words(response) -> str:
    return " ".join(response.content.decode().split())


def with_pin(pin="2718", **facts):
    person = PersonFactory(**facts)
    person.account.set_password(GOOD)
    person.account.save()
    tablets.choose_pin(person, pin)
    return person


def marked(keyholder, name="Tablet by the tank"):
    """The keyholder's browser, which becomes the tablet."""
    keyholder.post(url("mark_tablet"), {"key": uuid4(), "name": name})
    return keyholder


@pytest.fixture
def tablet(keyholder):
    return marked(keyholder)


def come(tablet, person, pin="2718", **typed):
    return tablet.post(WHO, {"who": person.pk, "pin": pin, **typed})


def test_marking_a_device_signs_the_keyholder_out_and_asks_who_is_there(keyholder):
    response = keyholder.post(url("mark_tablet"), {"key": uuid4(), "name": "Tablet by the tank"})

    assert response.headers["Location"] == WHO
    assert keyholder.get(BENCH).status_code == 302
    assert Entry.objects.get(kind="tablet marked").done_by == keyholder.person


def test_a_device_is_no_tablet_where_the_keyholders_stay_cannot_end_with_it(keyholder):
    def no_stay_ends(execute, sql, params, many, context):
        if sql.startswith("DELETE") and '"people_session"' in sql:
            raise OperationalError("made to fail")
        return execute(sql, params, many, context)

    keyholder.raise_request_exception = False
    with connection.execute_wrapper(no_stay_ends):
        marked(keyholder)

    assert keyholder.get(BENCH).status_code == 200
    assert not Tablet.objects.exists() and tablets.COOKIE not in keyholder.cookies


def test_the_cookie_of_a_tablet_is_no_business_of_scripts(keyholder):
    cookie = marked(keyholder).cookies[tablets.COOKIE]

    assert cookie["httponly"] and cookie["samesite"] == "Lax"


def test_at_the_tablet_the_door_asks_for_a_name_and_a_pin(tablet):
    ada = with_pin(name="Ada Brook")
    PersonFactory(name="Ben Crane")

    response = tablet.get(SIGN_IN, {"next": "/shelf/"}, follow=True)

    assert response.redirect_chain == [(f"{WHO}?next=%2Fshelf%2F", 302)]
    assert str(ada) in words(response) and "Ben Crane" not in words(response)


def test_a_tablet_nobody_has_a_pin_for_says_what_to_do(tablet):
    assert "Nobody has chosen a PIN yet" in words(tablet.get(WHO))


def test_the_right_pin_opens_the_book_in_that_name(tablet):
    ada = with_pin(name="Ada Brook")

    response = come(tablet, ada)

    assert response.headers["Location"] == BENCH
    assert "Ada Brook" in words(tablet.get(BENCH))
    assert "Done: who is next?" in words(tablet.get(BENCH))


def test_whoever_was_led_to_the_door_goes_on_where_they_were(tablet):
    assert come(tablet, with_pin(), next="/shelf/").headers["Location"] == "/shelf/"


def test_no_pin_leads_to_another_site(tablet):
    assert come(tablet, with_pin(), next="https://elsewhere.example/").headers["Location"] == BENCH


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"pin": "1111"}, "That is not the PIN of Ada Brook."),
        ({"pin": ""}, "Needed: fill this in."),
        ({"who": ""}, "Needed: choose one."),
        ({"who": "0"}, "is not one of the available choices"),
    ],
)
def test_whoever_is_not_let_in_is_told_why(tablet, typed, sentence):
    ada = with_pin(name="Ada Brook")

    response = tablet.post(WHO, {"who": ada.pk, "pin": "2718"} | typed)

    assert sentence in words(response)
    assert tablet.get(BENCH).status_code == 302


def test_a_pin_opens_nothing_on_another_device(stranger):
    ada = with_pin()

    response = come(stranger, ada)

    assert response.headers["Location"] == SIGN_IN
    assert stranger.get(BENCH).status_code == 302


def test_a_cookie_that_was_made_up_marks_nothing(stranger, tablet):
    stranger.cookies[tablets.COOKIE] = Tablet.objects.get().key.hex

    assert come(stranger, with_pin()).headers["Location"] == SIGN_IN


def test_a_pin_is_no_password(tablet, stranger):
    ada = with_pin()

    stranger.post(SIGN_IN, {"username": ada.account.username, "password": "2718"})

    assert stranger.get(BENCH).status_code == 302


def test_five_wrong_pins_close_the_door_for_a_while(tablet):
    ada = with_pin()

    for _ in range(5):
        response = come(tablet, ada, "1111")

    assert response.status_code == 429
    assert come(tablet, ada).status_code == 429
    assert "1111" not in str(AccessAttempt.objects.values())


def test_a_keyholder_is_a_member_at_the_tablet(tablet):
    come(tablet, with_pin(role=KEYHOLDER))

    assert tablet.get(url("add_several")).status_code == 403
    assert tablet.get(url("tablets")).status_code == 403


def test_what_is_done_at_the_tablet_is_done_by_that_person_through_their_account(tablet):
    ada = with_pin()
    come(tablet, ada)

    tablet.post(reverse("shelf:new_place"), {"key": uuid4(), "name": "Window sill", "kind": "shelf"})

    written = Entry.objects.get(kind="place added")
    assert (written.done_by, written.recorded_by) == (ada, ada.account)


@pytest.mark.parametrize(
    "end",
    [
        lambda device: tablets.take_off(device, by=signed()),
        lambda device: book.strike(device.entry, by=signed(), reason="it was another device"),
    ],
    ids=["taken off", "its marking struck"],
)
def test_a_tablet_that_is_one_no_more_shuts_what_was_opened_there(tablet, end):
    come(tablet, with_pin())
    assert tablet.get(BENCH).status_code == 200

    end(Tablet.objects.get())

    assert tablet.get(BENCH).status_code == 302


def test_a_calendar_address_is_nothing_for_the_tablet(tablet):
    ada = with_pin(role=KEYHOLDER)
    addresses.make(by=signed(done_by=ada, recorded_by=ada.account))
    come(tablet, ada)

    assert CalendarAddress.objects.get().token not in words(tablet.get(reverse("waste:calendar")))
    assert tablet.post(reverse("waste:make_address"), {"key": uuid4()}).status_code == 403


def test_whoever_is_done_makes_room_for_the_next(tablet):
    come(tablet, with_pin())

    response = tablet.post(url("sign_out"), follow=True)

    assert response.redirect_chain[-1][0].startswith(WHO)
    assert tablet.get(BENCH).status_code == 302


def test_to_ask_who_is_there_ends_the_visit_of_whoever_was(tablet):
    come(tablet, with_pin())

    tablet.get(WHO)

    assert tablet.get(BENCH).status_code == 302


def left_min(client) -> float:
    expires = Session.objects.get(session_key=client.session.session_key).expire_date
    return (expires - timezone.now()).total_seconds() / 60


def test_a_visit_at_the_tablet_ends_after_ten_minutes_of_rest(tablet):
    come(tablet, with_pin())

    assert 9.5 < left_min(tablet) <= 10


def test_whoever_goes_on_working_stays(tablet, monkeypatch):
    come(tablet, with_pin())
    row = Session.objects.get(session_key=tablet.session.session_key)
    row.expire_date = timezone.now() + timezone.timedelta(minutes=4)
    row.save()
    session = tablet.session
    session["awake_at"] = 0
    Session.objects.filter(pk=row.pk).update(session_data=session.encode(dict(session)))

    tablet.head(reverse("first_aid"))

    assert 9.5 < left_min(tablet) <= 10


def test_a_password_typed_at_the_tablet_opens_the_book_as_shortly(tablet):
    ada = with_pin(role=KEYHOLDER)

    tablet.post(f"{SIGN_IN}?password=1", {"username": ada.account.username, "password": GOOD})

    assert tablet.get(url("tablets")).status_code == 200
    assert 9.5 < left_min(tablet) <= 10


def test_a_tablet_that_was_taken_off_opens_to_no_pin(tablet, studio):
    ada, other = with_pin(), Client()
    tablets.take_off(Tablet.objects.get(), by=signed(1))

    assert come(tablet, ada).headers["Location"] == SIGN_IN
    assert other.get(SIGN_IN).status_code == 200


def test_a_keyholder_takes_a_tablet_off(keyholder):
    tablets.mark(name="Tablet by the tank", by=signed(1))
    assert "Tablet by the tank" in words(keyholder.get(url("tablets")))

    keyholder.post(url("take_off_tablet", Tablet.objects.get().pk), {"key": uuid4()})

    assert "Tablet by the tank</b>" not in words(keyholder.get(url("tablets")))


def test_two_tablets_do_not_share_a_name(keyholder):
    tablets.mark(name="Tablet", by=signed(1))

    response = keyholder.post(url("mark_tablet"), {"key": uuid4(), "name": "tablet"})

    assert "There is a tablet called tablet already" in words(response)
    assert tablets.COOKIE not in response.cookies


def choose(member, **typed):
    member.person.account.set_password(GOOD)
    member.person.account.save()
    member.post(SIGN_IN, {"username": member.person.account.username, "password": GOOD})
    return member.post(url("own_pin"), {"password": GOOD, "pin": "2718", "again": "2718"} | typed)


def test_a_member_chooses_a_pin_with_the_password(member, tablet):
    assert choose(member).headers["Location"] == url("people")

    assert come(tablet, member.person).headers["Location"] == BENCH
    assert "2718" not in Pin.objects.get().hashed


def test_whoever_tries_passwords_from_within_is_slowed_as_at_the_door(member):
    change = {"new_password1": "bitten in copper", "new_password2": "bitten in copper"}
    ways = {
        "own_pin": {"password": "guess", "pin": "2718", "again": "2718"},
        "own_password": {"old_password": "guess"} | change,
    }
    for page, typed in ways.items():
        AccessAttempt.objects.all().delete()
        answers = [member.post(url(page), typed).status_code for _ in range(5)]

        assert answers == [200] * 4 + [429], page
        assert member.post(url(page), typed | {"password": GOOD, "old_password": GOOD}).status_code == 429, page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"password": "guess"}, "That is not the password you sign in with."),
        ({"pin": "271", "again": "271"}, "Four to eight digits."),
        ({"pin": "27a8", "again": "27a8"}, "Four to eight digits."),
        ({"pin": "7777", "again": "7777"}, "Anybody would try that one first"),
        ({"pin": "3456", "again": "3456"}, "Anybody would try that one first"),
        ({"again": "2719"}, "The two PINs differ"),
        ({"pin": "", "again": ""}, "Needed: fill this in."),
    ],
)
def test_a_pin_that_is_refused_is_explained(member, typed, sentence):
    assert sentence in words(choose(member, **typed))
    assert not Pin.objects.exists()


def test_a_pin_is_not_chosen_at_the_tablet(tablet):
    come(tablet, with_pin())

    assert tablet.get(url("own_pin")).status_code == 403


def test_whoever_left_is_not_asked_at_the_tablet(tablet):
    ada = with_pin(name="Ada Brook", left_on="2026-03-01")

    assert "Ada Brook" not in words(tablet.get(WHO))
    assert come(tablet, ada).status_code == 200


def test_the_tablets_first_page_asks_the_database_little(tablet, django_assert_max_num_queries):
    for _ in range(5):
        with_pin()

    with django_assert_max_num_queries(5):
        tablet.get(WHO)
