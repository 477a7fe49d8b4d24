"""What is asked about hazards."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.labels import PICTOGRAMS
from chemistry.hazards.regimes import regime_of
from inventory.wording import translated
from studio.hazards import statements
from studio.hazards.models import SupplierClasses
from studio.pages.fields import DayField, WholeNumberField, with_quantities
from studio.pages.writing import SignedForm
from studio.printing.label_sizes import SIZES
from studio.safety import labels

MOST_COPIES = 40


class StatementsField(forms.CharField):
    """One statement a line, as code and words."""

    def __init__(self, *, letters: tuple[str, ...], **kwargs):
        self.letters, self.regime = letters, "UN"
        super().__init__(max_length=6000, widget=forms.Textarea(attrs={"rows": 6, "autocapitalize": "off"}), **kwargs)

    def clean(self, value):
        try:
            return statements.read(super().clean(value), self.regime, letters=self.letters)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error


class ClassesForm(SignedForm):
    """Section 2 of the supplier's safety sheet, copied."""

    sheet_on = DayField(
        label=gettext_lazy("Date of the sheet"),
        help_text=gettext_lazy("On its first page, as “revision” or “issued”."),
    )
    signal_word = forms.ChoiceField(
        label=gettext_lazy("Signal word"),
        choices=SupplierClasses.SignalWord.choices,
        widget=forms.RadioSelect,
        required=False,
    )
    pictograms = forms.MultipleChoiceField(
        label=gettext_lazy("Signs"),
        choices=lambda: [(code, f"{translated(name)} ({code})") for code, name in PICTOGRAMS.items()],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    hazards = StatementsField(
        label=gettext_lazy("Hazard statements"),
        letters=("H", "EUH"),
        required=False,
        help_text=gettext_lazy("One a line, such as H319. The words may be left out where the code is a common one."),
    )
    precautions = StatementsField(
        label=gettext_lazy("Precautionary statements"),
        letters=("P",),
        required=False,
        help_text=gettext_lazy("One a line, such as P280 or P305+P351+P338."),
    )
    is_not_classified = forms.BooleanField(
        label=gettext_lazy("The sheet gives it no class at all"),
        required=False,
        help_text=gettext_lazy("It says so in section 2."),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("hazards", "precautions"):
            self.fields[name].regime = regime_of(self.request.workshop.region)

    def clean(self):
        typed = super().clean()
        # not kept: a copy without statements says so itself
        none = typed.pop("is_not_classified", False)
        # an empty box may mean that there is no class or that nobody copied it: the tick tells which
        if "hazards" in typed and bool(typed["hazards"]) == none:
            self.add_error(
                "hazards",
                _("There are statements here, so it is classified: take the tick away, or the statements.")
                if none
                else _("Copy them from section 2, or tick that the sheet gives no class."),
            )
        return typed

    @staticmethod
    def figures_of(said: SupplierClasses | None) -> dict:
        """What was copied last, to be put right."""
        if said is None:
            return {}
        return {
            "sheet_on": said.sheet_on,
            "signal_word": said.signal_word,
            "pictograms": said.pictograms,
            "hazards": statements.written(said.hazards),
            "precautions": statements.written(said.precautions),
            "is_not_classified": not said.hazards,
        }


class LabelForm(SignedForm):
    """Which label is printed."""

    elements = forms.ChoiceField(
        label=gettext_lazy("What goes on it"),
        choices=list(labels.ELEMENTS.items()),
        widget=forms.RadioSelect,
        help_text=gettext_lazy("What must stand on it where you work, local rules say."),
    )
    size = forms.ChoiceField(
        label=gettext_lazy("What it is stuck on"),
        choices=[(size.id, size.name) for size in SIZES.values()],
        initial="a8",
        widget=forms.RadioSelect,
    )
    quantity = forms.CharField(
        label=gettext_lazy("How much is in it"),
        max_length=40,
        required=False,
        help_text=with_quantities(
            gettext_lazy("Such as %(amount)s. Left empty, the label does not say."), amount=(500, "mL", 1)
        ),
    )
    copies = WholeNumberField(
        label=gettext_lazy("How many"), min_value=1, max_value=MOST_COPIES, initial=1, required=False
    )
    on_sheet = forms.BooleanField(label=gettext_lazy("On a sheet of sticky labels of that size"), required=False)

    def clean(self):
        typed = super().clean()
        if typed.get("size") in labels.SMALL and typed.get("elements") in (labels.FULL, labels.WORKPLACE):
            self.add_error("size", _("A label this small has room for the short form only."))
        typed["copies"] = typed.get("copies") or 1
        return typed
