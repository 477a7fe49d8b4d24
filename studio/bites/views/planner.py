"""How long for a depth or for somebody else's bite, asked by GET and not written; and what the current moves."""

from django.shortcuts import render
from django.utils.text import capfirst
from django.views.decorators.vary import vary_on_headers

from chemistry.copper import biting
from chemistry.ranges import OutOfRange
from studio.baths import estimate
from studio.baths.models import Bath
from studio.bites import calibration, operations
from studio.bites.forms.bites import BiteRecipeForm, EfficiencyForm, PlanForm
from studio.bites.views.running import NO_BATH
from studio.pages.quantities import with_spread
from studio.pages.views import EntryView


# one address answers with a page and with a part of it: a browser going back would show the bare part
@vary_on_headers("HX-Request")
def plan(request):
    """Minutes for a depth wanted, at the bath's strength and this studio's learned current."""
    if not Bath.objects.exists():
        return render(request, NO_BATH)
    usual = {"bath": Bath.only_one(), "depth": PlanForm.base_fields["depth"].initial}
    asked = PlanForm(request.GET or None, initial=usual, units=request.workshop.units)
    context = {"asked": asked}
    if asked.is_bound and asked.is_valid():
        try:
            context |= planned(**asked.cleaned_data)
        except OutOfRange as error:
            asked.refuse_figure(error, request.workshop.units)
    return render(request, "bites/_plan.html" if request.htmx else "bites/plan.html", context)


def planned(*, bath, depth, amps, exposed):
    """What is said of a depth: the minutes, or what is missing to tell them."""
    state = estimate.at_moment(bath)
    if state is None:
        return {"bath": bath, "is_unread": True}
    if amps:
        current = biting.read_by_meter(amps, "A", sd=amps * biting.METER_SD_SHARE)
        # a share was refused by the form: no plate is asked for here
        density = biting.density(current, exposed.on(None))
    else:
        density = calibration.usual_density(bath, state.strength_g_per_l)
    if density is None:
        return {"bath": bath, "is_unlearned": True}
    minutes = biting.minutes_for_depth(depth_um=depth, density=density, efficiency=calibration.anode_efficiency())
    return {"bath": bath, "minutes": minutes, "density": density, "is_learned": not amps}


@vary_on_headers("HX-Request")
def recipe(request):
    """A partner's bite, by ampere-minutes to each square centimetre."""
    asked = BiteRecipeForm(request.GET or None, units=request.workshop.units)
    context = {"asked": asked}
    if asked.is_bound and asked.is_valid():
        try:
            context["minutes"] = biting.minutes_for_same_depth(**asked.recipes())
        except OutOfRange as error:
            asked.refuse_figure(error, request.workshop.units)
    return render(request, "bites/_recipe.html" if request.htmx else "bites/recipe.html", context)


class EfficiencyView(EntryView):
    form_class, success_url = EfficiencyForm, "bites:efficiency"
    operation = staticmethod(operations.say_efficiency)
    keyholder_only = True

    def get_context_data(self):
        return super().get_context_data() | {"known": [known(electrode) for electrode in calibration.Electrode]}


def known(electrode):
    """Cathodes differ, so what weighings taught of each stands on its own page."""
    return {
        "label": capfirst(electrode.label),
        "usual": percent(calibration.USUAL[electrode].share),
        "own": calibration.own_efficiency(electrode),
        "weighed": percent(calibration.anode_efficiency()) if electrode == calibration.Electrode.PLATE else None,
    }


def percent(known):
    return with_spread(100 * known.value, 100 * known.sd, "%")
