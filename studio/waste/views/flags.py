"""What the rules say of a drum, and what is found out because they ask."""

from functools import partial

from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string

from chemistry import waste
from studio.pages.writing import write
from studio.waste import findings, whereabouts
from studio.waste.content import Content
from studio.waste.flags import of_drum
from studio.waste.forms.findings import FindingsForm
from studio.waste.models import Drum
from studio.workshop.models import Workshop


def find(request, pk):
    """With ?ask=drips&ask=process, as a flag that needs info asks."""
    drum = get_object_or_404(Drum.objects.standing().select_related("entry"), pk=pk)
    if request.method == "GET" and (handed := whereabouts.handed(drum)):
        return render(request, "waste/gone.html", {"drum": drum, "record": handed.disposal})
    form = FindingsForm(request.POST or None, request=request, drum=drum, ask=request.GET.getlist("ask"))
    act = partial(findings.find, drum)
    return write(request, form, act, to=drum, template="waste/find.html", context={"drum": drum})


def rendered(content: Content, workshop: Workshop) -> str:
    """For the drum's page; the same for everybody."""
    flags = of_drum(content, workshop)
    region = workshop.get_region_display()
    shown = {
        "flags": flags,
        "is_empty": not content.deposits,
        "footer": waste.FOOTER,
        "suggested": waste.SUGGESTED,
        "region": region,
    }
    return render_to_string("waste/_flags.html", shown)
