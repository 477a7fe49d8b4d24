"""The plates: all of them, the page of one, and what is done to it."""

from functools import partial

import django_tables2
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils.functional import SimpleLazyObject

from studio.bites import examples, history
from studio.bites import plates as operations
from studio.bites.exposure import EXAMPLES_PERCENT
from studio.bites.fields import ExposedField
from studio.bites.filters import PlateFilter
from studio.bites.forms.base import written
from studio.bites.forms.plates import ParcelForm, PlateForm, PreparationForm, WeighForm
from studio.bites.models import Plate
from studio.bites.tables import PlateTable
from studio.book.revision import book_revision
from studio.pages import fragment_cache
from studio.pages.writing import write

AT_ONCE = 25


def plates(request):
    whole = fragment_cache.cached_fragment(
        "plates", request.GET.urlencode(), book_revision(), make=lambda: _plates(request)
    )
    return render(request, "bites/plates.html", {"whole": whole})


def _plates(request):
    """Filter and list, the same for everybody."""
    rows = Plate.objects.standing().with_last_parcel().with_last_bite().select_related("owner")
    asked = PlateFilter(request.GET, queryset=rows)
    table = PlateTable(asked.qs if asked.is_valid() else rows.none())
    django_tables2.RequestConfig(request, paginate={"per_page": AT_ONCE}).configure(table)
    is_bare = not request.GET and not rows.exists()
    return render_to_string("bites/_plates.html", {"table": table, "form": asked.form, "is_bare": is_bare}, request)


def plate(request, plate):
    shown = get_object_or_404(_known(), pk=plate)
    units = request.workshop.units
    whole = fragment_cache.cached_fragment("plate", shown.pk, book_revision(), units, make=lambda: _whole(shown, units))
    return render(request, "bites/plate.html", {"plate": shown, "whole": whole})


def _whole(plate, units):
    """What was done to a plate, the same for everybody."""
    return render_to_string("bites/_plate.html", {"plate": plate, "history": history.History(plate, units)})


def new_plate(request):
    form = PlateForm(request.POST or None, request=request)
    its_page = SimpleLazyObject(lambda: written(form).plates.get())
    return write(request, form, operations.take, to=its_page, template="bites/new_plate.html")


def prepare(request, plate):
    shown = _plate(plate)
    last = shown.preparations.standing().order_by("entry__happened_at", "pk").last()
    form = PreparationForm(request.POST or None, request=request, plate=shown, initial=_as_before(last))
    context = {
        "plate": shown,
        "examples": [(percent, examples.path(percent)) for percent in EXAMPLES_PERCENT],
    }
    act = partial(operations.prepare, shown)
    return write(request, form, act, to=shown, template="bites/prepare.html", context=context)


def _as_before(last):
    if last is None:
        return {}
    bare = last.exposed
    return {"state": last.state, "ground": last.ground, "stop_out": last.stop_out, "exposed": ExposedField.shown(bare)}


def weigh(request, plate):
    shown = _plate(plate)
    form = WeighForm(request.POST or None, request=request)
    act = partial(operations.weigh, shown)
    return write(request, form, act, to=shown, template="bites/weigh.html", context={"plate": shown})


def send(request):
    return _parcel(request, operations.send, "bites/send.html", away=False)


def bring_back(request):
    return _parcel(request, operations.bring_back, "bites/bring_back.html", away=True)


def _parcel(request, operation, template, *, away):
    """One plate can be chosen already, by ?plate=."""
    initial = {"plates": request.GET.getlist("plate")}
    form = ParcelForm(request.POST or None, request=request, away=away, initial=initial)
    return write(request, form, operation, to="bites:plates", template=template)


def _known():
    return Plate.objects.with_last_parcel().select_related("entry", "owner", "partner", "cut_from__material")


def _plate(pk):
    return get_object_or_404(Plate.objects.standing(), pk=pk)
