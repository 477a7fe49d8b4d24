"""A stay that ends while somebody fills in a form keeps what was typed through signing in: every form of every page."""

import html
import re
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.cache import cache
from django.test import Client
from django.urls import resolve, reverse

from inventory.models import Entry
from studio.pages.views import EntryView
from studio.people.roles import MEMBER
from tests.campaigns import forms
from tests.factories import PersonFactory, stocked

pytestmark = pytest.mark.django_db
TYPED = re.compile(r"words [0-9a-f]{6}")
SIGN_IN = reverse("people:sign_in")
# which no form shows again
PASSWORDS = {"people:own_password", "people:own_pin", "people:reset_password"}


def come_in(browser, person, then="/"):
    return browser.post(SIGN_IN, {"username": person.account.username, "password": forms.PASSWORD, "next": then})


def rest(browser):
    """Until the stay has ended: a browser drops its cookie with it."""
    browser.cookies.pop(settings.SESSION_COOKIE_NAME)


def asks_in_a_form_of_its_own(address: str) -> bool:
    view = getattr(resolve(address.partition("?")[0]).func, "view_class", None)
    return isinstance(view, type) and issubclass(view, EntryView)


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
    came_in, lost, tried = Client(), {}, 0
    come_in(came_in, keyholder.person)
    for name, address, number in list(forms.writing_pages(keyholder, addresses)):
        if name in PASSWORDS or not asks_in_a_form_of_its_own(address):
            continue
        cache.clear()
        browser = forms.again(came_in)
        form = forms.forms_on(browser.get(address).content.decode(), address)[number]
        typed = forms.filled_in(form, forms.plain_words, forms.GIVEN.get(name, {}), {})
        words = {said for values in typed.values() for said in TYPED.findall(" ".join(filter(is_text, values)))}
        rest(browser)
        sent = browser.post(form.url, typed)
        assert sent.headers["Location"].startswith(SIGN_IN), name
        back = come_in(browser, keyholder.person, then=form.url)
        page = html.unescape(browser.get(back.headers["Location"]).content.decode())
        tried += bool(words)
        if gone := {each for each in words if each not in page}:
            lost[name] = (form.url, gone)

    assert tried > 60 and lost == {}


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
