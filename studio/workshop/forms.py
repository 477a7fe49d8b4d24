from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_lazy as _

from studio.pages.writing import SignedForm
from studio.workshop import regions
from studio.workshop.models import NOBODY_SAID, Workshop
from studio.workshop.regions import METRIC, STATES, USUAL


class PhoneField(forms.CharField):
    def __init__(self, **kwargs):
        # the separators that RFC 3966 lets a telephone number be read with
        dialled = RegexValidator(r"^[0-9 +().-]+$", _("Digits and + ( ) . - only, so that a phone can dial it."))
        widget = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})
        super().__init__(required=False, max_length=60, validators=[dialled], widget=widget, **kwargs)


class CapitalsField(forms.CharField):
    """A few letters that others write in capitals."""

    def __init__(self, **kwargs):
        widget = forms.TextInput(attrs={"size": 4, "autocomplete": "off", "autocapitalize": "characters"})
        super().__init__(widget=widget, **kwargs)

    def to_python(self, value):
        return super().to_python(value).upper()


class CurrencyField(CapitalsField):
    """The three letters that banks write."""

    def __init__(self, **kwargs):
        super().__init__(label=_("Prices are in"), max_length=3, help_text=_("Three letters: EUR, GBP, USD."), **kwargs)


class WorkshopForm(forms.ModelForm):
    time_zone = forms.ChoiceField(
        label=gettext_lazy("Time zone"), choices=regions.time_zones, initial=regions.time_zone_of_this_machine
    )
    currency = CurrencyField(initial="EUR")

    class Meta:
        model = Workshop
        fields = ["name", "waste_from", "region", "time_zone", *METRIC]
        labels = {
            "name": gettext_lazy("Name of the studio"),
            "waste_from": gettext_lazy("Household or business"),
            "acute_waste": gettext_lazy("Acutely hazardous waste, in the United States"),
            "numbers": gettext_lazy("Numbers are written"),
            "temperature": gettext_lazy("Temperature is shown in"),
            "depth": gettext_lazy("Depth of a bite is shown in"),
            "money": gettext_lazy("The sign of the currency stands"),
            "dates": gettext_lazy("Days are written"),
            "clock": gettext_lazy("The time of day is written"),
            "volume": gettext_lazy("Volumes are shown in"),
            "mass": gettext_lazy("Weights are shown in"),
            "length": gettext_lazy("Lengths are shown in"),
            "area": gettext_lazy("Areas are shown in"),
            "thickness": gettext_lazy("Thickness of copper is shown in"),
            "cups": gettext_lazy("A cup without further words is"),
        }
        help_texts = {
            "waste_from": gettext_lazy(
                "Limits, papers and the day of collection follow it. Where others are taught, ask."
            ),
            "acute_waste": gettext_lazy("P list of 40 CFR 261.33(e): cyanides, compounds of arsenic, some pesticides."),
            "region": gettext_lazy("Whose words and limits the papers quote."),
            "numbers": gettext_lazy("What is typed is read the same way."),
        }
        widgets = {name: forms.RadioSelect for name in ("waste_from", "acute_waste")}

    @property
    def usual_fields(self):
        return [self[name] for name in METRIC]

    @property
    def usual_is_refused(self) -> bool:
        return any(field.errors for field in self.usual_fields)


class FirstWorkshopForm(WorkshopForm):
    """Asked of a studio that begins: what it does not choose is what is usual in its region."""

    AS_USUAL = gettext_lazy("as is usual there")
    WHO_ETCHES = (
        (Workshop.WasteFrom.HOUSEHOLD, gettext_lazy("I etch alone, at home")),
        (Workshop.WasteFrom.BUSINESS, gettext_lazy("we share a studio, or teach, or earn by it")),
        NOBODY_SAID,
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["waste_from"].label = _("Who etches here")
        self.fields["waste_from"].choices = self.WHO_ETCHES
        for name in METRIC:
            field = self.fields[name]
            field.required, self.initial[name] = False, ""
            if isinstance(field, forms.ChoiceField):
                field.choices = [("", self.AS_USUAL), *field.choices]
        self.fields["currency"].help_text = _("Three letters; empty counts as what is usual there.")

    def clean(self):
        typed = super().clean()
        chosen = {name: typed[name] for name in METRIC if typed.get(name)}
        return typed | USUAL.get(typed.get("region"), METRIC) | chosen


class SettingsForm(SignedForm, WorkshopForm):
    address = forms.CharField(
        label=gettext_lazy("Address"),
        required=False,
        max_length=160,
        help_text=gettext_lazy("In one line, as it stands on the label of what you hand over."),
    )
    emergency_line = PhoneField(
        label=gettext_lazy("Emergency line"),
        help_text=gettext_lazy("These three stand on the first-aid page, which opens without signing in."),
    )
    poison_line = PhoneField(label=gettext_lazy("Poison line"))
    keyholder_line = PhoneField(label=gettext_lazy("Keyholder’s telephone"))

    us_state = forms.ChoiceField(
        label=gettext_lazy("State, in the United States"),
        required=False,
        choices=[("", gettext_lazy("none chosen")), *((code, f"{name} ({code})") for code, name in STATES.items())],
        help_text=gettext_lazy("Some states have waste rules of their own."),
    )
    is_without_lines = forms.BooleanField(
        label=gettext_lazy("We have no such lines to name: ask no more"), required=False
    )
    asks_for_induction = forms.BooleanField(
        label=gettext_lazy("Ask for an induction before a bite, a solvent or the cutting of copper"),
        required=False,
        help_text=gettext_lazy(
            "Keyholders show it to others and are never stopped, so it changes nothing for an etcher alone."
        ),
    )

    asks_keyholders_for_code = forms.BooleanField(
        label=_("Ask keyholders for a code beside the password"),
        required=False,
        help_text=_("From a telephone or from paper. Until they have one they do what a member may."),
    )

    class Meta(WorkshopForm.Meta):
        fields = [
            *WorkshopForm.Meta.fields,
            "us_state",
            "acute_waste",
            "address",
            "emergency_line",
            "poison_line",
            "keyholder_line",
            "is_without_lines",
            "asks_for_induction",
            "asks_keyholders_for_code",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].choices = regions.time_zones(self.instance.region)
        if self.instance.asks_for_lines:
            self.offer_lines()

    def offer_lines(self):
        """What is usual there stands in the field, and counts once somebody has confirmed it by writing it down."""
        lines = regions.lines(self.instance.region, self.instance.time_zone)
        for name, number in (("emergency_line", lines.emergency), ("poison_line", lines.poison)):
            if number and not getattr(self.instance, name):
                self.initial[name] = number
                self.fields[name].help_text = _(
                    "Offered for where you are, not yet written down: look whether it holds. %(source)s"
                ) % {"source": lines.source}

    def clean_asks_keyholders_for_code(self):
        asks = self.cleaned_data["asks_keyholders_for_code"]
        # or whoever turns it on could not turn it off again
        if asks and not self.instance.asks_keyholders_for_code and "by_code" not in self.request.session:
            raise ValidationError(_("Set up a code of your own first, on the People page."))
        return asks
