"""What stands where: the chemical list of a day, and what must not stand together."""

from datetime import date

from django import forms
from django.shortcuts import redirect, render
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
from studio.printing import papers, print_jobs
from studio.printing.job import PaperPart, page_of
from studio.safety import chemical_list
from studio.safety.places import co_storage_in_places

AT_ONCE = 100  # lines of a paper that a page waits for; each takes some fifteen milliseconds to lay out


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
    """The list on paper; a long one is asked for, and goes to the press, as the booklet does."""
    day = DayForm(request.GET).day()
    context = listed_on(day, request.workshop) | {"day": day, "is_past": day < timezone.localdate()}
    title = _("Chemical list: %(day)s") % {"day": long_day(day)}
    lines = sum(len(each.lines) for each in context["places"])
    if lines <= AT_ONCE or papers.available():
        return papers.answer(request, "safety/papers/chemicals.html", context, title=title)
    job = print_jobs.underway(title)
    if request.method == "POST":
        return redirect("safety:booklet_job", (job or _begin(request, title, context)).key)
    return render(request, "safety/chemicals_long.html", {"title": title, "lines": lines, "job": job})


def _begin(request, title: str, context: dict):
    """So many lines to a part, whichever places they stand in."""
    around = context | {"workshop": request.workshop, "printed_by": request.person}
    batches = list(chemical_list.batches(context["places"], AT_ONCE))
    parts = [
        PaperPart(title, papers.html("safety/papers/chemicals_part.html", around | {"places": batch}, title=title))
        for batch in batches
    ]
    # a place that goes on in the next part is found where it begins
    begins = {each.place: page_of(number) for number, batch in reversed(list(enumerate(batches))) for each in batch}
    contents = [(place, begins[place]) for place in sorted(begins, key=str)]
    front = papers.html("safety/papers/chemicals_front.html", around | {"contents": contents}, title=title)
    return print_jobs.begin(PaperPart(title, front), parts, page=request.workshop.paper)


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
