"""
Every statement of everything that can be written, made to fail once: nothing is half-written, what was answered holds.

A form of each page is filled in and sent once as it is, which says how many statements it takes; then again for each of
them, with that one failing: as a broken disk does, or as one that was given up because others held the book. Reads
after the commit are among them. What was not answered as written must have left nothing, no row and no file; what was,
all of it; and the same form sent once more must end as the first, written once.
"""

import html
import sqlite3
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from time import perf_counter
from unittest.mock import patch

import psycopg
from django.conf import settings
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection, transaction

from inventory.models import Seal
from studio.people import sessions
from tests.campaigns import forms
from tests.campaigns.table import table
from tests.test_access import everything, thrown_away

IN_A_TEST_DATABASE = True
DOOR = "/people/sign-in/"
A_SHORT_FORM, A_FEW_FORMS = 2, 16  # statements of each form; forms


class Fails:
    """Counts statements, and raises instead of the one with a number."""

    def __init__(self, number: int = 0, *, is_busy: bool = False):
        self.number, self.is_busy, self.seen = number, is_busy, 0

    def __call__(self, execute: Callable, sql, params, many, context):
        self.seen += 1
        if self.seen == self.number:
            raise self.error()
        return execute(sql, params, many, context)

    def error(self) -> OperationalError:
        error = OperationalError("made to fail")
        if self.is_busy and connection.vendor == "sqlite":
            error.__cause__ = sqlite3.OperationalError("database is locked")
            error.__cause__.sqlite_errorcode = sqlite3.SQLITE_BUSY
        elif self.is_busy:
            error.__cause__ = psycopg.errors.LockNotAvailable("lock timeout")
        return error


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    # at the full hour whatever is asked would write down that somebody is there
    with transaction.atomic(), patch.object(sessions, "keep_awake"):
        try:
            return tried(long=long, seed=seed, only=only)
        finally:
            transaction.set_rollback(True)


def tried(*, long: bool, seed: int, only: str) -> str:
    client, began = forms.keyholder(), perf_counter()
    counted: Counter[str] = Counter()
    faults: list[str] = []
    some = None if long else Random(seed)
    for name, number, sent in every_form(client, only, some):
        counted["forms"] += 1
        for outcome, fault in each_statement(client, sent, some, seed):
            counted[outcome] += 1
            if fault:
                faults.append(f"{name}, form {number}: {fault}")
                print(faults[-1], file=sys.stderr, flush=True)
        print(name, dict(counted), file=sys.stderr, flush=True)
    counted["seconds"] = round(perf_counter() - began)
    told = table(["what", "number"], counted.items())
    assert not faults, "\n".join([told, *faults])
    return told


def every_form(client, only: str = "", luck: Random | None = None) -> Iterator[tuple[str, int, forms.Sent]]:
    """
    The name of the page, the number of the form on it, and how it was taken; the book is as before.

    luck: of a short form of a campaign, which picks a few.
    """
    addresses = {name: url for name, url in forms.addresses().items() if only in name}
    found = [each for each in forms.writing_pages(client, addresses) if forms.is_by_hand(each[0])]
    for name, url, number in luck.sample(found, min(A_FEW_FORMS, len(found))) if luck else found:
        with thrown_away():
            sent = forms.fill_and_send(forms.again(client), url, number, forms.plain_words)
        assert sent.is_taken, f"{name} was not taken: {forms.said_of(sent)}"
        yield name, number, sent


def each_statement(client, sent, luck: Random | None, seed: int) -> Iterator[tuple[str, str]]:
    """
    What came of each, and what was wrong with it.

    seed: every other statement is broken off and the rest given up; of the next seed it is the other way round.
    """
    before, files = everything(), uploads()
    with thrown_away(), no_leftovers(files):
        counting = Fails()
        assert is_taken(posted(client, sent, counting), sent), sent.form.url
        written = numbers(everything())
    tries = [(number, (number + seed) % 2 == 0) for number in range(1, counting.seen + 1)]
    if luck:
        tries = luck.sample(tries, min(A_SHORT_FORM, len(tries)))
    for number, is_busy in tries:
        where = f"statement {number} of {counting.seen}, {'given up' if is_busy else 'broken'}"
        with thrown_away(), no_leftovers(files):
            answer = posted(client, sent, failing := Fails(number, is_busy=is_busy))
            # no database has heard of the failure, and nothing is open around a request that could be done with
            transaction.set_rollback(False)
            if failing.seen < number:
                yield "never came", ""
                continue
            wrong = "; ".join(wrong_with(answer, sent, before, written, files))
            if is_taken(answer, sent):
                outcome = "answered as written"
            else:
                outcome = "refused in a sentence" if answer.status_code == 200 else "stumbled"
            answer = posted(client, sent, Fails())
            # what ended the stay, such as a password that was changed, leads to the door when it is sent once more
            is_done = is_taken(answer, sent) or answer.headers.get("Location", "").startswith(DOOR)
            if not is_done or numbers(everything()) != written:
                wrong += (
                    f"; sent once more it answers {answer.status_code}, {differing(numbers(everything()), written)}"
                )
        yield outcome, wrong and f"{where}: {wrong}"


def posted(client, sent, failing: Fails | None = None):
    # no page may show what another try left in memory
    cache.clear()
    typed = {name: [fresh(value) for value in values] for name, values in sent.typed.items()}
    with connection.execute_wrapper(failing or Fails()):
        return forms.again(client).post(sent.form.url, typed)


def is_taken(answer, sent) -> bool:
    return forms.Sent(sent.form, sent.typed, answer).is_taken


def fresh(value):
    if not isinstance(value, SimpleUploadedFile):
        return value
    value.seek(0)
    return SimpleUploadedFile(value.name, value.read(), content_type=value.content_type)


def wrong_with(answer, sent, before, written, files) -> Iterator[str]:
    now = everything()
    if is_taken(answer, sent):
        if numbers(now) != written:
            yield f"answered as written, and it is not: {differing(numbers(now), written)}"
        return
    # a seal is whole by itself, whatever became of the paper that asked for it
    if now | {Seal: []} != before | {Seal: []}:
        yield f"answered {answer.status_code}, and this changed: {differing(numbers(now), numbers(before)) or 'a row'}"
    if left := uploads() - files:
        yield f"left {len(left)} files"
    if answer.status_code == 200:
        if lost := lost_words(answer, sent):
            yield f"what was typed is gone: {lost}"
    elif not answer.content:
        yield f"answered {answer.status_code} without a word"


def lost_words(answer, sent) -> list[str]:
    """What was typed and stands no more on the page that came back."""
    page = html.unescape(answer.content.decode())
    typed = [value for values in sent.typed.values() for value in values if isinstance(value, str)]
    return [value for value in typed if value.startswith("words ") and value not in page]


def numbers(rows) -> dict[str, int]:
    # a stay that ended without its row is one all the same
    return {model._meta.label: len(each) for model, each in rows.items() if model._meta.label != "people.Session"}


def differing(one: dict[str, int], other: dict[str, int]) -> str:
    return ", ".join(f"{name} {one[name]} for {other[name]}" for name in one if one[name] != other[name])


def uploads() -> set[Path]:
    return {path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()}


@contextmanager
def no_leftovers(files: set[Path]) -> Iterator[None]:
    """A try that is thrown away takes its files with it."""
    try:
        yield
    finally:
        for path in uploads() - files:
            path.unlink()
