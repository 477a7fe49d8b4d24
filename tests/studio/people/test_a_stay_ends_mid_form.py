"""A stay that ends while somebody fills in a form keeps what was typed through signing in: every form of every page."""

import html
import re
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from inventory.models import Entry
from studio.people.roles import MEMBER
from studio.shelf.models import ImportedFile
from tests.campaigns import forms
from tests.factories import PersonFactory, PlaceFactory, stocked

pytestmark = pytest.mark.django_db
TYPED = re.compile(r"words [0-9a-f]{6}")
WAITS = "Here is what you had typed. It is not written yet."
SIGN_IN = reverse("people:sign_in")
# which no form shows again
PASSWORDS = {"people:own_password", "people:own_pin", "people:reset_password", "people:second_factor"}


def come_in(browser, person, then="/"):
    return browser.post(SIGN_IN, {"username": person.account.username, "password": forms.PASSWORD, "next": then})


def rest(browser):
    """Until the stay has ended: a browser drops its cookie with it."""
    browser.cookies.pop(settings.SESSION_COOKIE_NAME)


def is_text(value) -> bool:
    """A browser hands no file over twice."""
    return isinstance(value, str)


@pytest.fixture
def ada(studio):
    return with_password(PersonFactory(role=MEMBER))


def with_password(person):
    person.account.set_password(forms.PASSWORD)
    person.account.save()
    return person


def test_whatever_was_typed_in_any_form_is_there_again_after_signing_in():
    addresses, keyholder = forms.addresses(), forms.keyholder()
    came_in, lost, astray, tried = Client(), {}, {}, 0
    come_in(came_in, keyholder.person)
    for name, address, number in list(forms.writing_pages(keyholder, addresses)):
        if name in PASSWORDS:
            continue
        cache.clear()
        browser = forms.again(came_in)
        form = forms.forms_on(browser.get(address).content.decode(), address)[number]
        typed = forms.filled_in(form, forms.plain_words)
        words = {said for values in typed.values() for said in TYPED.findall(" ".join(filter(is_text, values)))}
        rest(browser)
        sent = browser.post(form.url, typed, headers={"Referer": f"http://testserver{address}"})
        sign_in = urlsplit(sent.headers["Location"])
        assert sign_in.path == SIGN_IN, name
        back = come_in(browser, keyholder.person, then=parse_qs(sign_in.query)["next"][0])
        answer = browser.get(back.headers["Location"])
        page = html.unescape(answer.content.decode())
        tried += bool(words)
        if answer.status_code != 200:
            astray[name] = (form.url, answer.status_code)
        if gone := {each for each in words if each not in page}:
            lost[name] = (form.url, gone)

    assert tried > 60 and lost == {} and astray == {}


def test_nobody_else_is_shown_it(ada):
    jar, other, browser = stocked("500 g"), with_password(PersonFactory()), Client()
    use = reverse("shelf:use", args=[jar.code])
    come_in(browser, ada)
    rest(browser)
    browser.post(use, {"key": uuid4(), "amount_0": "5", "amount_1": "g", "note": "for her own plate"})

    come_in(browser, other)

    assert "for her own plate" not in browser.get(use).content.decode()
    rest(browser)
    come_in(browser, ada)
    assert "for her own plate" not in browser.get(use).content.decode()


def test_of_whoever_signed_out_or_was_never_in_nothing_is_kept(ada):
    use = reverse("shelf:use", args=[stocked("500 g").code])
    signed_out, stranger = Client(), Client()
    come_in(signed_out, ada)
    signed_out.post(reverse("people:sign_out"))

    for browser in (signed_out, stranger):
        browser.post(use, {"key": uuid4(), "note": "nobody's"})

        assert settings.SESSION_COOKIE_NAME not in browser.cookies or not browser.session.get("typed")


def test_what_waited_is_written_once_it_is_sent(ada):
    jar, browser, key = stocked("500 g"), Client(), uuid4()
    use = reverse("shelf:use", args=[jar.code])
    come_in(browser, ada)
    rest(browser)
    typed = {"key": key, "amount_0": "5", "amount_1": "g", "note": "test plate"}
    browser.post(use, typed)
    assert not Entry.objects.filter(kind="used").exists()

    come_in(browser, ada)
    browser.post(use, typed)

    assert Entry.objects.get(kind="used").note == "test plate"
    assert "test plate" not in browser.get(use).content.decode()


def test_what_was_chosen_of_a_list_waits_until_it_is_read_again(studio):
    browser = Client()
    come_in(browser, keyholder := forms.keyholder().person)
    file = SimpleUploadedFile("shelf.csv", b"material,amount,batch\nCrystals,2.5 kg,B7\nThinner,a little,\n")
    browser.post(reverse("shelf:import_file"), {"file": file, "place": PlaceFactory().pk})
    preview = ImportedFile.objects.get().get_absolute_url()
    asked = forms.as_shown(forms.forms_on(browser.get(preview).content.decode(), preview)[0])
    amount = next(name for name, value in asked.items() if value == ["a little"])
    rest(browser)
    browser.post(preview, asked | {amount: "250 mL", "list-column-2": "", "look": "1"})

    come_in(browser, keyholder)

    page = browser.get(preview).content.decode()
    shown = forms.as_shown(forms.forms_on(page, preview)[0])
    assert (shown[amount], shown["list-column-2"]) == (["250 mL"], [""])
    assert ImportedFile.objects.get().choices == {} and WAITS in page
    browser.post(preview, shown | {"look": "1"})
    assert "250 mL" in str(ImportedFile.objects.get().choices)
    assert WAITS not in browser.get(preview).content.decode()


def test_whoever_pressed_a_button_after_the_stay_sees_its_page_again(ada):
    browser, closing = Client(), reverse("bench:closing_list", args=["summer"])
    begin = reverse("bench:tick", args=["summer"])

    for came_from, leads_to in ((f"http://testserver{closing}?a=b", f"{closing}?a=b"), ("https://example.org/", "/")):
        come_in(browser, ada)
        rest(browser)
        sent = browser.post(begin, {"line": "lids"}, headers={"Referer": came_from})
        assert parse_qs(urlsplit(sent.headers["Location"]).query)["next"] == [leads_to]
