"""What is written of drums: each page ends as one entry and goes on to the drum."""

from functools import partial

from django.shortcuts import get_object_or_404, render
from django.utils.functional import SimpleLazyObject

from studio.pages.writing import write
from studio.waste import content, glance, operations, whereabouts
from studio.waste.forms.drums import DepositForm, DrumForm, InspectionForm, PourForm, TestForm, WeighForm
from studio.waste.models import Drum


def start_drum(request):
    """With ?kind=rinse, as a page without a drum for it asks."""
    form = DrumForm(request.POST or None, request=request, initial={"kind": request.GET.get("kind", "")})
    its_page = SimpleLazyObject(lambda: Drum.objects.get(entry__key=form.cleaned_data["key"]))
    return write(request, form, operations.start_drum, to=its_page, template="waste/start_drum.html")


def deposit(request, pk):
    return _write(request, pk, DepositForm, lambda drum, **facts: operations.deposit(**facts), "waste/deposit.html")


def pour_over(request, pk):
    return _write(request, pk, PourForm, operations.pour_over, "waste/pour_over.html")


def look_over(request, pk):
    return _write(request, pk, InspectionForm, operations.look_over, "waste/look_over.html")


def weigh(request, pk):
    return _write(request, pk, WeighForm, operations.weigh, "waste/weigh.html")


def test(request, pk):
    return _write(request, pk, TestForm, operations.record_test, "waste/test.html", request.FILES or None)


def _write(request, pk, form_class, operation, template, files=None):
    drum = get_object_or_404(Drum.objects.standing().select_related("entry", "place"), pk=pk)
    if request.method == "GET" and (handed := whereabouts.handed(drum)):
        return render(request, "waste/gone.html", {"drum": drum, "record": handed.disposal})
    form = form_class(request.POST or None, files, request=request, drum=drum)
    shown = SimpleLazyObject(lambda: glance.of([content.content_of_drum(drum)])[0])
    context = {"drum": drum, "glance": shown}
    return write(request, form, partial(operation, drum), to=drum, template=template, context=context)
