"""
Clocks that are wrong, turned and put right, and the hours that daylight saving repeats or leaves out.

What is written under a wrong clock is refused in a sentence, with what was typed kept, or counts as it should; a typed
moment is the moment that the page shows again.
"""

from collections import Counter
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from random import Random
from time import perf_counter
from unittest.mock import patch
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.core.cache import cache
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from inventory import book
from inventory.models import Container, Entry
from studio.shelf import operations as shelf
from studio.workshop.models import Workshop
from tests.campaigns import forms
from tests.campaigns.table import table
from tests.factories import PersonFactory, WorkshopFactory, signed, stocked
from tests.test_access import thrown_away

IN_A_TEST_DATABASE = True
NOW = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
# one that turns by half an hour, one of the south, one without, and those whose turn is not at night's end
ZONES = ("Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/Santiago", "Asia/Tokyo", "Africa/Cairo")
SHORT_STEP, LONG_STEP = timedelta(minutes=30), timedelta(minutes=5)
AROUND = timedelta(hours=3)
RIGHT_BY, ANY_CLOCK = timedelta(minutes=5), timedelta(days=36_500)  # a test's book may be of any year
TURNED = {
    "back by three minutes": -timedelta(minutes=3),
    "back by an hour": -timedelta(hours=1),
    "back by a day": -timedelta(days=1),
    "back by years": -timedelta(days=2000),
    "forward by a day": timedelta(days=1),
}


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, began = Random(seed), perf_counter()
    with transaction.atomic():
        try:
            WorkshopFactory()
            rows = [*turned(), struck_under_a_turned_clock(), *daylight(LONG_STEP if long else SHORT_STEP, luck)]
        finally:
            transaction.set_rollback(True)
    return f"{table(['what', 'tries', 'written', 'refused in a sentence'], rows)}\n{perf_counter() - began:.0f} s"


@contextmanager
def at(moment: datetime):
    cache.clear()
    with patch.object(timezone, "now", lambda: moment):
        yield


def using(client, jar: Container, typed: str = "") -> tuple[bool, str]:
    """Whether 1 g was used, and the page that came back."""
    before = Entry.objects.count()
    said = {"amount_0": "1", "amount_1": "g", "happened_at": typed, "note": "kept words", "key": uuid4()}
    answer = client.post(reverse("shelf:use", args=[jar.code]), said)
    is_written = Entry.objects.count() > before
    assert is_written == (answer.status_code == 302), answer.status_code
    page = answer.content.decode()
    assert is_written or "kept words" in page, "what was typed is gone"
    return is_written, page


def turned():
    with at(NOW):
        client, jar = forms.keyholder(), stocked("500 g", at=-1)
        assert using(client, jar)[0]
    for what, by in TURNED.items():
        with thrown_away(), at(NOW + by), patch.object(book, "CLOCKS_DIFFER", RIGHT_BY):
            client.cookies.update(forms.keyholder().cookies)
            is_written, page = using(client, jar)
            assert is_written == (by > -RIGHT_BY), what
            assert is_written or "Put the clock right" in page, page
            yield [f"the clock goes {what}", 1, int(is_written), int(not is_written)]


def struck_under_a_turned_clock():
    """What was struck counts no more on the very next page, whichever way the clock goes."""
    tries = 0
    for by in TURNED.values():
        with thrown_away():
            with at(NOW):
                client, jar = forms.keyholder(), stocked("500 g", at=-1)
                used = shelf.use(jar, amount=100_000, by=signed(0, done_by=PersonFactory()))
                assert "400" in client.get(jar.get_absolute_url()).content.decode()
            turned = patch.object(timezone, "now", lambda by=by: NOW + by)
            with turned, patch.object(book, "CLOCKS_DIFFER", ANY_CLOCK):
                client.cookies.update(forms.keyholder().cookies)
                client.get(jar.get_absolute_url())
                book.strike(used, by=signed(0), reason="a slip")
                jar.refresh_from_db()
                page = client.get(jar.get_absolute_url()).content.decode().replace("\xa0", " ")
            assert jar.on_hand == 500_000 and "500 g" in page
            tries += 1
    return ["a strike under a turned clock counts at once", tries, tries, 0]


def daylight(step: timedelta, luck: Random):
    with at(NOW):
        client, jar = forms.keyholder(), stocked("500 g", at=-2000)
    for name in ZONES:
        zone, counted = ZoneInfo(name), Counter()
        Workshop._base_manager.update(time_zone=name)
        for turn in turns_of(zone):
            typed = (turn.astimezone(zone).replace(tzinfo=None) - AROUND).replace(minute=0, second=0)
            until = typed + 2 * AROUND
            while typed < until:
                now = turn + timedelta(hours=luck.randrange(6, 48))
                with thrown_away(), at(now), patch.object(book, "CLOCKS_DIFFER", ANY_CLOCK):
                    client.cookies.update(forms.keyholder().cookies)
                    is_written, page = using(client, jar, f"{typed:%Y-%m-%dT%H:%M}")
                    is_there = exists(typed, zone)
                    assert is_written == is_there, f"{name} {typed}: {is_written}"
                    assert is_written or "there was no such time" in page
                    if is_written:
                        kept = Entry.objects.latest("pk").happened_at
                        assert kept.astimezone(zone).replace(tzinfo=None) == typed, f"{typed} is kept as {kept}"
                    counted[is_written] += 1
                typed += step
        yield [f"hours around the turns of {name}", counted.total(), counted[True], counted[False]]


def turns_of(zone: ZoneInfo) -> list[datetime]:
    """The moments of 2025 at which its clocks are turned; where they are not, one of any day."""
    hours = [datetime(2025, 1, 1, tzinfo=UTC) + timedelta(hours=number) for number in range(365 * 24)]
    offsets = [hour.astimezone(zone).utcoffset() for hour in hours]
    found = [hour for hour, one, other in zip(hours[1:], offsets, offsets[1:], strict=False) if one != other]
    return found or [datetime(2025, 6, 1, tzinfo=UTC)]


def exists(typed: datetime, zone: ZoneInfo) -> bool:
    there_and_back = typed.replace(tzinfo=zone).astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    return there_and_back == typed
