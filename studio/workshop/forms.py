from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_lazy as _

from studio.pages.writing import SignedForm
from studio.workshop import regions
from studio.workshop.models import Workshop
from studio.workshop.regions import METRIC, USUAL


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
        fields = [
            "name",
            "waste_from",
            "region",
            "time_zone",
            "numbers",
            "strength",
            "temperature",
            "depth",
            "cups",
            "currency",
            "paper",
        ]
        labels = {
            "name": gettext_lazy("Name of the studio"),
            "waste_from": gettext_lazy("Household or business"),
            "acute_waste": gettext_lazy("Acutely hazardous waste, in the United States"),
            "numbers": gettext_lazy("Numbers are written"),
            "temperature": gettext_lazy("Temperature is shown in"),
            "depth": gettext_lazy("Depth of a bite is shown in"),
            "cups": gettext_lazy("A cup without further words is"),
        }
        help_texts = {
            "waste_from": gettext_lazy(
                "Limits, papers and the day of collection follow it. Where others are taught, ask."
            ),
            "acute_waste": gettext_lazy("P list of 40 CFR 261.33(e): cyanides, compounds of arsenic, some pesticides."),
            "region": gettext_lazy("Whose words and limits the papers quote."),
            "numbers": gettext_lazy("What is typed is read the same way."),
            "strength": gettext_lazy("Readings may be typed in either."),
        }
        widgets = {
            name: forms.RadioSelect
            for name in ("waste_from", "acute_waste", "numbers", "strength", "temperature", "depth", "cups", "paper")
        }


class FirstWorkshopForm(WorkshopForm):
    """Asked of a studio that begins: what it does not choose is what is usual in its region."""

    AS_USUAL = gettext_lazy("as is usual there")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in METRIC:
            field = self.fields[name]
            field.required, self.initial[name] = False, ""
            if isinstance(field, forms.ChoiceField):
                field.choices = [("", self.AS_USUAL), *field.choices]
        self.fields["currency"].help_text = _("Three letters; empty counts as what is usual there.")

    @property
    def usual_fields(self):
        return [self[name] for name in METRIC]

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

    us_state = CapitalsField(
        label=gettext_lazy("State, in the United States"),
        required=False,
        max_length=2,
        help_text=gettext_lazy("Its two letters: some states have waste rules of their own."),
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

    def clean_asks_keyholders_for_code(self):
        asks = self.cleaned_data["asks_keyholders_for_code"]
        # or whoever turns it on could not turn it off again
        if asks and not self.instance.asks_keyholders_for_code and "by_code" not in self.request.session:
            raise ValidationError(_("Set up a code of your own first, on the People page."))
        return asks
