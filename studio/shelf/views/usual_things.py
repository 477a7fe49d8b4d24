"""A shelf in five minutes, without a list: what such a studio has is ticked, with its amount, and all is one entry."""

from collections.abc import Iterator

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from inventory import usual
from inventory.importing import Outcome, RowPlan
from inventory.models import Material, Place
from inventory.wording import translated
from studio.pages.fields import AmountField
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
from studio.shelf import bringing_in


class UsualThingsForm(SignedForm):
    place = forms.ModelChoiceField(
        Place.objects.listed(), label=gettext_lazy("Where does it stand?"), empty_label=gettext_lazy("choose a place")
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        workshop = self.request.workshop
        self.kinds = usual.things_by_kind()
        self.things = [thing for things in self.kinds.values() for thing in things]
        self.known = {material.name.casefold(): material for material in Material.objects.all()}
        for at, thing in enumerate(self.things):
            known = self.known.get(thing.name.casefold())
            unit = known.shown_unit if known else thing.unit_here
            amount = AmountField(dimension=thing.dimension, required=False, label=thing.name)
            amount.ask_for(known.dimension if known else thing.dimension, unit, workshop.cups)
            is_area = amount.dimension == "area"
            example = units.examples("area") if is_area else units.printed_unit(unit)
            amount.widget.attrs["placeholder"] = translated(example)
            self.fields[f"tick-{at}"] = forms.BooleanField(label=thing.name, required=False)
            self.fields[f"amount-{at}"] = amount

    @property
    def by_kind(self):
        places = {thing.name: at for at, thing in enumerate(self.things)}
        for kind, things in self.kinds.items():
            fields = [(self[f"tick-{places[thing.name]}"], self[f"amount-{places[thing.name]}"]) for thing in things]
            yield (
                kind,
                fields,
                self.is_bound and any(field.errors or is_typed(field) for pair in fields for field in pair),
            )

    def clean(self):
        typed = super().clean()
        if not self.errors and not list(self.lines(typed)):
            raise forms.ValidationError(_("Nothing is ticked; tick what the studio has."))
        return typed

    def lines(self, typed) -> Iterator[RowPlan]:
        for at, thing in enumerate(self.things):
            amount, is_ticked = typed.get(f"amount-{at}"), typed.get(f"tick-{at}")
            known = self.known.get(thing.name.casefold())
            is_new = known is None or not known.is_listed
            # what is ticked without an amount is written down, so that it can be received or ordered
            if not amount and not (is_ticked and is_new):
                continue
            unit = self.fields[f"amount-{at}"].unit  # type: ignore[attr-defined]  # a field of amounts
            yield RowPlan(
                number=at,
                outcome=Outcome.NEW_CONTAINER if amount else Outcome.NAME_ALONE,
                name=known.name if known else thing.name,
                amount=amount or 0,
                unit=(known.dimension if known else thing.dimension, unit),
                category=thing.category,
                bath_use=thing.bath_use,
                place=typed["place"].name,
            )

    def facts(self):
        return {"lines": list(self.lines(self.cleaned_data))}


def is_typed(field) -> bool:
    return bool(field.data[0] if isinstance(field.data, list) else field.data)


class UsualThingsView(EntryView):
    form_class, success_url = UsualThingsForm, "shelf:shelf"
    keyholder_only = True

    def get_context_data(self):
        return super().get_context_data() | {"has_places": Place.objects.listed().exists()}

    def write(self, *, lines, by):
        return bringing_in.write_lines(lines, places={}, subject=_("the usual things"), by=by)
