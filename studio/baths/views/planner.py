"""Mixing and topping up: worked out before anything is written, live where the browser can."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.vary import vary_on_headers

from chemistry.quantity import quantity
from chemistry.ranges import OutOfRange
from studio.baths import estimate, operations, salt
from studio.baths.acid import INTO_WATER
from studio.baths.forms.mixing import MixForm, RecipeForm, TopUpForm, WantedForm
from studio.baths.forms.what_if import WhatIfForm
from studio.baths.models import Bath
from studio.baths.views.writing import PRINT_ITS_CARD, BathEntryView
from studio.baths.what_if import outlook


@method_decorator(vary_on_headers("HX-Request"), name="dispatch")
class MixView(BathEntryView):
    """Crystals and water; what they make is shown first, and only then can it be written."""

    form_class = MixForm
    operation = staticmethod(operations.mix)
    afterwards = [PRINT_ITS_CARD, (gettext_lazy("Read the level"), "baths:read_level")]

    @cached_property
    def asked(self):
        return RecipeForm(self.request.GET or None, bath=self.object, units=self.request.workshop.units)

    @cached_property
    def recipe(self):
        return self.asked.recipe()

    def get_form_kwargs(self):
        recipe = self.recipe if self.asked.is_bound else None
        if recipe is None:
            return super().get_form_kwargs()
        offered = {"water_l": recipe.water_l, "salt_g": recipe.salt_g, "acid_g_per_l": recipe.acid_g_per_l}
        return super().get_form_kwargs() | offered

    def get_context_data(self):
        state, form = estimate.at_moment(self.object), self.form
        after = form.mix.state if form.is_bound and form.is_valid() and form.mix else None
        return super().get_context_data() | {
            "present": self.described(state) if state else None,
            "asked": self.asked,
            "recipe": self.recipe,
            "with_powder": self.recipe.with_powder(self.request.workshop.units.cups) if self.recipe else "",
            "heats_up": salt.HEATS_UP,
            "into_water": INTO_WATER,
            "after": self.described(after) if after else None,
        }

    def post(self, request, *args, **kwargs):
        if "work_out" not in request.POST:
            return super().post(request)
        return render(request, "baths/_mixed.html" if request.htmx else "baths/mix.html", self.get_context_data())


@method_decorator(vary_on_headers("HX-Request"), name="dispatch")
class TopUpView(BathEntryView):
    """What is wanted, what brings it about, and what was really added."""

    form_class = TopUpForm
    operation = staticmethod(operations.top_up)
    afterwards = [(gettext_lazy("Read it again"), "baths:read_hydrometer"), PRINT_ITS_CARD]

    @property
    def template_name(self):
        return "baths/_plan.html" if self.request.htmx else "baths/top_up.html"

    def instead(self):
        self.state = estimate.at_moment(self.object)
        if self.state is None:
            messages.info(self.request, _("%(object)s is unread: mix it or adopt it first.") % {"object": self.object})
            return redirect(self.object)
        units = self.request.workshop.units
        self.asked = WantedForm(self.request.GET or None, bath=self.object, state=self.state, units=units)
        self.plan = self.asked.plan()

    def get_form_kwargs(self):
        plan = self.plan
        # crystals that are known too badly are not filled in: somebody would weigh them out
        if plan is None:
            return super().get_form_kwargs()
        salt_g = 0.0 if plan.is_unsure else plan.salt_g
        offered = {"water_l": plan.water_l, "salt_g": salt_g, "acid_g_per_l": plan.acid_g_per_l}
        return super().get_form_kwargs() | offered

    def get_context_data(self):
        shown = {
            "present": self.described(self.state),
            "asked": self.asked,
            "plan": self.plan,
            "into_water": INTO_WATER,
        }
        shown["level_is_fresh"] = estimate.level_is_fresh(self.object, timezone.now())
        if self.plan:
            depth_cm = self.asked.stick.depth_cm(self.plan.after.volume_l)
            powder = self.plan.with_powder(self.request.workshop.units.cups)
            shown |= {
                "after": self.described(self.plan.after),
                "after_cm": _("%(depth_cm)s") % {"depth_cm": quantity(depth_cm, "cm", decimals=1)},
                "with_powder": powder,
            }
        return super().get_context_data() | shown


# one address answers with a page and with a part of it: a browser going back would show the bare part
@vary_on_headers("HX-Request")
def what_if(request, pk):
    """A plan drawn forward; asked by GET, and nothing is written."""
    bath = get_object_or_404(Bath, pk=pk)
    now, units = timezone.now(), request.workshop.units
    state = estimate.at_moment(bath, now)
    if state is None:
        messages.info(request, _("%(bath)s is unread: mix it or adopt it first.") % {"bath": bath})
        return redirect(bath)
    asked = WhatIfForm(request.GET or None, now=now, units=units)
    shown = {"bath": bath, "asked": asked}
    if asked.is_bound and asked.is_valid():
        try:
            shown["outlook"] = outlook(bath, state, now, units, **asked.facts())
        except OutOfRange as error:
            asked.refuse_figure(error, units)
    return render(request, "baths/_what_if.html" if request.htmx else "baths/what_if.html", shown)
