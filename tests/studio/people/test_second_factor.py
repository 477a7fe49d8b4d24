"""A code beside the password: RFC 6238 is worked out here a second time, by the standard library alone."""

import hmac
import struct
import time
from base64 import b32decode
from io import StringIO
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django_otp.plugins.otp_totp.models import TOTPDevice

from studio.people import second_factor
from studio.people.models import CodeOnPaper, CodesOnPaper
from studio.people.passwords import Guessable
from studio.workshop.models import Workshop
from studio.workshop.operations import change
from tests.factories import PersonFactory, signed
from tests.studio.people.test_sessions import GOOD, came

BENCH, SIGN_IN, OWN, CODE = (
    reverse(name) for name in ("bench:bench", "people:sign_in", "people:second_factor", "people:code")
)
KEYHOLDERS_PAGE = reverse("people:add_several")


def totp(key: bytes, at: float, *, digits: int = 6) -> str:
    """RFC 6238 with SHA-1 and steps of thirty seconds (from memory)."""
    digest = hmac.digest(key, struct.pack(">Q", int(at // 30)), "sha1")
    start = digest[-1] & 15
    number = struct.unpack(">I", digest[start : start + 4])[0] & 0x7FFFFFFF
    return str(number % 10**digits).zfill(digits)


def test_the_codes_are_those_of_the_standard():
    # RFC 6238, Appendix B, SHA-1 (from memory)
    key = b"12345678901234567890"
    told = {59: "94287082", 1111111109: "07081804", 1234567890: "89005924", 2000000000: "69279037"}

    assert {at: totp(key, at, digits=8) for at in told} == told


class Telephone:
    """Looks at the page once, and from then on shows codes."""

    def __init__(self, page: str):
        self.key = b32decode(page.partition("<code>")[2].partition("</code>")[0].replace(" ", ""))

    @property
    def code(self) -> str:
        return totp(self.key, time.time())


@pytest.fixture
def later(monkeypatch):
    """Turns the clock on by so many seconds, after which whoever was slowed down may try again."""
    passed, real = [0.0], time.time
    monkeypatch.setattr(time, "time", lambda: real() + passed[0])

    def turn(seconds=30):
        passed[0] += seconds
        for devices in (TOTPDevice, CodesOnPaper):
            devices.objects.update(throttling_failure_timestamp=None)

    return turn


def with_code(browser):
    """Sets up a code for whoever is signed in: their telephone, and the codes on their paper."""
    came(browser, browser.person)
    telephone = Telephone(browser.get(OWN).content.decode())
    answer = browser.post(OWN, {"password": GOOD, "code": telephone.code})
    return telephone, answer.context["codes"]


def knock(person, code=None, page=BENCH):
    """A fresh browser at the door; the answer to the page it wanted, once signed in."""
    browser = Client()
    browser.post(f"{SIGN_IN}?next={page}", {"username": person.account.username, "password": GOOD})
    if code is not None:
        browser.post(CODE, {"code": code})
    return browser.get(page)


def test_a_password_alone_opens_nothing_once_there_is_a_code(member, later):
    telephone, _ = with_code(member)
    later()

    assert knock(member.person).status_code == 302
    assert knock(member.person, "000000").status_code == 302
    later()
    assert knock(member.person, telephone.code).status_code == 200


def test_a_code_counts_once(member, later):
    telephone, _ = with_code(member)
    later()
    code = telephone.code

    assert knock(member.person, code).status_code == 200
    assert knock(member.person, code).status_code == 302


def test_a_code_on_paper_opens_the_book_once(member, later):
    _, [code, *others] = with_code(member)

    assert len({code, *others}) == second_factor.CODES_ON_PAPER
    assert knock(member.person, f" {code.upper()} ").status_code == 200
    later()
    assert knock(member.person, code).status_code == 302


def test_the_book_keeps_no_code_that_stands_on_paper(member, later):
    _, codes = with_code(member)

    kept = CodeOnPaper.objects.values_list("hashed", flat=True)
    assert len(set(kept)) == second_factor.CODES_ON_PAPER
    assert not [code for code in codes if any(code in each for each in kept)]


def test_a_wrong_code_makes_the_next_one_wait_and_uses_none_up(member, later):
    _, [code, *_] = with_code(member)
    knock(member.person, "wrong one")

    assert knock(member.person, code).status_code == 302
    later()
    assert knock(member.person, code).status_code == 200


def test_whoever_lost_telephone_and_paper_is_printed_a_code_at_the_machine(member, later):
    name, out = member.person.account.username, StringIO()
    with pytest.raises(CommandError, match="asked for no code"):
        call_command("paper_code", name)
    with_code(member)
    CodeOnPaper.objects.all().delete()

    call_command("paper_code", name, stdout=out)

    assert knock(member.person, out.getvalue().strip()).status_code == 200
    with pytest.raises(CommandError, match="Nobody signs in as nobody"):
        call_command("paper_code", "nobody")


def test_nothing_is_asked_for_until_the_telephone_has_shown_that_it_knows(member):
    came(member, member.person)
    member.get(OWN)
    answer = member.post(OWN, {"password": GOOD, "code": "000000"})

    assert "That is not the code of now" in answer.content.decode()
    assert knock(member.person).status_code == 200


@pytest.mark.parametrize("typed", ["", "somebody else’s"])
def test_a_page_that_was_left_open_is_not_enough_to_begin_a_code(member, typed):
    came(member, member.person)
    telephone = Telephone(member.get(OWN).content.decode())

    member.post(OWN, {"password": typed, "code": telephone.code})

    assert not second_factor.is_on(member.person.account)
    assert knock(member.person).status_code == 200


def test_the_code_of_somebody_else_opens_nothing(member, keyholder, later):
    with_code(member)
    other, _ = with_code(keyholder)
    later()

    assert knock(member.person, other.code).status_code == 302


def test_whoever_waits_too_long_gives_the_password_again(member, later):
    with_code(member)
    browser = Client()
    browser.post(SIGN_IN, {"username": member.person.account.username, "password": GOOD})
    later(second_factor.PATIENCE_S)

    assert browser.get(CODE).headers["Location"] == SIGN_IN


def test_whoever_has_a_code_ends_it_with_a_code(member, later):
    telephone, [on_paper, *_] = with_code(member)

    member.post(OWN, {"code": "000000"})
    assert second_factor.is_on(member.person.account)
    later()
    member.post(OWN, {"code": on_paper})

    assert knock(member.person).status_code == 200


def test_the_telephone_and_the_paper_are_in_no_page_afterwards(member, later):
    telephone, codes = with_code(member)
    page = member.get(OWN).content.decode()

    assert TOTPDevice.objects.get().key not in page
    assert not [code for code in codes if code in page]


def asks_for_codes():
    change(Workshop.objects.get(), asks_keyholders_for_code=True, by=signed())


def test_a_keyholder_without_the_code_that_is_asked_for_does_what_a_member_may(keyholder, member, later):
    came(keyholder, keyholder.person)
    asks_for_codes()

    assert keyholder.get(KEYHOLDERS_PAGE).status_code == 403
    assert "asks keyholders for" in keyholder.get(BENCH).content.decode()
    assert "asks keyholders for" not in member.get(BENCH).content.decode()

    with_code(keyholder)
    assert keyholder.get(KEYHOLDERS_PAGE).status_code == 200


def test_a_keyholder_who_came_before_it_was_asked_types_the_code_then(keyholder, later):
    telephone, [on_paper, *_] = with_code(keyholder)
    asks_for_codes()
    session = keyholder.session
    del session[second_factor.BY_CODE]
    session.save()
    assert keyholder.get(KEYHOLDERS_PAGE).status_code == 403

    keyholder.post(OWN, {"code": on_paper, "stay": "1"})

    assert keyholder.get(KEYHOLDERS_PAGE).status_code == 200
    assert second_factor.is_on(keyholder.person.account)


def test_nobody_asks_for_codes_who_could_not_take_it_back(keyholder, later):
    settings = reverse("workshop:change")
    typed = {
        field.name: field.value()
        for field in keyholder.get(settings).context["form"]
        if field.value() not in (None, "")
    }
    typed |= {"asks_keyholders_for_code": "on", "key": uuid4()}

    refused = keyholder.post(settings, typed)
    assert "Set up a code of your own first" in refused.content.decode()

    with_code(keyholder)
    assert keyholder.post(settings, typed).status_code == 302
    assert Workshop.objects.get().asks_keyholders_for_code


def test_passwords_that_others_would_try_first_are_refused():
    account = PersonFactory.build().account
    guessed = ["Summer2026!", "Passw0rd!", "qwertz123!", "maren2026", "Winter2025", "tallow", "12345678"]
    good = [
        "etched in blue",
        "bitten in copper",
        "verdigris on rag",
        "x9$Lm2!qRt7",
        "four words that do not belong" * 4,
    ]

    for password in guessed:
        with pytest.raises(ValidationError):
            Guessable().validate(password, account)
    for password in good:
        Guessable().validate(password, account)
