"""What is asked about drums."""

from django import forms

from chemistry import streams
from inventory.models import Place
from studio.baths.fields import VolumeField
from studio.baths.forms.base import read_in
from studio.waste.fields import AmountField, MassField
from studio.waste.models import Drum
from studio.waste.operations import Allowance, Put
from studio.writing import SignedForm


class WasteForm(SignedForm):
    """A signed form whose numbers are typed in the studio's units; a keyholder may allow what is asked about."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        read_in(self.fields.values(), self.request.workshop.units)

    def allowance(self) -> Allowance:
        return Allowance(reason=self.cleaned_data.get("reason", ""), is_keyholder=self.request.is_keyholder)


def kinds() -> list[tuple[str, str]]:
    return [(kind.id, kind.title) for kind in streams.STREAMS.values()]


def reason_field() -> forms.CharField:
    return forms.CharField(
        required=False, max_length=200, label="Why it goes in all the same", help_text="A keyholder says so."
    )


class DrumForm(WasteForm):
    name = forms.CharField(max_length=30, label="What is written on it", help_text="Such as W5.")
    kind = forms.ChoiceField(
        label="What goes in: one kind, and no other",
        choices=kinds,
    )
    vessel = forms.ChoiceField(
        label="The vessel is made of", choices=[(vessel.id, vessel.name) for vessel in streams.VESSELS.values()]
    )
    capacity = VolumeField(label="It holds, to the brim")
    is_vented = forms.TypedChoiceField(
        label="Its lid",
        widget=forms.RadioSelect,
        choices=[("closed", "Closes tightly"), ("vented", "Vented, or loosely capped")],
        initial="closed",
        coerce=lambda value: value == "vented",
    )
    place = forms.ModelChoiceField(Place.objects.exclude(kind=Place.Kind.AWAY), label="It stands", empty_label=None)
    tare = MassField(required=False, label="Empty it weighs, with its lid", initial=("", "kg"))
    reason = reason_field()

    def facts(self) -> dict:
        typed = self.cleaned_data
        drum = Drum(
            capacity_l=typed["capacity"],
            tare_g=typed["tare"],
            **{name: typed[name] for name in ("name", "kind", "vessel", "is_vented", "place")},
        )
        return {"drum": drum, "allowance": self.allowance()}


class DepositForm(WasteForm):
    """Anything at all goes in; what comes with its other side has a page of its own."""

    amount = AmountField(label="How much")
    kind = forms.ChoiceField(label="What it is", choices=kinds)
    words = forms.CharField(
        required=False, max_length=100, label="In your own words", help_text="Such as: rags of Tuesday's class."
    )
    reason = reason_field()

    def __init__(self, *args, drum: Drum, **kwargs):
        super().__init__(*args, **kwargs)
        self.drum = drum
        self.fields["kind"].initial = drum.kind

    def facts(self) -> dict:
        typed = self.cleaned_data
        what = {name: typed[name] for name in ("kind", "words")} | typed["amount"]
        return {"put": Put(drum=self.drum, allowance=self.allowance(), **what)}
