from dataclasses import replace
from datetime import timedelta
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import Measured
from inventory.book import Signed
from inventory.refusals import Refused
from studio.baths.forms.base import read_in
from studio.baths.forms.pouring import ml_each_field
from studio.bites import plates
from studio.bites.fields import ExposedField
from studio.bites.models import HIGHEST_STATE, Plate, roman
from studio.pages.fields import NumberField
from studio.pages.writing import SignedForm

LONGEST_AGO_S = 7 * 24 * 3600
PLATES_AT_HAND = 200


class ShopForm(SignedForm):
    """A signed form whose numbers are typed in the studio's units."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.units = self.request.workshop.units
        read_in(self.fields.values(), self.units)


class LiveForm(ShopForm):
    """
    A form about this very moment, which may reach the book a little later.

    seconds_ago: how long the page has kept it since the tap, while there was no connection.
    """

    seconds_ago = forms.IntegerField(required=False, min_value=0, max_value=LONGEST_AGO_S, widget=forms.HiddenInput)

    def signed(self) -> Signed:
        signed, ago = super().signed(), self.cleaned_data["seconds_ago"]
        if ago and signed.happened_at is None:
            # counted back by this machine's clock: that of a phone may be minutes off, but counts seconds rightly
            return replace(signed, happened_at=timezone.now() - timedelta(seconds=ago))
        return signed

    def facts(self) -> dict:
        return {name: value for name, value in super().facts().items() if name != "seconds_ago"}


class ExposureForm(ShopForm):
    """A form that asks how much copper is bare, on a plate that is known or not."""

    exposed = ExposedField(help_text=gettext_lazy("What is drawn open and not stopped out; not the size of the plate."))

    plate: Plate | None = None
    bare: Measured | None = None

    def clean(self):
        typed = super().clean()
        said = self.cleaned_data.get("exposed")
        try:
            self.bare = said.on(self.plate.area_cm2 if self.plate else None) if said else None
            plates.refuse_too_large(self.bare, self.plate)
        except Refused as refusal:
            self.refuse(refusal)
        return typed

    def refuse(self, refusal: Refused) -> None:
        """The book speaks of an area, the form of what was typed for it."""
        refusal.field = "exposed" if refusal.field == "exposed_cm2" else refusal.field
        super().refuse(refusal)


STATE = gettext_lazy("State")


def state_field(*, label=STATE, **kwargs) -> forms.TypedChoiceField:
    states = [(number, roman(number)) for number in range(1, HIGHEST_STATE + 1)]
    widget = forms.Select(attrs={"data-in-order": True})
    return forms.TypedChoiceField(choices=states, coerce=int, label=label, widget=widget, **kwargs)


def drips_field() -> NumberField:
    field = ml_each_field()
    field.label = _("Drips it carries out")
    return field


def anyway_field(label: Any) -> forms.BooleanField:
    """A question that is only asked when the book has reason to."""
    return forms.BooleanField(required=False, label=label)
