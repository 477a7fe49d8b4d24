"""What sealing costs those who write: writes a second while nobody seals, and while the book is sealed all the time."""

import threading
import time
from contextlib import contextmanager

import pytest
from django.db import connection

from inventory import seals
from studio.shelf import operations as shelf
from tests.factories import PersonFactory, signed, stocked

pytestmark = [pytest.mark.benchmark_ratio, pytest.mark.django_db(transaction=True)]

WRITES, ROUNDS, FLOOR = 100, 4, 0.7
APART_S = 0.5  # a hundred thousand times as often as a book is sealed


def test_writers_are_not_slowed_by_seals(table):
    jar, person = stocked("5 kg"), PersonFactory()
    plain, sealed = [], []
    for _ in range(ROUNDS):
        plain.append(writes_a_second(jar, person))
        with sealing():
            sealed.append(writes_a_second(jar, person))
    ratio = sorted(sealed)[ROUNDS // 2] / sorted(plain)[ROUNDS // 2]

    table.least("writes while the book is sealed, of writes while it is not", ratio, FLOOR)
    assert list(seals.errors()) == []


def writes_a_second(jar, person) -> float:
    began = time.perf_counter()
    for _ in range(WRITES):
        shelf.use(jar, amount=1_000, by=signed(1, done_by=person))
    return WRITES / (time.perf_counter() - began)


@contextmanager
def sealing():
    ends = threading.Event()

    def seal():
        try:
            while not ends.wait(APART_S):
                seals.seal()
        finally:
            connection.close()

    thread = threading.Thread(target=seal)
    thread.start()
    try:
        yield
    finally:
        ends.set()
        thread.join()
