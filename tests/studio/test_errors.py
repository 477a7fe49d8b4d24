"""What a page says that was turned back: above its heading, where reading begins, and beside each field."""

from django import forms
from django.template import Context, Template
from django.test import RequestFactory

from studio.pages.fields import FigureForm

PAGE = Template(
    '{% extends "base.html" %}{% block content %}<h1>A jar</h1>{% include "components/form.html" %}{% endblock %}'
)


class JarForm(FigureForm):
    amount = forms.CharField(error_messages={"required": "Say how much."})
    place = forms.CharField()

    def clean(self):
        raise forms.ValidationError("The jar is not on the shelf.")


def shown(**typed) -> tuple[str, str]:
    """What stands above the heading, and below it."""
    request = RequestFactory().post("/", typed)
    page = PAGE.render(Context({"form": JarForm(request.POST), "request": request}))
    above, _, below = page.partition("<h1>")
    return above, below


def test_a_sentence_about_a_field_stands_once_and_beside_it():
    above, below = shown(place="Shelf 1")

    assert "Say how much." not in above
    assert below.count("Say how much.") == 1
    assert '<a href="#id_amount">Amount</a>' in above
    assert "id_place" not in above


def test_a_sentence_about_no_field_stands_on_top_where_reading_begins():
    above, below = shown(amount="1 g", place="Shelf 1")

    assert above.count("The jar is not on the shelf.") == 1
    assert 'role="alert" tabindex="-1" data-focus' in above
    assert "The jar is not on the shelf." not in below
