"""What is done with one container, and with many at once."""

from functools import partial

from django.db.models import Prefetch
from django.shortcuts import get_object_or_404, redirect
from django.utils.functional import lazy

from inventory.models import Container, Entry, Material, Place
from studio.pages.writing import write
from studio.shelf import operations
from studio.shelf.forms.containers import (
    AwayForm,
    ConfirmForm,
    CupForm,
    FinishForm,
    OpenForm,
    SplitForm,
    UseForm,
    UseSeveralForm,
)

AT_ONCE = 200


def use(request, code):
    used = _container(code)
    form = UseForm(request.POST or None, request=request, container=used)
    return _about(request, used, form, operations.use, heading="Use some", submit="Write down the use")


def use_several(request):
    """One entry for a whole evening: a line for the container that each material is used from first."""
    form = UseSeveralForm(request.POST or None, request=request, containers=_first_of_each())
    return write(request, form, operations.use_several, to="shelf:shelf", template="shelf/use_several.html", context={})


def open_it(request, code):
    opened = _container(code)
    form = OpenForm(request.POST or None, request=request)
    return _about(request, opened, form, operations.open_it, heading="Open it", submit="It is open")


def finish(request, code):
    finished = _container(code)
    form = FinishForm(request.POST or None, request=request)
    return _about(request, finished, form, operations.finish, heading="Finish it", submit="Write off the rest")


def split(request, code):
    container = _container(code)
    form = SplitForm(request.POST or None, request=request, container=container, initial={"place": container.place_id})
    words = {"heading": "Put some into another container", "submit": "Write it down"}

    def second():
        entry = Entry.objects.get(key=form.cleaned_data["key"])
        return entry.movements.get(amount__gt=0).container.get_absolute_url()

    return _about(request, container, form, operations.split, to=lazy(second, str)(), **words)


def send_away(request, code):
    sent = _container(code)
    if not Place.objects.filter(kind=Place.Kind.AWAY).exists():
        return redirect("shelf:new_place")
    form = AwayForm(request.POST or None, request=request)
    return _about(request, sent, form, operations.send_away, heading="Send it away", submit="It is on its way")


def confirm(request, code):
    sent = _container(code)
    form = ConfirmForm(request.POST or None, request=request, material=sent.material)
    return _about(request, sent, form, operations.confirm, heading="They confirmed it", submit="Write it down")


def weigh_cup(request, code):
    weighed = _container(code)
    form = CupForm(request.POST or None, request=request)
    return _about(request, weighed, form, operations.weigh_cup, heading="Weigh one cup once", submit="Write it down")


def _about(request, container, form, operation, *, heading, submit, to=None):
    context = {"container": container, "heading": heading, "submit": submit}
    act = partial(operation, container)
    return write(request, form, act, to=container if to is None else to, template="shelf/about.html", context=context)


def _container(code) -> Container:
    return get_object_or_404(Container.objects.select_related("material", "place"), code=code)


def _first_of_each() -> list[Container]:
    """The container that a careful shop uses first, of each material there is, in the order of the shelf."""
    at_hand = Container.objects.at_hand().select_related("place").oldest_open_first()
    materials = Material.objects.prefetch_related(Prefetch("containers", at_hand, to_attr="at_hand"))
    return [material.at_hand[0] for material in materials[:AT_ONCE] if material.at_hand]
