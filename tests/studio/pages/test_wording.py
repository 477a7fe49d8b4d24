"""Sentences of templates, said when their template is read."""

import pytest
from django.template import Context, Template
from django.utils import translation

LEFT = "{% blocktranslate with where=tank.name %}{{ litres }} L, 5 % of it, left in {{ where }}.{% endblocktranslate %}"


@pytest.fixture
def says(monkeypatch):
    """Has every sentence said as a test wants it."""
    return lambda said: monkeypatch.setattr(translation, "gettext", lambda _: said)


def rendered(source):
    return Template(source).render(Context({"litres": 2, "tank": {"name": "A & B"}}))


def test_places_are_filled_in_the_order_of_the_language(says):
    says("In %(where)s: %(litres)s L, 5 %% davon.")

    assert rendered(LEFT) == "In A &amp; B: 2 L, 5 % davon."


def test_a_sentence_with_a_misspelt_place_stays_english(says):
    says("In %(wher)s: %(litres)s L.")

    assert rendered(LEFT) == "2 L, 5 % of it, left in A &amp; B."


def test_a_sentence_without_places_is_a_text_like_any_other():
    assert (
        rendered("{% translate 'Top up' %}, {% blocktranslate %}5 % more{% endblocktranslate %}") == "Top up, 5 % more"
    )
