"""What is asked about drums themselves."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import digits
from chemistry.waste import streams
from chemistry.waste.vocabulary import VOCABULARY
from inventory.models import Place
from inventory.wording import translated_lazy
from studio.baths.fields import MassField, VolumeField
from studio.baths.models import Bath
from studio.cathodes.fields import scale_field
from studio.pages.documents import Document, DocumentField
from studio.pages.fields import NumberField, RangeField, with_quantities
from studio.waste import whereabouts
from studio.waste.fields import PiecesField, WasteAmountField
from studio.waste.forms.base import AboutDrum, DrumField, WasteForm, kinds
from studio.waste.models import Deposit, Drum, Inspection, TestResult
from studio.waste.operations import DepositRequest
from studio.waste.sources import SOURCES, plates_cleaned

Source = Deposit.Source
USUAL_SCALE_G = 50.0
COUNTED = {
    Source.CLEANER: gettext_lazy("Plates it brightened"),
    Source.TOWELS: gettext_lazy("Towels and gloves"),
    Source.RAGS: gettext_lazy("Rags"),
}

# what can be at all, by what was tested: the bounds of the vocabulary of rules
POSSIBLE = {
    quantity: (float(VOCABULARY[quantity].low), float(VOCABULARY[quantity].high))
    for quantity in TestResult.Quantity.values
}


FITTING = "fitting"


class DrumForm(WasteForm):
    name = forms.CharField(
        max_length=30, label=gettext_lazy("What is written on it"), help_text=gettext_lazy("Such as W5.")
    )
    kind = forms.ChoiceField(
        label=gettext_lazy("What goes in: one kind, and no other"), choices=lambda: [("", _("which?")), *kinds()]
    )
    vessel = forms.ChoiceField(
        label=gettext_lazy("The vessel is made of"),
        choices=[(vessel.id, translated_lazy(vessel.name)) for vessel in streams.VESSELS.values()],
    )
    capacity_l = VolumeField(label=gettext_lazy("It holds, to the brim"))
    is_vented = forms.ChoiceField(
        label=gettext_lazy("Its lid"),
        widget=forms.RadioSelect,
        choices=[
            (FITTING, gettext_lazy("As it has to be: vented where it may give off gas, else tight")),
            ("closed", gettext_lazy("Closes tightly")),
            ("vented", gettext_lazy("Vented, or loosely capped")),
        ],
        initial=FITTING,
    )
    place = forms.ModelChoiceField(
        Place.objects.listed().exclude(kind=Place.Kind.AWAY),
        label=gettext_lazy("It stands"),
        empty_label=gettext_lazy("choose a place"),
    )
    tare_g = MassField(required=False, label=gettext_lazy("Empty it weighs, with its lid"), initial=(None, "kg"))

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
            raise ValidationError(_("A vessel holds more than nothing."))
        return self.cleaned_data["capacity_l"]

    def facts(self) -> dict:
        return {"drum": Drum(**{name: self.cleaned_data[name] for name in self.FACTS}), "allowance": self.allowance()}


class MoveForm(AboutDrum):
    place = forms.ModelChoiceField(
        Place.objects.exclude(kind=Place.Kind.AWAY), label=gettext_lazy("It stands now"), empty_label=None
    )


class EmptyWeightForm(AboutDrum):
    tare_g = MassField(
        label=gettext_lazy("Empty it weighs, with its lid"),
        initial=(None, "kg"),
        help_text=gettext_lazy("While it is full, weigh an empty one of the same make."),
    )


class DepositForm(WasteForm):
    """What comes with a bath, a cathode or a jar is asked on the pages of these."""

    amount = WasteAmountField(required=False, label=gettext_lazy("How much"))
    pieces = PiecesField(label=gettext_lazy("Pieces"), required=False)
    bath = forms.ModelChoiceField(
        Bath.objects.all(), required=False, label=_("Its liquid came out of"), empty_label=_("nobody knows which bath")
    )
    words = forms.CharField(
        required=False,
        max_length=100,
        label=gettext_lazy("In your own words"),
        help_text=gettext_lazy("Such as: Tuesday’s class."),
    )
    kind = forms.ChoiceField(label=gettext_lazy("What it is"), choices=kinds)

    ASIDE = ("kind", "reason")
    CHOOSES = "kind"
    ASIDE_TITLE = gettext_lazy("It is something else than the drum is for")

    def __init__(self, *args, drum, **kwargs):
        super().__init__(*args, **kwargs)
        self.drum = drum
        self.fields["kind"].initial = drum.kind
        self.fields["amount"].initial = (None, "L" if drum.is_liquid else "g")
        counted = COUNTED.get(SOURCES.get(drum.kind, Source.OTHER))
        # what is counted need not be weighed: nobody puts a towel on a scale
        self.fields["amount"].required = not counted
        if counted:
            self.fields["pieces"].label = counted
            self.fields["pieces"].initial = 1 if drum.stream.properties.get("is_wipe") else plates_cleaned()
        else:
            del self.fields["pieces"]

        if not drum.stream.beside:
            del self.fields["bath"]
        elif len(baths := Bath.objects.all()[:2]) == 1:
            self.fields["bath"].initial = baths[0].pk

    def facts(self) -> dict:
        typed = self.cleaned_data
        source = SOURCES.get(typed["kind"], Source.OTHER)
        what = {"kind": typed["kind"], "called": typed["words"]} | typed["amount"]
        what |= {name: typed.get(name) for name in ("pieces", "bath")}
        return {"put": DepositRequest(drum=self.drum, source=source, allowance=self.allowance(), **what)}


class PourForm(WasteForm):
    """Some of a drum, or all of it, into another one."""

    amount = WasteAmountField(label=gettext_lazy("How much"))
    into = DrumField(label=gettext_lazy("Into"))

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
    found = forms.ChoiceField(
        label=gettext_lazy("What you found"), widget=forms.RadioSelect, choices=Inspection.Found.choices
    )
    full_percent = NumberField(
        required=False,
        low=0,
        high=100,
        unit="%",
        label=gettext_lazy("How full, %"),
        help_text=gettext_lazy("Of the whole vessel, by eye."),
    )
    is_put_out = forms.BooleanField(required=False, label=gettext_lazy("The rags are out of the building"))

    def __init__(self, *args, has_rags, **kwargs):
        super().__init__(*args, **kwargs)
        if not has_rags:
            del self.fields["is_put_out"]


class DrumWeighForm(AboutDrum):
    gross_g = MassField(
        label=gettext_lazy("Weighs"),
        initial=(None, "kg"),
        help_text=gettext_lazy("With its lid, its label and all that is in it."),
    )
    half_width_g = scale_field(
        high=5000,
        initial=USUAL_SCALE_G,
        help_text=with_quantities(
            gettext_lazy("A bathroom scale: %(least)s."),
            least=(200, "g", 1),
        ),
    )


class TestForm(AboutDrum):
    """What a strip, a meter or a laboratory gave."""

    __test__ = False  # not one of pytest's

    quantity = forms.ChoiceField(label=gettext_lazy("What was tested"), choices=TestResult.Quantity.choices)
    figure = RangeField(
        low=0,
        high=max(high for _, high in POSSIBLE.values()),
        label=gettext_lazy("What it gave"),
        help_text=gettext_lazy("One figure, or both ends of a strip’s step: 100 to 300."),
    )
    how = forms.ChoiceField(label=gettext_lazy("By"), widget=forms.RadioSelect, choices=TestResult.How.choices)
    report = DocumentField(label=gettext_lazy("The report"))

    def clean(self):
        typed = super().clean()
        low, high = typed.get("figure") or (0, 0)
        # a quantity that was itself refused bounds nothing: one refusal is enough
        least, most = POSSIBLE.get(typed.get("quantity"), (low, high))
        if not least <= low <= high <= most:
            self.add_error(
                "figure",
                _("It lies between %(least)s and %(most)s; look again at what was tested.")
                % {"least": digits(least), "most": digits(most)},
            )
        if typed.get("how") == TestResult.How.LAB and not typed.get("report", Document()).file:
            self.add_error("report", _("A laboratory gives a report: file it with its figure."))
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        low, high = typed["figure"]
        named = {name: typed[name] for name in ("quantity", "how")}
        return {"result": TestResult(low=low, high=high, **named, **typed["report"]._asdict())}
