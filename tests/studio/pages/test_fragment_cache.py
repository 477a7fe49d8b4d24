from concurrent.futures import ThreadPoolExecutor, wait
from datetime import UTC, datetime, timedelta
from threading import Event

import pytest
from django.core.cache import cache
from django.test import RequestFactory
from django.utils import timezone, translation

from chemistry.bath import MODEL_VERSION
from inventory.models import Entry
from studio.pages import fragment_cache
from studio.pages.fragment_cache import Dependency, cached_fragment
from studio.people.roles import KEYHOLDER, MEMBER
from studio.workshop.models import Workshop
from tests.factories import entry


@pytest.fixture
def ask(studio, settings):
    """A request as the pages know it; what it depends on can be said anew."""
    settings.ALLOWED_HOSTS = ["*"]

    def request(path="/baths/7/", *, host="studio.example", role=MEMBER, **settings):
        asked = RequestFactory().get(path, headers={"host": host})
        asked.workshop, asked.role, asked.book_revision = Workshop.objects.get(), role, Entry.objects.revision()
        for name, value in settings.items():
            setattr(asked.workshop, name, value)
        return asked

    return request


@pytest.fixture
def shown(ask):
    """What a part reads, made anew whenever it is not kept: a number that tells how often."""
    made = []

    def read(**asked):
        extra, regardless_of = asked.pop("extra", ()), asked.pop("regardless_of", ())

        def make():
            made.append(1)
            return f"<p>{len(made)}</p>"

        return cached_fragment("bath", ask(**asked), *extra, regardless_of=regardless_of, make=make)

    return read


def test_a_part_is_made_once_until_what_it_shows_changes(shown):
    assert shown() == shown() == "<p>1</p>"
    assert shown(extra=[7]) == shown(extra=[7]) == "<p>2</p>"
    assert shown() == "<p>1</p>"


def test_a_part_that_many_ask_for_at_once_is_made_by_one_of_them(ask):
    request, made, is_being_made, may_end = ask(), [], Event(), Event()
    fragment_cache.dependencies(request)

    def make():
        made.append(1)
        is_being_made.set()
        assert may_end.wait(10)
        return f"<p>{len(made)}</p>"

    with ThreadPoolExecutor(3) as many:
        first = many.submit(cached_fragment, "bath", request, make=make)
        assert is_being_made.wait(10)
        others = [many.submit(cached_fragment, "bath", request, make=make) for _ in range(2)]
        wait(others, timeout=0.2)
        may_end.set()
        seen = [first.result(10), *(each.result(10) for each in others)]

    assert seen == ["<p>1</p>"] * 3


def test_a_part_depends_on_everything_unless_it_says_otherwise(shown, studio, monkeypatch):
    seen = [shown()]
    for asked in ({"path": "/baths/8/"}, {"path": "/baths/7/?page=2"}, {"host": "localhost"}, {"role": KEYHOLDER}):
        seen.append(shown(**asked))
    entry()
    seen.append(shown())
    monkeypatch.setattr(fragment_cache, "MODEL_VERSION", MODEL_VERSION + 1)
    seen.append(shown())
    with translation.override("de"):
        seen.append(shown())
    ten_minutes_on = timezone.now() + timedelta(minutes=10)
    monkeypatch.setattr(timezone, "now", lambda: ten_minutes_on)
    seen.append(shown())

    assert seen == [f"<p>{number}</p>" for number in range(1, 10)]


def another(setting, value):
    choices = [choice for choice, _ in setting.flatchoices if choice != value]
    return choices[0] if choices else not value if isinstance(value, bool) else f"{value[:-1]}Z"


def test_every_setting_of_the_studio_changes_every_part(shown, studio):
    first = shown()
    for setting in Workshop._meta.concrete_fields:
        if not setting.primary_key and setting.name != "mark":  # which no setting is: seals alone know it
            other = {setting.name: another(setting, setting.value_from_object(studio))}

            assert shown(**other) != first, setting.name
            assert shown() == first


def test_a_part_that_says_so_is_the_same_for_every_role_and_wherever_it_is_asked_for(shown):
    alike = (Dependency.ADDRESS, Dependency.ROLE)

    assert shown(regardless_of=alike) == shown(path="/", role=KEYHOLDER, regardless_of=alike)


def test_midnight_where_the_studio_is_makes_parts_anew(ask, monkeypatch):
    """Ten minutes begin at every hour; days do not, where clocks stand a quarter of an hour apart."""
    midnight = datetime(2026, 3, 1, 18, 15, tzinfo=UTC)
    clocks = []
    for seconds in (-1, 1):
        moment = midnight + timedelta(seconds=seconds)
        monkeypatch.setattr(timezone, "now", lambda moment=moment: moment)
        with timezone.override("Asia/Kathmandu"):
            clocks.append(fragment_cache.dependencies(ask())[Dependency.CLOCK])

    assert clocks[0][0] == clocks[1][0]
    assert clocks[0] != clocks[1]


def test_a_part_that_changes_by_itself_is_kept_no_longer(ask, monkeypatch):
    kept_for = []
    monkeypatch.setattr(cache, "set", lambda key, html, seconds: kept_for.append(seconds))

    def make():
        for minutes in (3, 2, 40):
            fragment_cache.expires_at(timezone.now() + timedelta(minutes=minutes))
        return "<p>in use until 10:02</p>"

    cached_fragment("bench", ask(), make=make)
    cached_fragment("shelf", ask(), make=lambda: "<p>nothing moves here</p>")

    assert 119 < kept_for[0] <= 120
    assert kept_for[1] == fragment_cache.KEPT_FOR_S


def test_nobody_minds_a_moment_outside_a_part():
    fragment_cache.expires_at(timezone.now())
