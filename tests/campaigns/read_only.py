"""
Every form of every page sent to a book that can only be read: refused in a sentence, with what was typed kept, and
every page can still be read.
"""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from random import Random
from time import perf_counter

from django.core.cache import cache
from django.db import connection, transaction

from tests.campaigns import forms
from tests.campaigns.statements import every_form, lost_words, posted
from tests.campaigns.table import table
from tests.test_access import everything, thrown_away

IN_A_TEST_DATABASE = True
# a page that writes its own rows without an entry says by the page of all mistakes that it could not
STUMBLING = ("shelf:count", "shelf:import", "bench:closing", "people:", "safety:")


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    began, counted = perf_counter(), Counter()
    with transaction.atomic():
        try:
            client = forms.keyholder()
            for name, number, sent in every_form(client, only, None if long else Random(seed)):
                with thrown_away():
                    before = everything()
                    with reading_only():
                        # what stumbles leaves a transaction that is done with, which a request has for itself
                        with transaction.atomic():
                            answer = posted(client, sent)
                        cache.clear()
                        page = forms.again(client).get(sent.form.url.partition("?")[0])
                    said = answer.content.decode(errors="replace")
                    assert everything() == before, f"{name}, form {number}"
                    # where a form has a page of its own; others are sent to an address that only takes
                    assert page.status_code in (200, 302, 405), f"{name} cannot be read: {page.status_code}"
                if answer.status_code == 200:
                    assert "can only be read just now" in said, f"{name}, form {number}: {said[-600:]}"
                    assert not lost_words(answer, sent), f"{name}, form {number}: {lost_words(answer, sent)}"
                    counted["refused beside what was typed"] += 1
                else:
                    assert answer.status_code in (500, 503), f"{name}, form {number}: {answer.status_code}"
                    assert name.startswith(STUMBLING), f"{name}, form {number} stumbled"
                    counted["said that the book stumbled"] += 1
        finally:
            transaction.set_rollback(True)
    return table(["forms", "number"], counted.items()) + f"\n{perf_counter() - began:.0f} s"


@contextmanager
def reading_only() -> Iterator[None]:
    with connection.cursor() as cursor:
        on_postgresql = connection.vendor == "postgresql"
        cursor.execute("SET TRANSACTION READ ONLY" if on_postgresql else "PRAGMA query_only = ON")
        try:
            yield
        finally:
            if not on_postgresql:  # there it ends with the transaction
                cursor.execute("PRAGMA query_only = OFF")
