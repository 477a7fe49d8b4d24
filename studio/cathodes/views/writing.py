"""What is written of a cathode: each page ends as one entry and goes on to the cathode."""

from functools import partial

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils.functional import SimpleLazyObject

from inventory.models import Material
from studio.baths.models import Bath
from studio.cathodes import operations, sheets, standing
from studio.cathodes.forms import CopperForm, HangForm, HangNewForm, SheetForm, TakeOutForm, WeighForm
from studio.cathodes.glance import Glance
from studio.cathodes.models import Cathode
from studio.pages.writing import write


def hang_new(request):
    """With ?bath=2, as a bath without a cathode asks for it."""
    initial = {"bath": request.GET.get("bath") or _only_bath()}
    form = HangNewForm(request.POST or None, request=request, initial=initial)
    its_page = SimpleLazyObject(lambda: Cathode.objects.standing().get(name=form.cleaned_data["name"]))
    context = {"baths": Bath.objects.exists()}
    return write(request, form, operations.hang_new, to=its_page, template="cathodes/hang_new.html", context=context)


def hang(request, pk):
    return _write(request, pk, HangForm, operations.hang, "cathodes/hang.html")


def take_out(request, pk):
    return _write(request, pk, TakeOutForm, operations.take_out, "cathodes/take_out.html")


def measure(request, pk):
    cathode = _cathode(pk)
    sheet = operations.sheet_of(cathode)
    form = SheetForm(request.POST or None, request=request, cathode=cathode, initial=SheetForm.figures_of(sheet))
    act = partial(operations.measure, cathode)
    return write(request, form, act, to=cathode, template="cathodes/measure.html", context={"cathode": cathode})


def weigh(request, pk):
    return _write(request, pk, WeighForm, operations.weigh, "cathodes/weigh.html")


def copper_in(request, pk):
    """How much copper is in a material of the shelf."""
    material = get_object_or_404(Material, pk=pk)
    if not CopperForm.can_ask_about(material):
        raise Http404("No sheet copper is kept by volume.")
    form = CopperForm(request.POST or None, request=request, material=material)
    act = partial(operations.say_copper, material)
    context = {"material": material, "said": sheets.known_contents().get(material.pk)}
    return write(request, form, act, to="waste:balance", template="cathodes/copper_in.html", context=context)


def _write(request, pk, form_class, operation, template):
    cathode = _cathode(pk)
    form = form_class(request.POST or None, request=request, cathode=cathode)
    shown = SimpleLazyObject(lambda: Glance(standing.at_moment(cathode), request.workshop.units))
    context = {"cathode": cathode, "glance": shown}
    return write(request, form, partial(operation, cathode), to=cathode, template=template, context=context)


def _cathode(pk: int) -> Cathode:
    return get_object_or_404(Cathode.objects.standing().select_related("entry"), pk=pk)


def _only_bath() -> int | None:
    """A studio with one bath is not asked which."""
    found = list(Bath.objects.values_list("pk", flat=True)[:2])
    return found[0] if len(found) == 1 else None
