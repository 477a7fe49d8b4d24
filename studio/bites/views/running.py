"""A bite as it happens: the plate is chosen, the current goes on, is read, and goes off."""

from contextlib import suppress
from functools import partial
from uuid import UUID

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from inventory.models import Entry
from studio.baths.models import Bath
from studio.bites import alarm as alarms
from studio.bites import descriptions, examples, operations
from studio.bites.account import Account
from studio.bites.exposure import EXAMPLES_PERCENT
from studio.bites.fields import ExposedField
from studio.bites.forms.base import PLATES_AT_HAND, written
from studio.bites.forms.bites import ReadForm, StartForm, StopForm, StoppedForm, now_typed
from studio.bites.models import Bite, Plate
from studio.book.revision import book_revision
from studio.drawing import qr
from studio.pages import fragment_cache
from studio.pages.writing import write
from studio.people.inductions import Task, why_not

MS_PER_S = 1000
NO_BATH = "bites/no_bath.html"


def choose(request):
    """Which plate? One tap, and its own page asks the rest."""
    here = Plate.objects.standing().with_last_parcel().with_last_bite().filter(is_away=False)
    latest = here.order_by("-last_bitten_at", "-happened_at")[:PLATES_AT_HAND]
    asked = request.GET.urlencode()
    return render(request, "bites/choose.html", {"plates": latest, "asked": f"?{asked}" if asked else ""})


def start(request, plate=None):
    """The six lines, the arrangement, and the current on."""
    shown = get_object_or_404(Plate.objects.standing(), pk=plate) if plate else None
    offered = _offered(request, shown)
    if offered["bath"] is None:
        return render(request, NO_BATH)
    form = StartForm(request.POST or None, request=request, plate=shown, initial=offered)
    its_page = SimpleLazyObject(lambda: written(form).bites.get())
    context = {
        "plate": shown,
        "examples": [(percent, examples.path(percent)) for percent in EXAMPLES_PERCENT],
        "why_not": why_not(Task.BATH, request.person),
    }
    return write(request, form, operations.start, to=its_page, template="bites/start.html", context=context)


def _offered(request, plate):
    """How the plate is prepared, how it or its bath was arranged last, and what the address asks for."""
    prepared = plate.preparations.standing().order_by("entry__happened_at", "pk").last() if plate else None
    last = Bite.objects.standing().filter(plate=plate).latest_first().first() if plate else None
    chosen = Bath.objects.filter(pk=request.GET.get("bath")).first() if request.GET.get("bath", "").isdigit() else None
    bath = chosen or (last.bath if last else Bath.objects.first())
    beside = Bite.objects.standing().filter(bath=bath).latest_first().first()
    is_hung = beside is not None and bath.hangings.sheet_at(timezone.now()) is not None
    bare = next((row for row in (prepared, last) if row and row.exposed_cm2), None)
    return {
        "bath": bath,
        "state": max(prepared.state if prepared else 1, last.state if last else 1),
        "exposed": ExposedField.shown(bare.exposed) if bare else None,
        "planned_min": request.GET.get("minutes", ""),
        "volts_set": beside.volts_set if beside else None,
        "cathode": beside.cathode_cm2 if beside and not is_hung else None,
        "gap_cm": beside.gap_cm if beside and not is_hung else None,
    }


def bite(request, bite):
    """A bite that runs, with its clock; or what one did that is over."""
    shown = _bite(bite)
    if shown.is_running:
        return _running(request, shown)
    units = request.workshop.units
    whole = fragment_cache.cached_fragment("bite", shown.pk, book_revision(), units, make=lambda: _whole(shown, units))
    return render(request, "bites/bite.html", {"bite": shown, "whole": whole})


def _whole(bite, units):
    """What a bite did, the same for everybody."""
    lines = [bite.entry] if bite.entry.is_struck else operations.entries_of(bite)
    return render_to_string("bites/_bite.html", {"bite": bite, "account": Account(bite, units), "lines": lines})


def _running(request, bite):
    now = timezone.now()
    context = {
        "bite": bite,
        "account": Account(bite, request.workshop.units),
        "said": descriptions.in_use(bite, now),
        "now": now,
        "now_ms": _ms(now),
        "started_ms": _ms(bite.happened_at),
        "ends_ms": _ms(bite.ends_at) if bite.ends_at else "",
        "read_form": ReadForm(request=request, auto_id="read_%s"),
        "stop_form": StopForm(request=request, auto_id="stop_%s"),
    }
    return render(request, "bites/running.html", context)


def clock(request, bite):
    """The server's clock, whether the bite still runs, and with ?key= whether a form of that key is in the book."""
    shown = _bite(bite)
    answer = {"now": _ms(timezone.now()), "runs": shown.is_running, "written": _is_written(request.GET.get("key", ""))}
    return JsonResponse(answer, headers={"Cache-Control": "no-store"})


def _is_written(key):
    with suppress(ValueError):
        return Entry.objects.filter(key=UUID(key)).exists()
    return False


def alarm(request, bite):
    """An alarm for the phone's calendar."""
    shown = _bite(bite)
    if shown.ends_at is None:
        raise Http404("No minutes were planned for this bite.")
    url = qr.address(request, shown.get_absolute_url())
    content = alarms.calendar(shown, uid=f"{shown.entry.key}@mordant", url=url)
    headers = {"Content-Disposition": 'attachment; filename="bite.ics"'}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


def read(request, bite):
    """What the display shows now."""
    return _write(request, bite, ReadForm, operations.read, "bites/read.html")


def stop(request, bite):
    """The current is off now."""
    return _write(request, bite, StopForm, operations.stop, "bites/stop.html")


def stopped(request, bite):
    """It went off earlier, by itself or by somebody."""
    initial = {"stopped_at": now_typed()}
    return _write(request, bite, StoppedForm, operations.stop, "bites/stopped.html", initial=initial)


def _write(request, pk, form_class, operation, template, **kwargs):
    shown = _bite(pk)
    form = form_class(request.POST or None, request=request, **kwargs)
    if request.method == "GET" and not shown.is_running:
        return redirect(shown)
    return write(request, form, partial(operation, shown), to=shown, template=template, context={"bite": shown})


def _bite(pk):
    bites = Bite.objects.with_stop().select_related("bath", "plate", "entry__done_by", "entry__struck_by")
    return get_object_or_404(bites, pk=pk)


def _ms(moment):
    return round(moment.timestamp() * MS_PER_S)
