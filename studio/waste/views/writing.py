"""What is written of drums: each page ends as one entry and goes on to the drum."""

from functools import partial

from django.shortcuts import get_object_or_404
from django.utils.functional import SimpleLazyObject

from studio.waste import content, glance, operations
from studio.waste.forms import DepositForm, DrumForm
from studio.waste.models import Drum
from studio.writing import write


def start_drum(request):
    form = DrumForm(request.POST or None, request=request)
    its_page = SimpleLazyObject(lambda: Drum.objects.standing().get(name=form.cleaned_data["name"]))
    return write(request, form, operations.start_drum, to=its_page, template="waste/start_drum.html")


def deposit(request, pk):
    return _write(request, pk, DepositForm, operations.deposit, "waste/deposit.html")


def _write(request, pk, form_class, act, template, **kwargs):
    drum = _drum(pk)
    form = form_class(request.POST or None, request=request, drum=drum, **kwargs)
    shown = SimpleLazyObject(partial(_glance, drum))
    return write(request, form, act, to=drum, template=template, context={"drum": drum, "glance": shown})


def _glance(drum: Drum) -> glance.Glance:
    return glance.of([content.of_one(drum)])[0]


def _drum(pk: int) -> Drum:
    return get_object_or_404(Drum.objects.standing().select_related("entry", "place"), pk=pk)
