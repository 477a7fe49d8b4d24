from datetime import timedelta

from django.core.cache import cache
from django.utils import timezone

from studio.pages import fragment_cache


def test_a_piece_is_made_once_until_what_it_shows_changes():
    made = []

    def make():
        made.append(1)
        return f"<p>{len(made)}</p>"

    assert fragment_cache.cached_fragment("bath", 7, "rev 1", make=make) == "<p>1</p>"
    assert fragment_cache.cached_fragment("bath", 7, "rev 1", make=make) == "<p>1</p>"
    assert fragment_cache.cached_fragment("bath", 7, "rev 2", make=make) == "<p>2</p>"


def test_a_piece_that_changes_by_itself_is_kept_no_longer(monkeypatch):
    kept_for = []
    monkeypatch.setattr(cache, "set", lambda key, html, seconds: kept_for.append(seconds))

    def make():
        for minutes in (3, 2, 40):
            fragment_cache.expires_at(timezone.now() + timedelta(minutes=minutes))
        return "<p>in use until 10:02</p>"

    fragment_cache.cached_fragment("bench", make=make)
    fragment_cache.cached_fragment("shelf", make=lambda: "<p>nothing moves here</p>")

    assert 119 < kept_for[0] <= 120
    assert kept_for[1] == fragment_cache.KEPT_FOR_S


def test_nobody_minds_a_moment_outside_a_piece():
    fragment_cache.expires_at(timezone.now())
