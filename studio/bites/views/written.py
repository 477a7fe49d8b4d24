"""Bites that are over: the list of them, written down after the fact, put right."""

from datetime import timedelta

from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Person
from studio.baths.models import Bath
from studio.bites import calibration, lines, operations, rinse
from studio.bites.fields import ExposedField
from studio.bites.filters import BiteFilter
from studio.bites.forms.bites import LineForm, PutRightForm, WriteForm, plates_at_hand
from studio.bites.models import Bite
from studio.bites.views.log_sheet import folded
from studio.bites.views.papers import LINES_OF_A_CARD
from studio.bites.views.running import NO_BATH
from studio.book import paging
from studio.pages import errands
from studio.pages.views import EntryView, ReadView
from studio.pages.writing import write_once
from studio.people.roles import may_strike, writers_only

AT_ONCE = 25
A_MONTH = timedelta(days=30)


class BitesView(ReadView):
    def get_part_data(self):
        asked, units = self.request.GET, self.request.workshop.units
        rows = Bite.objects.standing().with_stop().select_related("bath", "plate", "entry__done_by")
        by = BiteFilter(asked, queryset=rows, units=units)
        page = paging.page(by.qs if by.is_valid() else rows.none(), asked, size=AT_ONCE)
        now = timezone.now()
        return {
            "page": page,
            "lines": lines.bite_lines(page.rows, units, calibration.anode_efficiency()),
            "form": by.form,
            "carried": rinse.carried(since=now - A_MONTH, until=now),
        }


class WriteBiteView(EntryView):
    """One bite after the fact; ?bath= and ?plate= say what is known of it already."""

    form_class = WriteForm
    operation = staticmethod(operations.note)

    def get_initial(self):
        return {"bath": self.request.GET.get("bath") or Bath.only_one(), "plate_pk": self.request.GET.get("plate")}

    def instead(self):
        if not Bath.objects.exists():
            return render(self.request, NO_BATH)

    def go_on(self, entry):
        return redirect(entry.bites.get())


@writers_only
@errands.may_be_left
def write_card(request):
    """
    Ten lines of a run card, each a bite of its own with its own time and its own entry.

    What was written stays written: a line that is refused is put right and sent again, the others know themselves.
    """
    # asked once for the card: ten forms would each ask for the same plates, people and baths
    known = plates_at_hand()
    people = list(Person.objects.at_work().exclude(account=request.user))
    baths = list(Bath.objects.all())
    if not baths:
        return render(request, NO_BATH)
    lines_of_it = [_line(request, number, known, people, baths) for number in range(LINES_OF_A_CARD)]
    filled = [line for line in lines_of_it if line.is_bound and not line.is_taken_up]
    for line in filled:
        line.is_in_the_book_now = write_once(request, line, operations.note) is not None
    if filled and all(line.is_in_the_book_now for line in filled):
        return redirect("bites:bites")
    is_empty = request.method == "POST" and not filled
    context = {"forms": lines_of_it, "is_empty": is_empty, "is_refused": any(line.errors for line in filled)}
    context |= folded(lines_of_it)
    return render(request, "bites/write_card.html", context)


def _line(request, number, known, people, baths):
    initial = {"bath": baths[0].pk if len(baths) == 1 else None}
    facts = {"request": request, "known": known, "prefix": f"line{number}", "initial": initial}
    form = errands.form_of(request, LineForm, **facts)
    if form.is_bound and form.is_blank:
        # nobody filled it in, so nothing in it is wrong
        form = LineForm(**facts)
        form.may_be_left = True
    form.number, form.is_in_the_book_now = number + 1, False
    choices = [(bath.pk, str(bath)) for bath in baths]
    form.fields["bath"].choices = choices if len(baths) == 1 else [("", _("which?")), *choices]
    empty = form.fields["done_by"].empty_label
    form.fields["done_by"].choices = [("", empty), *((person.pk, str(person)) for person in people)]
    return form


class PutRightView(EntryView):
    """A bite is struck and written anew in one act; by whoever may strike all its lines."""

    form_class = PutRightForm
    operation = staticmethod(operations.put_right)
    queryset = Bite.objects.select_related("bath", "plate", "entry")

    def instead(self):
        self.entries, self.stop = operations.entries_of(self.object), self.object.standing_stop()
        if not all(may_strike(self.request, entry) for entry in self.entries):
            raise PermissionDenied(_("Whoever wrote these lines, or a keyholder, puts them right."))
        # a second tap comes by POST and finds the bite struck by the first: it must get as far as its entry
        if self.request.method == "GET" and (self.object.entry.is_struck or self.stop is None):
            return redirect(self.object)

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"stop": self.stop}

    def get_initial(self):
        return as_written(self.object, self.stop) if self.stop else {}

    def get_context_data(self):
        return super().get_context_data() | {"entries": self.entries}

    def go_on(self, entry):
        return redirect(entry.bites.get())


def as_written(bite, stop):
    """What the form offers to change: everything, as it stands."""
    # one past the stop belongs to no minute of the bite, and the form would refuse its own suggestion
    readings = [reading for reading in bite.standing_readings() if reading.minutes <= stop.minutes]
    once = readings[0] if len(readings) == 1 else None
    bare = bite.exposed
    return {
        "bath": bite.bath,
        "plate_pk": bite.plate_id or "",
        "happened_at": timezone.localtime(bite.happened_at),
        "done_by": bite.entry.done_by_id,
        "exposed": ExposedField.shown(bare),
        "state": bite.state,
        "volts_set": bite.volts_set,
        "cathode": bite.cathode_cm2,
        "gap_cm": bite.gap_cm,
        "minutes": round(stop.minutes, 1),
        "amps": once.amps if once else None,
        "volts": once.volts if once else None,
        "more": readings if len(readings) > 1 else [],
        "counted_ah": stop.charge_ah if stop.is_counted else None,
        "ml_each": stop.drips_ml,
    }
