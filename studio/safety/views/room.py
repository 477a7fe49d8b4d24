"""The wall sheet: open without signing in, and printed."""

from django.contrib.auth.decorators import login_not_required
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.views.generic import TemplateView

from studio.baths.models import Bath
from studio.drawing import qr
from studio.pages.views import ReadView
from studio.printing import papers
from studio.safety import wall
from studio.safety.summaries import LEGEND


@method_decorator(login_not_required, name="dispatch")
class FirstAidView(TemplateView):
    """The same sentences as on the wall, for whoever holds a phone."""

    template_name = "safety/first_aid.html"
    extra_context = {"sections": wall.sections()}


@method_decorator(login_not_required, name="dispatch")
class WallView(ReadView):
    def get_part_data(self):
        return said(self.request.workshop) | {"on_screen": True}


def said(workshop) -> dict:
    """What the sheet says, on a page, as a paper and in the booklet."""
    # one more than the sheet has room for tells that some are left out
    baths = list(Bath.objects.select_related("place")[: wall.MOST_BATHS + 1])
    return {
        "sections": wall.sections(),
        "ranges": wall.ranges(baths[: wall.MOST_BATHS], workshop.units),
        "has_more_baths": len(baths) > wall.MOST_BATHS,
        "legend": LEGEND,
        "workshop": workshop,
    }


def wall_paper(request):
    code = qr.svg(qr.address(request, reverse("safety:open")), title="Opens the summaries of what is here")
    context = said(request.workshop) | {"code": code, "caution": qr.caution(request)}
    return papers.answer(request, "safety/papers/wall.html", context, title="Wall sheet")
