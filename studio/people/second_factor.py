"""
A second thing to show at the door: a code that a telephone makes anew every half minute, or one of ten kept on paper.

Whoever wants it sets it up; a studio may ask it of its keyholders, who until then do what a member may.
"""

import time
from base64 import b32encode
from typing import Any

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.contrib.sessions.backends.base import SessionBase
from django.db import transaction
from django.utils.crypto import get_random_string
from django_otp import match_token
from django_otp.plugins.otp_totp.models import TOTPDevice

from studio.people.models import CodeOnPaper, CodesOnPaper

CODES_ON_PAPER = 10
# typed from paper: nothing that looks like something else; 40 bits
LETTERS, LENGTH = "abcdefghjkmnpqrstuvwxyz23456789", 8
PATIENCE_S = 300  # between a right password and its code
BY_CODE, WAITING = "by_code", "waits_for_code"


def is_on(account: User) -> bool:
    return bool(TOTPDevice.objects.filter(user=account, confirmed=True).exists())


def prepared(account: User) -> Any:
    """What the telephone is told; it opens nothing until a first code has shown that the telephone knows it."""
    device, _ = TOTPDevice.objects.get_or_create(user=account, confirmed=False, defaults={"name": "telephone"})
    return device


def secret(device: Any) -> str:
    """For a telephone that cannot look at the drawing: in groups of four, as it is typed."""
    whole = b32encode(device.bin_key).decode()
    return " ".join(whole[at : at + 4] for at in range(0, len(whole), 4))


@transaction.atomic
def turn_on(account: User, code: str) -> list[str]:
    """The codes to keep on paper, told this once; none where the code was not that of the telephone."""
    device = prepared(account)
    if not device.verify_token(code):
        return []
    TOTPDevice.objects.filter(pk=device.pk).update(confirmed=True)
    return put_on_paper(account, CODES_ON_PAPER)


def put_on_paper(account: User, count: int) -> list[str]:
    """Further codes that each open once beside the password; told this once, for the book keeps no code."""
    paper, _ = CodesOnPaper.objects.get_or_create(user=account, defaults={"name": "paper"})
    codes = [get_random_string(LENGTH, LETTERS) for _ in range(count)]
    CodeOnPaper.objects.bulk_create(CodeOnPaper(paper=paper, hashed=make_password(code)) for code in codes)
    return codes


def turn_off(account: User) -> None:
    TOTPDevice.objects.filter(user=account).delete()
    CodesOnPaper.objects.filter(user=account).delete()


def opens(account: User, code: str) -> bool:
    """Whether a code is the telephone's of now, or one on paper that was never used; wrong ones cost ever more time."""
    return match_token(account, "".join(code.split()).lower()) is not None


def wait_for_code(session: SessionBase, account: User, *, then: str) -> None:
    session[WAITING] = [account.pk, time.time(), then]


def who_waits(session: SessionBase) -> tuple[User | None, str]:
    """Whoever gave a right password a moment ago, and the page they asked for."""
    pk, since, then = session.get(WAITING, (None, 0, ""))
    is_waiting = time.time() - since < PATIENCE_S
    return User.objects.filter(pk=pk, is_active=True).first() if is_waiting else None, then
