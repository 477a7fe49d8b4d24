from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from inventory.models import Container
from inventory.wording import translated
from studio.pages.fields import AmountField, MomentField, PlainForm
from studio.pages.writing import SignedForm
from studio.shelf import hydrates
from studio.shelf.hydrates import BathUse
from studio.shelf.models import CountLine


class NoteForm(PlainForm):
    """How much is in one container, to somebody who looks at it without knowing what the book has."""

    amount = AmountField(dimension="mass", label=gettext_lazy("So much is there"), required=False)
    looks = forms.ChoiceField(
        label=gettext_lazy("What is in it?"),
        choices=hydrates.LOOKS,
        widget=forms.RadioSelect,
        required=False,
        help_text=gettext_lazy("Weigh it as it is; the book works out what it counts for in a bath."),
    )
    is_empty = forms.BooleanField(label=gettext_lazy("It is empty, or not there"), required=False)

    def __init__(self, *args, container, cups, **kwargs):
        super().__init__(*args, **kwargs)
        dimension = container.material.dimension
        self.container, amount = container, self.fields["amount"]
        amount.dimension, amount.cups, amount.unit = dimension, cups, container.material.shown_unit
        amount.help_text = _("Such as %(EXAMPLES)s, in any unit. By eye counts too.") % {
            "EXAMPLES": translated(units.examples(dimension))
        }
        if container.material.bath_use in hydrates.COPPER_SULFATES:
            self.fields["looks"].initial = container.material.bath_use
        else:
            del self.fields["looks"]

    def clean(self):
        typed = super().clean()
        if self.errors:
            return typed
        looks, kept_as = typed.get("looks"), self.container.material.bath_use
        if looks and looks != kept_as and typed["amount"]:
            self.add_error("looks", self.refusal_of_salt(typed["amount"], looks))
        if typed["is_empty"] and typed["amount"]:
            self.add_error("is_empty", _("Something is there or nothing is: clear one of the two."))
        elif typed["amount"] is None and not typed["is_empty"]:
            self.add_error("amount", _("Say how much is there, or tick that nothing is."))
        return typed

    def refusal_of_salt(self, amount_mg: int, looks: str) -> str:
        """Counted as what it is not, it would go into a bath as another salt."""
        material = self.container.material
        kept_as = hydrates.COPPER_SULFATES[BathUse(material.bath_use)]
        counts = hydrates.worth(amount_mg, looks, in_terms_of=material.bath_use)
        said = _(
            "The book has %(kept_as)s in %(code)s; what is there counts in a bath as %(counts)s. Count %(code)s as "
            "empty, and receive what is in it as what it is."
        )
        return said % {"kept_as": kept_as, "code": self.container.code, "counts": counts}

    def amounts(self) -> dict[Container, int]:
        # ticked as empty, nothing is typed
        return {self.container: self.cleaned_data["amount"] or 0}


class CountPaperForm(PlainForm):
    """A whole sheet that was filled in with a pencil."""

    happened_at = MomentField(
        label=gettext_lazy("Counted at"),
        required=False,
        help_text=gettext_lazy(
            "When the pencil was at work: what came or went since then is not touched. Empty counts as now."
        ),
    )

    def __init__(self, *args, containers, cups, **kwargs):
        super().__init__(*args, **kwargs)
        self.containers = {f"c{container.pk}": container for container in containers}
        for name, container in self.containers.items():
            material = container.material
            self.fields[name] = AmountField(
                dimension=material.dimension,
                cups=cups,
                unit=material.shown_unit,
                required=False,
                label=f"{container}, {translated(units.printed_unit(material.shown_unit))}",
            )

    def clean(self):
        typed = super().clean()
        if not self.errors and not self.amounts():
            raise forms.ValidationError(_("Not one amount is filled in."))
        return typed

    def amounts(self) -> dict[Container, int]:
        typed = self.cleaned_data
        # nought was counted, an empty box was not
        return {jar: typed[name] for name, jar in self.containers.items() if typed.get(name) is not None}


class FoundForm(PlainForm):
    """A container on the place that the sheet does not ask for."""

    code = forms.CharField(
        label=gettext_lazy("Its code"), max_length=12, help_text=gettext_lazy("As printed on its label.")
    )

    def clean_code(self):
        found = Container.objects.with_code(self.cleaned_data["code"].strip()).first()
        if not found:
            raise forms.ValidationError(_("The book knows no container of that code; receive it first."))
        return found.code


class DecideForm(SignedForm):
    """Which differences the book follows, and why they came about."""

    lines = forms.ModelMultipleChoiceField(
        CountLine.objects.none(),
        label=gettext_lazy("The book follows the count for"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": gettext_lazy("Tick at least one; what is not ticked stays undecided.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why do they differ?"),
        max_length=60,
        widget=forms.TextInput(attrs={"list": "reasons", "autocomplete": "off"}),
        help_text=gettext_lazy("One reason for all that are ticked; decide the others in another turn."),
    )

    def __init__(self, *args, sheet, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["lines"].queryset = sheet.lines.undecided().differing().select_related("container__material")
        self.fields["lines"].label_from_instance = difference
        # each entry bears the moment its jar was counted
        self.fields["happened_at"].widget = forms.HiddenInput()

    def clean(self):
        # what a hidden field sends along nobody has said
        return super().clean() | {"happened_at": None}

    def facts(self):
        return super().facts() | {"lines": list(self.cleaned_data["lines"])}


def difference(line: CountLine) -> str:
    """A line of `with_book` in words."""
    material = line.container.material
    told = {
        "container": line.container,
        "book": material.show(line.book),
        "counted": material.show(line.amount),
        "difference": material.signed(line.amount - line.book),
    }
    if not line.counts_as:
        return _("%(container)s: book %(book)s, counted %(counted)s, difference %(difference)s") % told
    said = _("%(container)s: book %(book)s, counted %(counted)s, difference %(difference)s, in a bath %(counts_as)s")
    return said % (told | {"counts_as": line.counts_as})
