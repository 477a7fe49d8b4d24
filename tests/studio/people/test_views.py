from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Entry, Person
from studio.workshop.models import Workshop
from tests.factories import PersonFactory, adopted, today

GOOD = "etched in blue"


def url(name, *args):
    return reverse(f"people:{name}", args=args)


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def sign_in(client, username, password):
    return client.post(url("sign_in"), {"username": username, "password": password})


def with_password(**kwargs):
    person = PersonFactory(**kwargs)
    person.account.set_password(GOOD)
    person.account.save()
    return person


def test_the_right_password_opens_the_bench(stranger):
    person = with_password()

    response = sign_in(stranger, person.account.username, GOOD)

    assert response.headers["Location"] == reverse("bench:bench")


def test_a_wrong_password_is_explained(stranger):
    person = with_password()

    response = sign_in(stranger, person.account.username, "guess")

    assert "do not go together" in response.content.decode()


def test_five_wrong_passwords_close_the_door_for_a_while(stranger):
    person = with_password()

    for _ in range(5):
        response = sign_in(stranger, person.account.username, "guess")

    assert response.status_code == 429
    assert "quarter of an hour" in response.content.decode()
    assert sign_in(stranger, person.account.username, GOOD).status_code == 429


def test_an_account_that_belongs_to_nobody_does_not_open_the_book(stranger, django_user_model):
    django_user_model.objects.create_user("ghost", password=GOOD)

    response = sign_in(stranger, "ghost", GOOD)

    assert "belongs to nobody in the book" in response.content.decode()


def test_whoever_left_does_not_sign_in(stranger):
    person = with_password(left_on="2026-03-01")

    assert sign_in(stranger, person.account.username, GOOD).status_code == 200


def test_signing_out_leads_back_to_the_door(member):
    response = member.post(url("sign_out"))

    assert response.headers["Location"] == url("sign_in")
    assert member.get(url("people")).status_code == 302


def test_the_people_page_says_who_may_do_what(member):
    PersonFactory(name="Ada Brook", account=None)

    page = member.get(url("people")).content.decode()

    assert "Ada Brook" in page
    assert "Strike what anybody wrote" in page
    assert url("add_several") not in page


def test_the_people_page_asks_the_database_little(member, django_assert_max_num_queries):
    PersonFactory.create_batch(5)

    with django_assert_max_num_queries(5):
        member.get(url("people"))


def test_a_keyholder_changes_a_role(keyholder):
    person = PersonFactory()

    posted(keyholder, url("role", person.pk), role="keyholder")

    assert Person.objects.get(pk=person.pk).role == "keyholder"


def test_the_only_keyholder_is_told_why_the_role_stays(keyholder):
    response = posted(keyholder, url("role", keyholder.person.pk), role="member")

    assert "the only keyholder" in response.content.decode()


def test_whoever_left_has_no_role_to_change(keyholder):
    assert keyholder.get(url("role", PersonFactory(left_on="2026-03-01").pk)).status_code == 404


def test_whoever_leaves_is_signed_out_at_once(keyholder, member):
    posted(keyholder, url("left", member.person.pk), left_on=today())

    assert member.get(url("people")).headers["Location"].startswith(url("sign_in"))


def test_nobody_leaves_tomorrow(keyholder, member):
    tomorrow = today() + timedelta(days=1)

    response = posted(keyholder, url("left", member.person.pk), left_on=tomorrow)

    assert "has not come yet" in response.content.decode()


def test_the_day_somebody_left_reads_as_every_day_does(keyholder):
    person = PersonFactory(left_on="2026-03-01")

    assert "<dd>1 March 2026</dd>" in keyholder.get(url("person", person.pk)).content.decode()


def test_before_a_name_goes_for_good_the_page_says_so(keyholder):
    page = keyholder.get(url("take_name_out", PersonFactory(left_on="2026-03-01").pk)).content.decode()

    assert "Nothing brings the name back" in page


def test_whoever_left_can_come_back(keyholder):
    person = PersonFactory(left_on="2026-03-01")

    posted(keyholder, url("left", person.pk))

    person.refresh_from_db()
    assert person.left_on is None
    assert person.signs_in


def test_a_member_changes_the_own_password(member):
    member.person.account.set_password(GOOD)
    member.person.account.save()
    sign_in(member, member.person.account.username, GOOD)
    typed = {"old_password": GOOD, "new_password1": "bitten in copper", "new_password2": "bitten in copper"}

    response = member.post(url("own_password"), typed)

    assert response.headers["Location"] == url("people")
    assert member.get(url("people")).status_code == 200


@pytest.mark.parametrize("name", ["role", "invite_one", "left"])
def test_only_keyholders_look_after_people(member, name):
    person = PersonFactory()

    assert member.get(url(name, person.pk)).status_code == 403
    assert posted(member, url(name, person.pk), role="keyholder").status_code == 403


def test_only_keyholders_add_people(member):
    assert posted(member, url("add_several"), text="Ada Brook").status_code == 403


@pytest.mark.parametrize("name", ["role", "invite_one", "left"])
def test_looking_changes_nobody(keyholder, name):
    person = PersonFactory()

    response = keyholder.get(url(name, person.pk))

    assert response.status_code == 200
    assert not Entry.objects.exists()


@pytest.mark.parametrize("name", ["person", "role", "invite_one", "left"])
def test_strangers_learn_nothing_about_people(stranger, name):
    response = stranger.get(url(name, PersonFactory().pk))

    assert response.headers["Location"].startswith(url("sign_in"))


BEGIN = {
    "name": "Tallow Street",
    "keyholder": "Ada Brook",
    "username": "ada",
    "password1": GOOD,
    "password2": GOOD,
    "region": "eu",
    "time_zone": "Europe/Berlin",
    "strength": "g/L",
    "temperature": "°C",
    "depth": "µm",
    "cups": "metric",
    "currency": "EUR",
    "paper": "A4",
}


@pytest.mark.django_db
def test_every_page_of_an_unbegun_book_leads_to_its_beginning(client):
    assert client.get(reverse("bench:bench")).headers["Location"] == reverse("workshop:begin")


@pytest.mark.django_db
def test_first_aid_opens_before_the_book_is_begun(client):
    assert client.get(reverse("first_aid")).status_code == 200


@pytest.mark.django_db
def test_beginning_a_book_signs_its_keyholder_in(client):
    response = client.post(reverse("workshop:begin"), BEGIN)

    assert response.headers["Location"] == reverse("bench:bench")
    assert Workshop.objects.get().time_zone == "Europe/Berlin"
    assert client.get(url("add_several")).status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "is_household"), [({}, None), ({"waste_from": "household"}, True), ({"waste_from": "business"}, False)]
)
def test_a_book_begins_as_that_of_a_household_or_a_business_or_nobody_knows(client, typed, is_household):
    client.post(reverse("workshop:begin"), BEGIN | typed)

    assert Workshop.objects.get().is_household is is_household


@pytest.mark.django_db
@pytest.mark.parametrize(("typed", "is_open"), [({"name": ""}, False), ({"currency": "pounds"}, True)])
def test_what_is_usual_unfolds_only_where_it_is_refused(client, typed, is_open):
    page = client.post(reverse("workshop:begin"), BEGIN | typed).content.decode()

    assert '<details class="working" open>' in page if is_open else '<details class="working">' in page


@pytest.mark.django_db
def test_only_names_and_a_password_must_be_typed_to_begin(client):
    form = client.get(reverse("workshop:begin")).context["form"]
    answered = {name: form[name].value() for name in form.fields if form[name].value()}
    typed = {name: BEGIN[name] for name in ("name", "keyholder", "username", "password1", "password2")}

    response = client.post(reverse("workshop:begin"), answered | typed)

    assert response.headers["Location"] == reverse("bench:bench")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("region", "typed", "read_in"),
    [
        ("us", {}, ("°Bé", "°F", "mil", "us", "USD", "Letter")),
        ("gb", {}, ("g/L", "°C", "µm", "metric", "GBP", "A4")),
        ("us", {"temperature": "°C", "currency": "eur"}, ("°Bé", "°C", "mil", "us", "EUR", "Letter")),
    ],
)
def test_a_book_begins_with_what_is_usual_in_its_region_unless_it_is_chosen(client, region, typed, read_in):
    names = ("name", "keyholder", "username", "password1", "password2", "time_zone")
    asked = {name: BEGIN[name] for name in names} | {"region": region} | typed

    client.post(reverse("workshop:begin"), asked)

    begun = Workshop.objects.get()
    assert (begun.strength, begun.temperature, begun.depth, begun.cups, begun.currency, begun.paper) == read_in


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": ""}, "Needed: fill this in."),
        ({"password2": "another"}, "The two passwords differ"),
        ({"password1": "12345678", "password2": "12345678"}, "Others would guess that too soon"),
        ({"password1": "ada brook", "password2": "ada brook"}, "too similar"),
        ({"time_zone": "Mars/Base"}, "not one of the available choices"),
    ],
)
def test_a_beginning_that_is_not_understood_is_explained(client, typed, sentence):
    response = client.post(reverse("workshop:begin"), BEGIN | typed)

    assert sentence in response.content.decode()
    assert not Workshop.objects.exists()


@pytest.mark.django_db
def test_a_book_is_begun_on_its_own_machine_only(client):
    response = client.post(reverse("workshop:begin"), BEGIN, REMOTE_ADDR="192.168.1.20")

    assert response.status_code == 403
    assert not Workshop.objects.exists()


def test_a_begun_book_is_not_begun_again(stranger):
    response = stranger.post(reverse("workshop:begin"), BEGIN)

    assert response.headers["Location"] == reverse("bench:bench")
    assert not Person.objects.exists()


def test_a_viewer_reads_the_bench_and_is_offered_nothing_to_write(viewer):
    adopted()

    page = viewer.get(reverse("bench:bench")).content.decode()

    assert "Test Print Room" in page
    assert reverse("bites:choose") not in page


def test_a_viewer_is_told_who_can_write(viewer):
    response = viewer.get(reverse("shelf:new_place"))

    assert response.status_code == 403
    assert "A viewer reads the book and writes nothing." in response.content.decode()


def test_a_viewer_signs_out(viewer):
    viewer.post(url("sign_out"))

    assert viewer.get(url("people")).status_code == 302
