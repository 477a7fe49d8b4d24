"""Where waste comes from: a bath, a cathode, a jar; each page writes both sides in one entry and goes on to that."""

from functools import partial

from django.shortcuts import get_object_or_404
from django.utils.functional import SimpleLazyObject

from inventory.models import Container
from studio.baths.models import Bath
from studio.cathodes import standing
from studio.cathodes.glance import Glance
from studio.cathodes.models import Cathode
from studio.pages.writing import write
from studio.waste import sources
from studio.waste.forms.sources import DiscardForm, StrainForm, StripForm, TakeOutForm


def strain(request, pk):
    bath = get_object_or_404(Bath, pk=pk)
    form = StrainForm(request.POST or None, request=request, bath=bath)
    act = partial(sources.strain, bath)
    return write(request, form, act, to=bath, template="waste/strain.html", context={"bath": bath})


def take_out(request, pk):
    """With ?litres=0.5, as the planner asks for it."""
    bath = get_object_or_404(Bath, pk=pk)
    initial = {"litres": (request.GET.get("litres", ""), "L")}
    form = TakeOutForm(request.POST or None, request=request, bath=bath, initial=initial)
    act = partial(sources.take_out, bath)
    return write(request, form, act, to=bath, template="waste/take_out.html", context={"bath": bath})


def strip(request, pk):
    cathode = get_object_or_404(Cathode.objects.standing().select_related("entry"), pk=pk)
    form = StripForm(request.POST or None, request=request, cathode=cathode)
    shown = SimpleLazyObject(lambda: Glance(standing.at_moment(cathode), request.workshop.units))
    context = {"cathode": cathode, "glance": shown}
    return write(
        request, form, partial(sources.strip, cathode), to=cathode, template="waste/strip.html", context=context
    )


def discard(request, code):
    container = get_object_or_404(Container.objects.select_related("material", "place"), code=code)
    form = DiscardForm(request.POST or None, request=request, container=container)
    act = partial(sources.discard, container)
    return write(request, form, act, to=container, template="waste/discard.html", context={"container": container})
