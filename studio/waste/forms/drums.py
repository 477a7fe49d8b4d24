"""What is asked about drums themselves."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from chemistry.measured import digits
from chemistry.waste import streams
from chemistry.waste.vocabulary import VOCABULARY
from inventory.models import Place
from studio.baths.fields import MassField, VolumeField
from studio.cathodes.fields import scale_field
from studio.pages.documents import Document, DocumentField
from studio.pages.fields import NumberField, RangeField
from studio.waste import content, whereabouts
from studio.waste.fields import PiecesField, WasteAmountField
from studio.waste.forms.base import AboutDrum, DrumField, WasteForm, kinds
from studio.waste.models import Deposit, Drum, Inspection, TestResult
from studio.waste.operations import DepositRequest
from studio.waste.sources import SOURCES, plates_cleaned

Source = Deposit.Source
USUAL_SCALE_G = 50.0
COUNTED = {
    Source.CLEANER: "Plates it brightened",
    Source.TOWELS: "Towels and gloves",
    Source.RAGS: "Rags",
}

# what can be at all, by what was tested: the bounds of the vocabulary of rules
POSSIBLE = {
    quantity: (float(VOCABULARY[quantity].low), float(VOCABULARY[quantity].high))
    for quantity in TestResult.Quantity.values
}


FITTING = "fitting"


class DrumForm(WasteForm):
    name = forms.CharField(max_length=30, label="What is written on it", help_text="Such as W5.")
    kind = forms.ChoiceField(label="What goes in: one kind, and no other", choices=kinds)
    vessel = forms.ChoiceField(
        label="The vessel is made of", choices=[(vessel.id, vessel.name) for vessel in streams.VESSELS.values()]
    )
    capacity_l = VolumeField(label="It holds, to the brim")
    is_vented = forms.ChoiceField(
        label="Its lid",
        widget=forms.RadioSelect,
        choices=[
            (FITTING, _("As it has to be: vented where it may give off gas, else tight")),
            ("closed", _("Closes tightly")),
            ("vented", _("Vented, or loosely capped")),
        ],
        initial=FITTING,
    )
    place = forms.ModelChoiceField(
        Place.objects.listed().exclude(kind=Place.Kind.AWAY), label="It stands", empty_label="choose a place"
    )
    tare_g = MassField(required=False, label="Empty it weighs, with its lid", initial=("", "kg"))

    FACTS = ("name", "kind", "vessel", "capacity_l", "is_vented", "place", "tare_g")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # the first of those that its kind is kept in
        if kind := streams.STREAMS.get(self.initial.get("kind", "")):
            self.fields["vessel"].initial = kind.vessels[0]

    def clean(self):
        typed = super().clean()
        lid, kind = typed.get("is_vented"), typed.get("kind")
        typed["is_vented"] = bool(kind) and streams.may_give_off_gas(kind) if lid == FITTING else lid == "vented"
        return typed

    def clean_capacity_l(self):
        if not self.cleaned_data["capacity_l"]:
            raise ValidationError("A vessel holds more than nothing.")
        return self.cleaned_data["capacity_l"]

    def facts(self) -> dict:
        return {"drum": Drum(**{name: self.cleaned_data[name] for name in self.FACTS}), "allowance": self.allowance()}


class MoveForm(AboutDrum):
    place = forms.ModelChoiceField(
        Place.objects.exclude(kind=Place.Kind.AWAY), label=_("It stands now"), empty_label=None
    )


class EmptyWeightForm(AboutDrum):
    tare_g = MassField(
        label=_("Empty it weighs, with its lid"),
        initial=("", "kg"),
        help_text=_("While it is full, weigh an empty one of the same make."),
    )


class DepositForm(WasteForm):
    """What comes with a bath, a cathode or a jar is asked on the pages of these."""

    amount = WasteAmountField(required=False, label="How much")
    pieces = PiecesField(required=False)
    words = forms.CharField(
        required=False, max_length=100, label="In your own words", help_text="Such as: Tuesday’s class."
    )
    kind = forms.ChoiceField(label="What it is", choices=kinds)

    ASIDE = ("kind", "reason")
    CHOOSES = "kind"
    ASIDE_TITLE = "It is something else than the drum is for"

    def __init__(self, *args, drum, **kwargs):
        super().__init__(*args, **kwargs)
        self.drum = drum
        self.fields["kind"].initial = drum.kind
        self.fields["amount"].initial = ("", "L" if drum.is_liquid else "g")
        counted = COUNTED.get(SOURCES.get(drum.kind, Source.OTHER))
        # what is counted need not be weighed: nobody puts a towel on a scale
        self.fields["amount"].required = not counted
        if counted:
            self.fields["pieces"].label = counted
            self.fields["pieces"].initial = 1 if drum.stream.properties.get("is_wipe") else plates_cleaned()
        else:
            del self.fields["pieces"]

    def facts(self) -> dict:
        typed = self.cleaned_data
        source = SOURCES.get(typed["kind"], Source.OTHER)
        what = {"kind": typed["kind"], "pieces": typed.get("pieces"), "called": typed["words"]} | typed["amount"]
        return {"put": DepositRequest(drum=self.drum, source=source, allowance=self.allowance(), **what)}


class PourForm(WasteForm):
    """Some of a drum, or all of it, into another one."""

    amount = WasteAmountField(label="How much")
    into = DrumField(label="Into")

    def __init__(self, *args, drum, **kwargs):
        super().__init__(*args, **kwargs)
        self.drum = drum
        into = self.fields["into"]
        into.required, into.empty_label = True, None
        into.offer(list(whereabouts.drums_on_site().exclude(pk=drum.pk)), kind=drum.kind)

    def facts(self) -> dict:
        typed = self.cleaned_data
        put = DepositRequest(drum=typed["into"], kind=self.drum.kind, allowance=self.allowance(), **typed["amount"])
        return {"into": put}


class InspectionForm(AboutDrum):
    found = forms.ChoiceField(label="What you found", widget=forms.RadioSelect, choices=Inspection.Found.choices)
    full_percent = NumberField(
        required=False, low=0, high=100, unit="%", label="How full, %", help_text="Of the whole vessel, by eye."
    )
    is_put_out = forms.BooleanField(required=False, label="The rags are out of the building")

    def __init__(self, *args, drum, **kwargs):
        super().__init__(*args, drum=drum, **kwargs)
        # by what is in it, as the bench asks: one oiled rag in another drum waits to be put out as well
        if not (drum.stream.self_heats or content.content_of_drum(drum).rags_since):
            del self.fields["is_put_out"]


class DrumWeighForm(AboutDrum):
    gross_g = MassField(label="Weighs", initial=("", "kg"), help_text="With its lid, its label and all that is in it.")
    half_width_g = scale_field(high=5000, initial=USUAL_SCALE_G, help_text="A bathroom scale: 200 g.")


class TestForm(AboutDrum):
    """What a strip, a meter or a laboratory gave."""

    __test__ = False  # not one of pytest's

    quantity = forms.ChoiceField(label="What was tested", choices=TestResult.Quantity.choices)
    figure = RangeField(
        low=0,
        high=max(high for _, high in POSSIBLE.values()),
        label="What it gave",
        help_text="One figure, or both ends of a strip’s step: 100 to 300.",
    )
    how = forms.ChoiceField(label="By", widget=forms.RadioSelect, choices=TestResult.How.choices)
    report = DocumentField(label="The report")

    def clean(self):
        typed = super().clean()
        low, high = typed.get("figure") or (0, 0)
        # a quantity that was itself refused bounds nothing: one refusal is enough
        least, most = POSSIBLE.get(typed.get("quantity"), (low, high))
        if not least <= low <= high <= most:
            self.add_error(
                "figure",
                f"It lies between {digits(least)} and {digits(most)}; look again at what was tested.",
            )
        if typed.get("how") == TestResult.How.LAB and not typed.get("report", Document()).file:
            self.add_error("report", "A laboratory gives a report: file it with its figure.")
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        low, high = typed["figure"]
        named = {name: typed[name] for name in ("quantity", "how")}
        return {"result": TestResult(low=low, high=high, **named, **typed["report"]._asdict())}
