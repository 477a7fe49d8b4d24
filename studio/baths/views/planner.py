"""Mixing and topping up: worked out before anything is written, live where the browser can."""

from functools import partial

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.vary import vary_on_headers

from chemistry.bath import BathState
from studio.baths import estimate, operations
from studio.baths.descriptions import BathDescription
from studio.baths.forms.mixing import MixForm, RecipeForm, TopUpForm, WantedForm
from studio.baths.models import Bath
from studio.baths.status import BathStatus
from studio.pages.quantities import Units
from studio.pages.writing import write


@vary_on_headers("HX-Request")
def mix(request, pk):
    """Crystals and water; what they make is shown first, and only then can it be written."""
    bath, units = get_object_or_404(Bath, pk=pk), request.workshop.units
    asked = RecipeForm(request.GET or None, bath=bath, units=units)
    recipe = asked.recipe()
    offered = {"water_l": recipe.water_l, "salt_g": recipe.salt_g} if recipe and asked.is_bound else {}
    form = MixForm(request.POST or None, request=request, bath=bath, **offered)
    state = estimate.at_moment(bath)
    present = _described(bath, state, units) if state else None
    context = {"bath": bath, "present": present, "asked": asked, "recipe": recipe, "form": form}
    if form.is_bound and form.is_valid() and form.mix:
        context["after"] = _described(bath, form.mix.state, units)
    if "work_out" in request.POST:
        return render(request, "baths/_mixed.html" if request.htmx else "baths/mix.html", context)
    act = partial(operations.mix, bath)
    return write(request, form, act, to=bath, template="baths/mix.html", context=context)


@vary_on_headers("HX-Request")
def top_up(request, pk):
    """What is wanted, what brings it about, and what was really added."""
    bath, units = get_object_or_404(Bath, pk=pk), request.workshop.units
    state = estimate.at_moment(bath)
    if state is None:
        messages.info(request, f"{bath} is unread: mix it or adopt it first.")
        return redirect(bath)
    asked = WantedForm(request.GET or None, bath=bath, state=state, units=units)
    plan = asked.plan()
    offered = {"water_l": plan.water_l, "salt_g": 0.0 if plan.is_unsure else plan.salt_g} if plan else {}
    form = TopUpForm(request.POST or None, request=request, bath=bath, **offered)
    present = _described(bath, state, units)
    context = {"bath": bath, "present": present, "asked": asked, "plan": plan, "form": form}
    if plan:
        depth_cm = asked.stick.depth_cm(plan.after.volume_l)
        context |= {"after": _described(bath, plan.after, units), "after_cm": f"{depth_cm:.1f} cm"}
    if request.htmx:
        return render(request, "baths/_plan.html", context)
    act = partial(operations.top_up, bath)
    return write(request, form, act, to=bath, template="baths/top_up.html", context=context)


def _described(bath: Bath, state: BathState, units: Units) -> BathDescription:
    """A bath that stands so, drawn as its own page draws it."""
    return BathDescription(BathStatus(bath=bath, at=timezone.now(), state=state), units)
