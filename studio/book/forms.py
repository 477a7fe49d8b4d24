from django import forms

from studio.pages.fields import PlainForm


class StrikeForm(PlainForm):
    reason = forms.CharField(
        label="Why it is struck",
        max_length=200,
        error_messages={"required": "Say why, in a few words; the line stays readable with your reason beside it."},
        help_text="The line stays readable, with your name and this reason beside it.",
    )
