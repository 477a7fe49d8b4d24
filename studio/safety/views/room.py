"""The wall sheet: open without signing in, and printed."""

from django.contrib.auth.decorators import login_not_required
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.generic import TemplateView

from studio.baths.status import status_of_baths
from studio.drawing import qr
from studio.pages.fragment_cache import Dependency, cached_fragment
from studio.pages.views import ReadView
from studio.printing import papers
from studio.safety import wall
from studio.safety.summaries import LEGEND


@method_decorator(login_not_required, name="dispatch")
class FirstAidView(TemplateView):
    """The same sentences as on the wall, for whoever holds a phone."""

    template_name = "safety/first_aid.html"
    extra_context = {"sections": wall.sections()}

    def get_context_data(self, **kwargs):
        # without a book, or with one that cannot be asked, whoever was splashed needs the page
        has_book = getattr(self.request, "workshop", None) is not None
        return super().get_context_data(**kwargs) | {"sour": self.sour() if has_book else ""}

    def sour(self) -> SafeString:
        """Of the baths; the same for everybody, wherever it is opened."""
        name, regardless_of = "safety/_sour.html", (Dependency.ADDRESS, Dependency.ROLE)
        return cached_fragment(name, self.request, regardless_of=regardless_of, make=self.make_sour)

    def make_sour(self):
        sour = wall.sour_baths(status_of_baths(), self.request.workshop.region)
        return render_to_string("safety/_sour.html", {"sour": sour})


@method_decorator(login_not_required, name="dispatch")
class WallView(ReadView):
    def get_context_data(self):
        return {"sizes": papers.sizes(getattr(self.request.workshop, "paper", "A4"))}

    def get_part_data(self):
        return said(self.request.workshop) | {"on_screen": True}


def said(workshop) -> dict:
    """What the sheet says, on a page, as a paper and in the booklet."""
    statuses = status_of_baths()
    every, sour = [each.bath for each in statuses], wall.sour_baths(statuses, workshop.region)
    rows = max(1, wall.MOST_BATHS - wall.ROWS_OF_ACID * len(sour))
    return {
        "sections": wall.sections(),
        "sour": sour,
        "ranges": wall.ranges(every[:rows], workshop.units),
        "has_more_baths": len(every) > rows,
        "legend": LEGEND,
        "workshop": workshop,
    }


def wall_paper(request):
    """In letters of 12 points: one sheet of twice the studio's paper, or two of its own side by side."""
    page, larger = papers.size_asked_for(request)
    code = qr.svg(qr.address(request, reverse("safety:open")), title=_("Opens the summaries of what is here"))
    context = said(request.workshop) | {"code": code, "caution": qr.caution(request)}
    context |= {"on_two_sheets": larger == 1}
    return papers.answer(
        request, "safety/papers/wall.html", context, title=_("Wall sheet"), page=page, larger=papers.ENLARGED
    )
