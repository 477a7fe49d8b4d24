"""The year at one look, to read and to hang on a wall."""

from django.utils import timezone
from django.utils.translation import gettext as _

from studio.bench.year import year_until
from studio.pages.views import ReadView
from studio.printing import papers


class YearView(ReadView):
    def get_part_data(self):
        return {"year": year_until(timezone.now()), "sizes": papers.sizes(self.request.workshop.paper)}


def year_paper(request):
    """On the studio's paper, or twice as large."""
    page, larger = papers.size_asked_for(request)
    context = {"year": year_until(timezone.now())}
    return papers.answer(request, "bench/papers/year.html", context, title=_("The year"), page=page, larger=larger)
