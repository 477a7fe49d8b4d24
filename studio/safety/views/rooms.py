"""What stands where: the chemical list of a day, and what must not stand together."""

from datetime import date

from django import forms
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.regimes import left_out, regime_of
from chemistry.hazards.storage import MIXING, STANDING
from inventory.dates import long_day
from studio.pages import spreadsheet
from studio.pages.fields import DayField
from studio.pages.views import ReadView
from studio.printing import papers
from studio.safety import chemical_list
from studio.safety.places import co_storage_in_places


class DayForm(forms.Form):
    on = DayField(
        label=gettext_lazy("As it stood at the end of"),
        required=False,
        error_messages={"invalid": gettext_lazy("That is no day; write it as 2026-03-31.")},
    )

    def clean_on(self) -> date | None:
        day: date | None = self.cleaned_data["on"]
        if day and day > timezone.localdate():
            raise forms.ValidationError(_("That day has not come yet."))
        return day

    def day(self) -> date:
        """The day asked for; today where none was, or none that has been."""
        return (self.cleaned_data.get("on") if self.is_valid() else None) or timezone.localdate()


class ChemicalsView(ReadView):
    """What stands where today, or stood there on a past day."""

    @cached_property
    def form(self) -> DayForm:
        return DayForm(self.request.GET or None)

    def get_context_data(self):
        day = self.form.day()
        return {"form": self.form, "day": day, "is_past": day < timezone.localdate()}

    def get_part_data(self):
        return listed_on(self.form.day(), self.request.workshop)


def chemicals_paper(request):
    day = DayForm(request.GET).day()
    context = listed_on(day, request.workshop) | {"day": day, "is_past": day < timezone.localdate()}
    return papers.answer(
        request, "safety/papers/chemicals.html", context, title=_("Chemical list: %(day)s") % {"day": long_day(day)}
    )


def chemicals_csv(request):
    listed = listed_on(DayForm(request.GET).day(), request.workshop)["places"]
    return spreadsheet.answer(_("Chemical list"), chemical_list.CSV_HEAD, list(chemical_list.rows(listed)))


def stays_csv(request):
    """What ever stood where."""
    return spreadsheet.answer(_("What stood where"), chemical_list.STAYS_HEAD, chemical_list.stays())


class TogetherView(ReadView):
    """What must not stand together, place by place."""

    def get_part_data(self):
        places = co_storage_in_places(self.request.workshop)
        return {
            "places": [each for each in places if each.clashes],
            "ungrouped": [(each.place, each.ungrouped) for each in places if each.ungrouped],
            "is_bare": not places,
            "lists": [(_("apart on a shelf"), STANDING), (_("not into one vessel"), MIXING)],
        }


def listed_on(day: date, workshop) -> dict:
    places = chemical_list.listed(workshop, chemical_list.end_of(day))
    return {
        "places": [each for each in places if each.lines],
        "burning": [each for each in places if each.has_flammables],
        "left_out": left_out(regime_of(workshop.region)),
    }
