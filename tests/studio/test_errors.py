from django import forms
from django.template.loader import render_to_string


class JarForm(forms.Form):
    amount = forms.CharField(error_messages={"required": "Say how much."})
    place = forms.CharField()

    def clean(self):
        raise forms.ValidationError("The jar is not on the shelf.")


def shown(**typed) -> str:
    return render_to_string("components/form.html", {"form": JarForm(typed), "submit": "Write it down"})


def test_a_sentence_about_a_field_stands_once_and_beside_it():
    page = shown(place="Shelf 1")

    box, _, fields = page.partition("</ul>")
    assert page.count("Say how much.") == 1
    assert "Say how much." in fields
    assert '<a href="#id_amount">Amount</a>' in box
    assert "id_place" not in box


def test_a_sentence_about_no_field_stands_on_top():
    box, _, fields = shown(amount="1 g", place="Shelf 1").partition("</ul>")

    assert "The jar is not on the shelf." in box
    assert "The jar is not on the shelf." not in fields
