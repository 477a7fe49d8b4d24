"""What stands where: the chemical list of a day, and what must not stand together."""

from datetime import date

from django import forms
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.formats import date_format

from chemistry.hazards.regimes import left_out, regime_of
from chemistry.hazards.storage import GROUPS, REASONS
from studio.book.revision import book_revision
from studio.pages import fragment_cache, spreadsheet
from studio.printing import papers
from studio.safety import chemical_list
from studio.safety.places import co_storage_in_places


class DayForm(forms.Form):
    on = forms.DateField(
        label="As it stood at the end of",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "That is no day; write it as 2026-03-31."},
    )

    def clean_on(self) -> date | None:
        day: date | None = self.cleaned_data["on"]
        if day and day > timezone.localdate():
            raise forms.ValidationError("That day has not come yet.")
        return day


def chemicals(request):
    """What stands where today, or stood there on a past day."""
    form = DayForm(request.GET or None)
    day = _day(form)
    workshop = request.workshop
    key = (day, book_revision(), fragment_cache.ten_minutes(), workshop.region, workshop.units, workshop.time_zone)
    whole = fragment_cache.cached_fragment("chemicals", *key, make=lambda: _chemicals(workshop, day))
    shown = {"form": form, "day": day, "whole": whole, "is_past": _is_past(day)}
    return render(request, "safety/chemicals.html", shown)


def _chemicals(workshop, day: date) -> str:
    return render_to_string("safety/_chemicals.html", _listed(workshop, day))


def chemicals_paper(request):
    day = _day(DayForm(request.GET))
    context = _listed(request.workshop, day) | {"day": day, "is_past": _is_past(day)}
    return papers.answer(request, "safety/papers/chemicals.html", context, title=f"Chemical list: {_said(day)}")


def chemicals_csv(request):
    listed = _listed(request.workshop, _day(DayForm(request.GET)))["places"]
    return spreadsheet.answer("Chemical list", chemical_list.CSV_HEAD, list(chemical_list.rows(listed)))


def stays_csv(request):
    """What ever stood where."""
    return spreadsheet.answer("What stood where", chemical_list.STAYS_HEAD, chemical_list.stays())


def together(request):
    """What must not stand together, place by place."""
    workshop = request.workshop
    whole = fragment_cache.cached_fragment(
        "together", book_revision(), workshop.region, make=lambda: _together(workshop)
    )
    return render(request, "safety/together.html", {"whole": whole})


def _together(workshop) -> str:
    places = co_storage_in_places(workshop)
    shown = {
        "places": [each for each in places if each.clashes],
        "ungrouped": [(each.place, each.ungrouped) for each in places if each.ungrouped],
        "is_bare": not places,
        "reasons": [(GROUPS[reason.pair[0]], GROUPS[reason.pair[1]], reason) for reason in REASONS],
    }
    return render_to_string("safety/_together.html", shown)


def _day(form: DayForm) -> date:
    """The day asked for; today where none was, or none that has been."""
    return (form.cleaned_data.get("on") if form.is_valid() else None) or timezone.localdate()


def _is_past(day: date) -> bool:
    return day < timezone.localdate()


def _said(day: date) -> str:
    return date_format(day, "j F Y")


def _listed(workshop, day: date) -> dict:
    places = chemical_list.listed(workshop, chemical_list.end_of(day))
    return {
        "places": places,
        "burning": [each for each in places if each.has_flammables],
        "left_out": left_out(regime_of(workshop.region)),
    }
