"""What is written of a bath: each page ends as one entry and goes on to the bath."""

from functools import partial

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.utils.html import format_html

from studio.baths import operations, readings
from studio.baths.forms import pouring, reading, tank
from studio.baths.models import Bath, BathEvent
from studio.pages.writing import write
from studio.people.roles import keyholder_required


@keyholder_required
def set_up(request):
    return _write_new(request, tank.TankForm, operations.set_up, "baths/set_up.html")


@keyholder_required
def adopt_new(request):
    """The first act of most studios: the tank and the bath in it, in one entry."""
    return _write_new(request, tank.AdoptWithTankForm, operations.adopt, "baths/adopt_new.html")


@keyholder_required
def change(request, pk):
    bath = get_object_or_404(Bath, pk=pk)
    form = tank.TankForm(request.POST or None, request=request, bath=bath, initial=tank.figures_of(bath))
    return write(request, form, operations.change, to=bath, template="baths/change.html", context={"bath": bath})


@keyholder_required
def adopt(request, pk):
    bath = get_object_or_404(Bath, pk=pk)
    form = tank.AdoptForm(request.POST or None, request=request, bath=bath)
    return write(request, form, operations.adopt, to=bath, template="baths/adopt.html", context={"bath": bath})


def read_level(request, pk):
    return _write(request, pk, reading.LevelForm, _reading(request), "baths/read_level.html")


def read_hydrometer(request, pk):
    act = _reading(request)
    return _write(request, pk, reading.HydrometerForm, act, "baths/read_hydrometer.html")


def titrate(request, pk):
    act = _reading(request)
    return _write(request, pk, reading.TitrationForm, act, "baths/titrate.html")


def drips(request, pk):
    return _write(request, pk, pouring.DripsForm, operations.drips, "baths/drips.html")


def add_solution(request, pk):
    return _write(request, pk, pouring.AddSolutionForm, operations.add_solution, "baths/add_solution.html")


def cover(request, pk):
    """The form offers what the lid is not yet."""
    bath = get_object_or_404(Bath, pk=pk)
    initial = {"lid_on": "off" if operations.lid_is_on(bath) else "on"}
    form = pouring.CoverForm(request.POST or None, request=request, bath=bath, initial=initial)
    act = partial(operations.cover, bath)
    return write(request, form, act, to=bath, template="baths/cover.html", context={"bath": bath})


def answer(request, pk):
    """What to make of a reading that stands apart from the book."""
    events = BathEvent.objects.standing().filter(kind__in=BathEvent.READINGS).select_related("bath", "entry__done_by")
    event = get_object_or_404(events, pk=pk)
    comparison = readings.held_out(event, request.workshop.units)
    if comparison is None:
        messages.info(request, f"The book goes along with this reading: {event}.")
        return redirect(event.bath)
    form = reading.AnswerForm(request.POST or None, request=request, bath=event.bath)
    context = {"bath": event.bath, "event": event, "comparison": comparison}
    act = partial(operations.answer, event)
    return write(request, form, act, to=event.bath, template="baths/answer.html", context=context)


def _write(request, pk, form_class, operation, template, **kwargs):
    bath = get_object_or_404(Bath, pk=pk)
    form = form_class(request.POST or None, request=request, bath=bath, **kwargs)
    return write(request, form, partial(operation, bath), to=bath, template=template, context={"bath": bath})


def _write_new(request, form_class, operation, template):
    """A tank that is not in the book until the form is; afterwards it is found by its name."""
    form = form_class(request.POST or None, request=request, bath=Bath())
    its_page = SimpleLazyObject(lambda: Bath.objects.get(name=form.cleaned_data["name"]))
    return write(request, form, operation, to=its_page, template=template)


def _reading(request):
    """A reading that the book does not believe says so on the way out, with the page that answers it."""

    def read(bath, **facts):
        entry = operations.read(bath, **facts)
        for event in entry.bath_events.select_related("bath"):
            comparison = readings.held_out(event, request.workshop.units)
            if comparison:
                messages.warning(request, _held_out(event, comparison))
        return entry

    return read


def _held_out(event: BathEvent, comparison: readings.Comparison) -> str:
    url = reverse("baths:answer", args=[event.pk])
    return format_html('Held out: it {}. <a href="{}">Answer it</a>, so that the book can go on.', comparison, url)
