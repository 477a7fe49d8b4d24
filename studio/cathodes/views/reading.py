"""Reading the cathodes: all of them, one, and what came off them."""

from django.shortcuts import redirect, render
from django.utils import timezone

from studio.cathodes import recovered
from studio.cathodes.descriptions import descriptions_of_cathodes
from studio.cathodes.models import Cathode
from studio.cathodes.status import status_of_cathode, statuses_of_cathodes
from studio.pages import spreadsheet
from studio.pages.views import ReadView


class CathodesView(ReadView):
    """All cathodes that stand in the book."""

    def get_part_data(self):
        years = recovered.years()
        described = descriptions_of_cathodes(statuses_of_cathodes(), self.request.workshop.units)
        return {"all_described": described, "year": years[0] if years else None}


class CathodeView(ReadView):
    """What lies on a cathode, and how its weighings agreed with the current; a struck one leads to why it was."""

    queryset = Cathode.objects.select_related("entry")

    def instead(self):
        if self.object.entry.is_struck:
            return redirect(self.object.entry)

    def get_part_data(self):
        status = status_of_cathode(self.object)
        return {"cathode": self.object, "described": descriptions_of_cathodes([status], self.request.workshop.units)[0]}


def copper(request):
    """What came off the cathodes, year by year."""
    return render(request, "cathodes/recovered.html", {"years": recovered.years()})


def copper_csv(request):
    rows = recovered.rows(timezone.get_current_timezone())
    return spreadsheet.answer("Copper recovered", recovered.CSV_HEAD, rows)
