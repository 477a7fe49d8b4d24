"""The waste log of some days, on the screen and on paper; and the sheet to look drums over with."""

from django.shortcuts import render
from django.utils import timezone

from studio import papers
from studio.cathodes.forms import PeriodForm
from studio.waste import content, glance, log, whereabouts

LOOKS = 5  # a month of weekly ones


def waste_log(request):
    return render(request, "waste/log.html", _context(request))


def log_paper(request):
    shown = _context(request)
    return papers.answer(request, "waste/papers/log.html", shown, title=f"Waste log, {shown['period']}")


def look_over_sheet(request):
    """For the wall beside the drums: a line for each, with room to write."""
    here = whereabouts.here().select_related("entry", "place").order_by("place__name", "name", "pk")
    context = {"glances": glance.of(content.of(here).values()), "weeks": range(1, LOOKS + 1)}
    return papers.answer(request, "waste/papers/look_over.html", context, title="Look-over of the drums")


def _context(request) -> dict:
    form = PeriodForm(request.GET, now=timezone.now())
    period = form.period()
    return {"form": form, "period": period, "lines": log.of(period), "asked": request.GET.urlencode()}
