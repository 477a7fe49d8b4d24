"""What the rules ask of a drum, as questions."""

import re
from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry.waste.vocabulary import VOCABULARY, Property
from inventory.wording import translated
from studio.pages.fields import RangeField
from studio.pages.writing import SignedForm
from studio.waste.findings import ASKED, ASKED_TOGETHER, heading

YES_OR_NO = (("", gettext_lazy("not known")), ("yes", gettext_lazy("yes")), ("no", gettext_lazy("no")))
NONE = "none"
BETWEEN = re.compile(r"[\s,;]+")


class FoundStatementsField(forms.CharField):
    """Statements as a sheet lists them: "H318, H411"; "none" where it lists none."""

    def clean(self, value):
        typed = super().clean(value).strip()
        if not typed:
            return None
        # "none" is an answer; an empty field says that nobody has looked
        return [] if typed.casefold() == NONE else [code.upper() for code in BETWEEN.split(typed) if code]


class YesOrNoField(forms.TypedChoiceField):
    def __init__(self, **kwargs):
        answer = {"coerce": lambda typed: typed == "yes", "empty_value": None}
        super().__init__(widget=forms.RadioSelect, choices=YES_OR_NO, **answer, **kwargs)


class FindingsForm(SignedForm):
    """The questions that are asked for; without any, all but those that are read off a sheet or a report together."""

    AT_FIRST = 8

    def __init__(self, *args, drum, ask: Iterable[str] = (), **kwargs):
        super().__init__(*args, **kwargs)
        self.asked = [key for key in ask if key in ASKED] or [key for key in ASKED if key not in ASKED_TOGETHER]
        self.fields = {key: _question(VOCABULARY[key]) for key in self.asked} | self.fields

    @property
    def content_fields(self):
        return super().content_fields[: self.AT_FIRST]

    @property
    def folded(self):
        if fields := super().content_fields[self.AT_FIRST :]:
            title = ngettext("1 more", "%(count)s more", len(fields)) % {"count": len(fields)}
            yield {"title": title, "fields": fields, "is_refused": self.is_bound}

    def facts(self) -> dict:
        typed = {key: self.cleaned_data[key] for key in self.asked}
        # "no" and "none" are falsy answers, and kept; left out is only what was not answered
        return {"answers": {key: answer for key, answer in typed.items() if answer is not None and answer != ""}}


def _question(of: Property) -> forms.Field:
    field = _kind_of_field(of)
    unit = f", {of.unit}" if of.unit else ""
    field.label = f"{heading(translated(of.name))}{unit}"
    field.help_text = translated(of.measure)
    field.required = False
    return field


def _kind_of_field(of: Property) -> forms.Field:
    if of.kind == "yes or no":
        return YesOrNoField()
    if of.kind == "number":
        return RangeField(low=float(of.low), high=float(of.high), unit=of.unit)
    if of.kind == "any of":
        return FoundStatementsField()
    return forms.ChoiceField(choices=[("", _("not known")), *((each, translated(each)) for each in of.choices)])
