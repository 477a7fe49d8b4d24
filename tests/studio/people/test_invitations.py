"""One-time links: made, shown once, used once, and shut."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory import book
from inventory.models import Entry, Person
from studio.people import invitations, members, operations, second_factor, tablets
from studio.people.invitations import Link
from studio.people.models import Contact, Invitation, Pin, Session
from studio.workshop import operations as workshop
from studio.workshop.models import Workshop
from tests.factories import PersonFactory, signed

GOOD = "etched in blue"
LIST = "Name\tE-mail\nAda Brook\tada@example.org\nNell Marrow\nada brook\nRuth Vale;ruth@example.org\n"


@pytest.fixture
def ada(studio):
    return PersonFactory(name="Ada Brook", account=None, role="member")


def link_of(person, **kwargs):
    _, [link] = invitations.invite([person], by=signed(1), **kwargs)
    return link


def use(link, **typed):
    browser = Client()
    return browser, browser.post(link.path, {"username": "ada", "password1": GOOD, "password2": GOOD, **typed})


def sent(client, page, *args, **typed):
    return client.post(reverse(f"people:{page}", args=args), {"key": uuid4(), **typed})


def secrets_on(page) -> list[str]:
    return re.findall(r'name="secret" value="(\w+)"', page)


def test_a_link_lets_somebody_choose_a_password_and_opens_the_book(ada):
    browser, answer = use(link_of(ada))

    ada.refresh_from_db()
    assert answer.headers["Location"] == reverse("bench:bench")
    assert browser.get(reverse("bench:bench")).status_code == 200
    assert ada.account.check_password(GOOD)
    assert Entry.objects.latest("pk").done_by == ada


def test_the_book_keeps_nothing_that_opens(ada):
    link = link_of(ada)

    [kept] = Invitation.objects.values_list("digest", flat=True)
    assert link.secret not in kept
    assert not Entry.objects.filter(subject__contains=link.secret).exists()


def test_to_look_at_a_link_uses_nothing_up(ada):
    link = link_of(ada)

    for _ in range(3):
        page = Client().get(link.path)

    assert "Welcome, Ada Brook" in page.content.decode()
    assert page.headers["Cache-Control"].count("no-store")
    assert use(link)[1].status_code == 302


def test_a_link_is_used_once(ada):
    link = link_of(ada)
    use(link)

    browser, answer = use(link, password1="another good one", password2="another good one")

    assert answer.status_code == 410
    assert "was used on" in answer.content.decode()
    ada.refresh_from_db()
    assert ada.account.check_password(GOOD)


def test_two_who_use_one_link_at_once_do_not_both_come_in(ada):
    link = link_of(ada)
    first = Invitation.objects.select_related("person").get()
    use(link)

    with pytest.raises(invitations.Refused, match="opens nothing"):
        invitations.accept(first, username="somebody", password=GOOD)


def test_a_link_ends_after_two_weeks_and_says_when(ada, monkeypatch):
    link = link_of(ada)
    later = timezone.now() + timedelta(days=14, minutes=1)
    monkeypatch.setattr(timezone, "now", lambda: later)

    _, answer = use(link)

    assert answer.status_code == 410
    assert "This link ended on" in answer.content.decode()


@pytest.mark.parametrize("shut", ["taken back", "struck", "newer", "left", "came back"])
def test_a_link_that_was_taken_back_opens_nothing(ada, shut):
    link = link_of(ada)
    entry = Entry.objects.latest("pk")
    if shut == "taken back":
        invitations.take_back(ada, by=signed(2))
    elif shut == "struck":
        book.strike(entry, by=signed(2), reason="a slip")
    elif shut == "newer":
        link_of(ada)
    else:
        operations.leave(ada, left_on=timezone.localdate(), by=signed(2))
        if shut == "came back":
            operations.come_back(ada, by=signed(3))

    _, answer = use(link)

    assert answer.status_code in (404, 410)
    ada.refresh_from_db()
    assert ada.account is None


def with_all_that_lets_in():
    """Somebody with a password, a PIN and a code, who is signed in."""
    person = PersonFactory()
    person.account.set_password("bitten in copper")
    person.account.save()
    Pin.objects.create(person=person, hashed=make_password("2718"))
    TOTPDevice.objects.create(user=person.account, name="telephone", confirmed=True)
    browser = Client()
    browser.force_login(person.account)
    return person, browser


def test_a_keyholder_never_learns_a_password_and_a_link_ends_the_old_one_when_it_is_used(keyholder):
    person, browser = with_all_that_lets_in()

    page = sent(keyholder, "invite_one", person.pk, people=person.pk).content.decode()

    assert browser.get(reverse("bench:bench")).status_code == 200
    [secret] = secrets_on(page)
    use(Link(person, secret, timezone.now()))
    assert browser.get(reverse("bench:bench")).status_code == 302
    person.account.refresh_from_db()
    assert person.account.check_password(GOOD)
    assert not Pin.objects.exists() and not second_factor.is_on(person.account)


def test_a_password_that_somebody_else_may_know_ends_at_once(keyholder):
    person, browser = with_all_that_lets_in()

    page = sent(keyholder, "invite_one", person.pk, people=person.pk, ends_now="on").content.decode()

    person.account.refresh_from_db()
    assert browser.get(reverse("bench:bench")).status_code == 302
    assert not person.account.check_password("bitten in copper")
    assert not Pin.objects.exists() and not second_factor.is_on(person.account)
    [secret] = secrets_on(page)
    assert use(Link(person, secret, timezone.now()))[1].status_code == 302


def test_wrong_links_shut_the_door_for_a_while_and_for_right_ones_too(ada):
    link = link_of(ada)

    answers = [Client().get(reverse("people:come_in", args=[f"madeup{number}"])).status_code for number in range(5)]

    assert answers == [404, 404, 404, 404, 429]
    assert Client().get(link.path).status_code == 429
    assert use(link)[1].status_code == 429


def test_links_that_are_over_do_not_count_as_wrong(ada):
    link = link_of(ada)
    use(link)

    for _ in range(6):
        answer = Client().get(link.path)

    assert answer.status_code == 410


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"password2": "other"}, "The two passwords differ"),
        ({"password1": "adabrook", "password2": "adabrook"}, "too similar"),
        ({"username": "ada brook"}, "without spaces"),
        ({"username": "Taken"}, "signs in as Taken already"),
    ],
)
def test_what_cannot_be_chosen_is_explained_and_the_link_goes_on(ada, typed, sentence):
    PersonFactory(account__username="taken")
    link = link_of(ada)

    _, answer = use(link, **typed)

    assert sentence in answer.content.decode()
    assert use(link)[1].status_code == 302


def test_a_pin_is_offered_where_there_is_a_tablet_and_opens_nothing_else(ada):
    link = link_of(ada)
    assert "with a PIN" not in Client().get(link.path).content.decode()
    tablets.mark(name="By the tank", by=signed(1))
    assert "with a PIN" in Client().get(link.path).content.decode()

    browser, answer = use(link, way="pin", pin="1234", password1="", password2="")
    assert "Anybody would try that one first" in answer.content.decode()
    browser, answer = use(link, way="pin", pin="4711", password1="", password2="")

    ada.refresh_from_db()
    assert "type your PIN" in answer.content.decode()
    assert not ada.account.has_usable_password()
    assert Pin.objects.filter(person=ada).exists()
    assert browser.get(reverse("bench:bench")).status_code == 302


@pytest.mark.parametrize("role", ["viewer", "keyholder"])
def test_a_viewer_and_a_keyholder_come_in_by_a_password(studio, role):
    tablets.mark(name="By the tank", by=signed(1))
    link = link_of(PersonFactory(account=None, role=role))

    assert "with a PIN" not in Client().get(link.path).content.decode()


def test_a_keyholder_is_led_to_a_second_factor_where_the_studio_asks_for_one(studio, ada):
    operations.change_role(ada, role="keyholder", by=signed(1))
    workshop.change(Workshop.objects.get(), by=signed(1), asks_keyholders_for_code=True)

    browser, answer = use(link_of(ada))

    assert answer.headers["Location"] == reverse("people:second_factor")


def test_somebody_with_an_account_chooses_a_new_password_and_is_signed_out_elsewhere(member):
    link = link_of(member.person)

    _, answer = use(link)

    assert answer.status_code == 302
    assert member.get(reverse("bench:bench")).status_code == 302
    assert Session.objects.filter(account=member.person.account).exists()


def test_a_keyholder_invites_prints_slips_and_takes_back(keyholder, ada):
    page = sent(keyholder, "invite_one", ada.pk, people=[ada.pk]).content.decode()
    [secret] = secrets_on(page)
    assert f"http://testserver{reverse('people:come_in', args=[secret])}" in page

    slip = keyholder.post(reverse("people:slips"), {"secret": [secret]})
    assert slip.headers["Content-Type"] == "application/pdf"
    assert "A link to come in by is open until" in keyholder.get(ada.get_absolute_url()).content.decode()

    sent(keyholder, "take_back", ada.pk)
    assert Client().get(reverse("people:come_in", args=[secret])).status_code == 410
    assert keyholder.post(reverse("people:slips"), {"secret": [secret]}).status_code == 302


def test_a_second_tap_does_not_show_the_links_again(keyholder, ada):
    typed = {"key": uuid4(), "people": [ada.pk]}
    address = reverse("people:invite_one", args=[ada.pk])
    assert secrets_on(keyholder.post(address, typed).content.decode())

    again = keyholder.post(address, typed).content.decode()

    assert "the links were shown once" in again
    assert not secrets_on(again)


def test_whoever_may_do_nothing_yet_is_given_a_role_with_the_link(keyholder):
    nobody, landlord = PersonFactory(account=None), PersonFactory(account=None, role="viewer")

    sent(keyholder, "invite", people=[nobody.pk, landlord.pk], role="member")

    assert {each.role for each in Person.objects.filter(pk=nobody.pk)} == {"member"}
    assert {each.role for each in Person.objects.filter(pk=landlord.pk)} == {"viewer"}


# a list of members


def test_a_pasted_list_is_shown_before_it_is_written(keyholder):
    page = sent(keyholder, "add_several", text=LIST, role="member", links="shown").content.decode()

    assert not Person.objects.filter(name="Ada Brook").exists()
    assert "the heading of the list" in page
    assert "named in line 2 already" in page
    assert "Add 3 people" in page


def confirmed(client, **typed):
    typed = {"key": uuid4(), "text": LIST, "role": "member", "links": "shown"} | typed
    address = reverse("people:add_several")
    page = client.post(address, typed).content.decode()
    seen = re.search(r'name="seen" value="(\w+)"', page).group(1)
    return client.post(address, typed | {"seen": seen})


def test_a_list_is_one_entry_with_a_link_for_each(keyholder):
    before = Entry.objects.count()

    page = confirmed(keyholder).content.decode()

    assert Entry.objects.count() == before + 1
    assert len(secrets_on(page)) == 3
    assert set(Person.objects.filter(role="member").values_list("name", flat=True)) >= {"Ada Brook", "Nell Marrow"}
    assert Contact.objects.get(person__name="Ruth Vale").email == "ruth@example.org"


def test_one_strike_undoes_a_list_and_a_second_list_brings_them_back(keyholder):
    secrets = secrets_on(confirmed(keyholder).content.decode())
    entry = Entry.objects.latest("pk")

    book.strike(entry, by=signed(2), reason="the wrong year's")

    assert not Person.objects.here().filter(name__in=["Ada Brook", "Nell Marrow", "Ruth Vale"]).exists()
    assert "Ada Brook" not in keyholder.get(reverse("people:people")).content.decode()
    assert Client().get(reverse("people:come_in", args=[secrets[0]])).status_code == 410
    confirmed(keyholder)
    assert Person.objects.here().filter(name="Ada Brook", role="member").count() == 1


def test_a_list_that_changed_since_it_was_shown_is_shown_again(keyholder):
    typed = {"text": "Ada Brook", "role": "member", "links": "no", "seen": "something else"}

    page = sent(keyholder, "add_several", **typed).content.decode()

    assert "Add 1 person" in page
    assert not Person.objects.filter(name="Ada Brook").exists()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("Ada Brook\n;ruth@example.org", "line 2: no name"),
        ("Ada Brook, ada@", "is no address for mail"),
        ("x" * 81, "longer than 80 letters"),
        ("Nell Varga", "names all of them already"),
        ("", "Needed"),
    ],
)
def test_a_list_that_cannot_be_written_is_explained(keyholder, text, sentence):
    PersonFactory(name="Nell Varga")

    page = sent(keyholder, "add_several", text=text, role="member", links="no").content.decode()

    assert sentence in page


@pytest.mark.parametrize(
    ("line", "name", "email"),
    [
        ("Ada Brook", "Ada Brook", ""),
        ("Ada Brook\tada@example.org", "Ada Brook", "ada@example.org"),
        ("Ada\tBrook\tada@example.org", "Ada Brook", "ada@example.org"),
        ("Ada Brook <ada@example.org>", "Ada Brook", "ada@example.org"),
        ('"Brook, Ada",ada@example.org', "Brook, Ada", "ada@example.org"),
        ("Brook, Ada", "Brook, Ada", ""),
        ("ada@example.org; Ada Brook", "Ada Brook", "ada@example.org"),
        ("Ada  Brook\tmailto:ada@example.org", "Ada Brook", "ada@example.org"),
        ("Zoé Lefèvre-Müller", "Zoé Lefèvre-Müller", ""),
    ],
)
def test_a_line_is_read_as_people_write_it(line, name, email):
    each = members.newcomer_of(1, line)

    assert (each.name, each.email, each.fault) == (name, email, "")


def test_an_address_is_kept_though_its_name_came_before(studio):
    [first, second] = members.read("Ada Brook\nada brook;ada@example.org")

    assert first.email == "ada@example.org"
    assert "takes the address" in second.left_out


def test_a_list_of_viewers_may_come_without_links(keyholder):
    answer = confirmed(keyholder, text="Olive Grange", role="viewer", links="no")

    assert answer.headers["Location"] == reverse("people:people")
    assert Person.objects.get(name="Olive Grange").role == "viewer"
    assert not Invitation.objects.exists()


# whoever was added by mistake


def test_a_struck_adding_takes_the_person_off_the_lists(studio):
    entry, _ = members.add_all("Ada Brook", role="", with_links=False, by=signed(1))

    book.strike(entry, by=signed(2), reason="a slip")

    assert not Person.objects.here().filter(name="Ada Brook").exists()
    members.add_all("Ada Brook", role="", with_links=False, by=signed(3))
    assert Person.objects.here().filter(name="Ada Brook").exists()
