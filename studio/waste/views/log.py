"""The waste log of some days, on the screen and on paper; and the sheet to look drums over with."""

from django.core.paginator import Paginator
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _

from studio.cathodes.forms import PeriodForm
from studio.printing import papers
from studio.waste import content, log, whereabouts
from studio.waste.descriptions import DrumDescription

AT_ONCE = 30
LOOKS = 5  # a month of weekly ones


def waste_log(request):
    """The latest first, a page at a time."""
    shown = _context(request)
    page = Paginator(shown["lines"][::-1], AT_ONCE).get_page(request.GET.get("page"))
    newer = _address(request, page.previous_page_number()) if page.has_previous() else ""
    older = _address(request, page.next_page_number()) if page.has_next() else ""
    return render(request, "waste/log.html", shown | {"lines": page.object_list, "newer": newer, "older": older})


def log_paper(request):
    shown = _context(request)
    return papers.answer(
        request, "waste/papers/log.html", shown, title=_("Waste log, %(shown)s") % {"shown": shown["period"]}
    )


def look_over_sheet(request):
    """For the wall beside the drums: a line for each, with room to write."""
    here = whereabouts.drums_on_site().select_related("entry", "place").order_by("place__name", "name", "pk")
    context = {
        "drums": list(map(DrumDescription, content.contents_of_drums(here).values())),
        "weeks": range(1, LOOKS + 1),
    }
    return papers.answer(request, "waste/papers/look_over.html", context, title=_("Look-over of the drums"))


def _address(request, page: int) -> str:
    asked = request.GET.copy()
    asked["page"] = str(page)
    return f"?{asked.urlencode()}"


def _context(request) -> dict:
    form = PeriodForm(request.GET, now=timezone.now())
    period = form.period()
    return {"form": form, "period": period, "lines": log.log_lines(period), "asked": request.GET.urlencode()}
