"""Reading the cathodes: all of them, one, and what came off them."""

from django.shortcuts import redirect, render
from django.utils import timezone

from studio.cathodes import glance, recovered, standing
from studio.cathodes.models import Cathode
from studio.pages import spreadsheet
from studio.pages.views import ReadView


class CathodesView(ReadView):
    """All cathodes that stand in the book."""

    template_name, part_name = "cathodes/list.html", "cathodes/_list.html"

    def get_part_data(self):
        years = recovered.years()
        glances = glance.of(standing.all_of_them(), self.request.workshop.units)
        return {"glances": glances, "year": years[0] if years else None}


class CathodeView(ReadView):
    """What lies on a cathode, and how its weighings agreed with the current; a struck one leads to why it was."""

    template_name, part_name = "cathodes/cathode.html", "cathodes/_cathode.html"
    queryset = Cathode.objects.select_related("entry")

    def instead(self):
        if self.object.entry.is_struck:
            return redirect(self.object.entry)

    def get_part_data(self):
        now = standing.at_moment(self.object)
        return {"cathode": self.object, "glance": glance.of([now], self.request.workshop.units)[0]}


def copper(request):
    """What came off the cathodes, year by year."""
    return render(request, "cathodes/recovered.html", {"years": recovered.years()})


def copper_csv(request):
    rows = recovered.rows(timezone.get_current_timezone())
    return spreadsheet.answer("Copper recovered", recovered.CSV_HEAD, rows)
