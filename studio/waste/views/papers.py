"""The label of a drum, and the report of a test of it."""

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _

from studio.drawing import qr
from studio.pages import documents
from studio.printing import papers
from studio.printing.label_sizes import LEAST_PT, SIZES, letters_that_fill, size_for
from studio.waste import content, labels
from studio.waste.models import Drum, TestResult

LEAST_L = 4  # a drum is read from where it stands, however small


def label(request, pk):
    """With ?counted=hazardous it carries the words that the United States ask for."""
    drum = get_object_or_404(Drum.objects.standing().select_related("entry", "place"), pk=pk)
    counted = request.GET.get("counted") == "hazardous"
    sticker = labels.drum_label(
        content.content_of_drum(drum), region=request.workshop.region, counted_as_hazardous=counted
    )
    address = qr.address(request, reverse("safety:open_drum", args=[drum.pk]))
    code = qr.svg(address, title=_("Opens the safety summary of %(drum)s") % {"drum": drum})
    context = {"sticker": sticker, "code": code, "caution": qr.caution(request)}
    title = _("Drum label: %(drum)s") % {"drum": drum}
    return papers.answer(
        request, "waste/papers/label.html", context, title=title, rules=rules_of(request, drum, context, title)
    )


def rules_of(request, drum, context, title) -> str:
    """The measures of its label: the least that suits the drum and has room, in the letters that fill it."""
    if papers.available():
        return ""
    sizes = list(SIZES.values())
    fitting = sizes[sizes.index(SIZES[size_for(max(drum.capacity_l, LEAST_L))]) :]
    for size in fitting:
        context["size"] = size.id
        html = papers.html("waste/papers/label.html", papers.signed(request, context), title=title)
        if letters := letters_that_fill(html, size.rules):
            break
    return f"{size.rules} html {{ font-size: {letters or LEAST_PT}pt }}"


def report_of_test(request, pk):
    result = get_object_or_404(TestResult.objects.exclude(file="").select_related("drum"), pk=pk)
    return documents.hand_over(result.file, f"test-{result.pk}")
