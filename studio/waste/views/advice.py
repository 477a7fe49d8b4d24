"""What the studio was told where it stands."""

from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from chemistry.measured import digits
from inventory.dates import long_day
from studio.pages import documents
from studio.pages.views import EntryView
from studio.waste import advice as operations
from studio.waste.forms.advice import AdviceForm
from studio.waste.models import LocalAdvice

LATEST = 200


def advice(request):
    """What holds, and what held once."""
    today = timezone.localdate()
    told = LocalAdvice.objects.standing().select_related("entry__done_by").order_by("-said_on", "-pk")[:LATEST]
    holds = [each for each in told if each.is_in_force_on(today)]
    context = {
        "holds": holds,
        "over": [each for each in told if each not in holds],
        "kinds": LocalAdvice.Kind.choices,
    }
    return render(request, "waste/advice.html", context)


def one_advice(request, pk):
    """What somebody said, whole; a struck one leads to why it was."""
    one = get_object_or_404(LocalAdvice.objects.select_related("entry__done_by"), pk=pk)
    if one.entry.is_struck:
        return redirect(one.entry)
    context = {"advice": one, "facts": _facts(one), "holds": one.is_in_force_on(timezone.localdate())}
    return render(request, "waste/one_advice.html", context)


class AddAdviceView(EntryView):
    """With ?stream=rinse, as a drum's page asks."""

    form_class, keyholder_only = AdviceForm, True
    operation = staticmethod(operations.record)
    prefilled = ["stream"]

    def instead(self):
        if self.kwargs["kind"] not in LocalAdvice.Kind:
            raise Http404

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"kind": self.kwargs["kind"]}

    def get_context_data(self):
        return super().get_context_data() | {"what": LocalAdvice.Kind(self.kwargs["kind"]).label}

    def go_on(self, entry):
        return redirect(entry.advice.get())


def advice_document(request, pk):
    one = get_object_or_404(LocalAdvice.objects.exclude(file=""), pk=pk)
    return documents.hand_over(one.file, f"local-advice-{one.said_on:%Y-%m-%d}-{slugify(one.asked)}")


def _facts(one: LocalAdvice) -> list[tuple[str, object]]:
    known = [
        (_("Who said so"), one.asked),
        (_("When"), long_day(one.said_on)),
        (_("Until"), long_day(one.until_on) if one.until_on else _("they named no end")),
        (_("About"), one.about),
        (_("In writing"), _("yes") if one.is_written else _("no, by word of mouth")),
        (_("Asked"), one.question),
        (
            _("Most copper"),
            _("%(cu_mg_per_l)s mg/L") % {"cu_mg_per_l": digits(one.cu_mg_per_l)} if one.cu_mg_per_l else "",
        ),
        (_("Treatment"), one.how),
        (_("Next on"), long_day(one.next_on) if one.next_on else ""),
        (_("And again"), one.get_repeats_display()),
    ]
    return [(name, value) for name, value in known if value]
