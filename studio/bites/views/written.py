"""Bites that are over: the list of them, written down after the fact, put right."""

from datetime import timedelta
from functools import partial

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from inventory.models import Person
from studio.baths.models import Bath
from studio.bites import calibration, lines, operations, rinse
from studio.bites.fields import ExposedField
from studio.bites.filters import BiteFilter
from studio.bites.forms.base import written
from studio.bites.forms.bites import LineForm, PutRightForm, WriteForm, plates_at_hand
from studio.bites.models import Bite
from studio.bites.views.running import NO_BATH
from studio.book import paging
from studio.book.operations import may_strike
from studio.book.revision import book_revision
from studio.pages import fragment_cache
from studio.pages.writing import is_written, write
from studio.people.roles import writers_only

AT_ONCE = 25
A_MONTH = timedelta(days=30)
LINES_OF_A_CARD = 10


def bites(request):
    """All bites, to find one again and bite like it."""
    asked, units = request.GET.urlencode(), request.workshop.units
    whole = fragment_cache.cached_fragment(
        "bites", asked, book_revision(), units, make=lambda: _bites(request.GET, units)
    )
    return render(request, "bites/bites.html", {"whole": whole})


def _bites(asked, units):
    rows = Bite.objects.standing().with_stop().select_related("bath", "plate", "entry__done_by")
    by = BiteFilter(asked, queryset=rows, units=units)
    page = paging.page(by.qs if by.is_valid() else rows.none(), asked, size=AT_ONCE)
    now = timezone.now()
    context = {
        "page": page,
        "lines": lines.of(page.rows, units, calibration.anode_efficiency()),
        "form": by.form,
        "carried": rinse.carried(since=now - A_MONTH, until=now),
    }
    return render_to_string("bites/_bites.html", context)


def write_one(request):
    """One bite after the fact; ?bath= and ?plate= say what is known of it already."""
    bath = request.GET.get("bath") or Bath.objects.first()
    if bath is None:
        return render(request, NO_BATH)
    initial = {"bath": bath, "plate_pk": request.GET.get("plate")}
    form = WriteForm(request.POST or None, request=request, initial=initial)
    its_page = SimpleLazyObject(lambda: written(form).bites.get())
    return write(request, form, operations.note, to=its_page, template="bites/write.html")


@writers_only
def write_card(request):
    """
    Ten lines of a run card, each a bite of its own with its own time and its own entry.

    What was written stays written: a line that is refused is put right and sent again, the others know themselves.
    """
    known = plates_at_hand()
    people = list(Person.objects.here().exclude(account=request.user))
    baths = list(Bath.objects.all())
    if not baths:
        return render(request, NO_BATH)
    lines_of_it = [_line(request, number, known, people, baths) for number in range(LINES_OF_A_CARD)]
    filled = [line for line in lines_of_it if line.is_bound]
    for line in filled:
        line.is_in_the_book_now = is_written(request, line, operations.note)
    if filled and all(line.is_in_the_book_now for line in filled):
        return redirect("bites:bites")
    return render(request, "bites/write_card.html", {"forms": lines_of_it, "now": timezone.localtime()})


def _line(request, number, known, people, baths):
    initial = {"bath": baths[0].pk if baths else None}
    facts = {"request": request, "known": known, "prefix": f"line{number}", "initial": initial}
    form = LineForm(request.POST or None, **facts)
    if form.is_bound and form.is_blank:
        form = LineForm(**facts)  # nobody filled it in, so nothing in it is wrong
    form.number, form.is_in_the_book_now = number + 1, False
    form.fields["bath"].choices = [(bath.pk, str(bath)) for bath in baths]
    empty = form.fields["done_by"].empty_label
    form.fields["done_by"].choices = [("", empty), *((person.pk, str(person)) for person in people)]
    return form


def put_right(request, bite):
    """A bite is struck and written anew in one act; by whoever may strike all its lines."""
    bites = Bite.objects.select_related("bath", "plate", "entry")
    shown = get_object_or_404(bites, pk=bite)
    entries = operations.entries_of(shown)
    if not all(_may_strike(request, entry) for entry in entries):
        raise PermissionDenied("Whoever wrote these lines, or a keyholder, puts them right.")
    if request.method == "GET" and (shown.entry.is_struck or shown.standing_stop() is None):
        return redirect(shown)
    stop = shown.standing_stop()
    form = PutRightForm(request.POST or None, request=request, stop=stop, initial=_as_written(shown, stop))
    its_page = SimpleLazyObject(lambda: written(form).bites.get())
    act = partial(operations.put_right, shown)
    context = {"bite": shown, "entries": entries}
    return write(request, form, act, to=its_page, template="bites/put_right.html", context=context)


def _as_written(bite, stop):
    """What the form offers to change: everything, as it stands."""
    if stop is None:
        return {}
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


def _may_strike(request, entry):
    return may_strike(entry, person=request.person, account=request.user, is_keyholder=request.is_keyholder)
