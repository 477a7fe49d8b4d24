"""Labels: chosen and written down as printed, then opened as paper."""

from functools import partial

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.functional import SimpleLazyObject
from django.utils.http import content_disposition_header
from django.utils.text import slugify

from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.drawing import qr
from studio.pages.writing import write
from studio.printing import papers
from studio.safety import labels, operations, printing
from studio.safety.forms import LabelForm
from studio.safety.models import PrintedLabel


def label_material(request, pk):
    """Of a material that was put into some other vessel."""
    material = get_object_or_404(Material, pk=pk)
    return _print(request, material, partial(_of_material, material), {"material": material})


def label_container(request, code):
    jar = get_object_or_404(Container.objects.select_related("material", "place"), code=code)
    make = partial(_of_material, jar.material, container=jar)
    of = {"material": jar.material, "container": jar}
    return _print(request, jar, make, of, initial={"quantity": jar.shown_on_hand(), "size": labels.usual_size(jar)})


def label_bath(request, pk):
    bath = get_object_or_404(Bath.objects.select_related("place"), pk=pk)

    def make(workshop, elements, quantity):
        return labels.of_bath(status_of_baths([bath])[0], workshop, elements=elements)

    return _print(request, bath, make, {"bath": bath}, initial={"size": "a7"})


def label_paper(request, pk):
    """The label as it went to the printer, once more."""
    label = get_object_or_404(PrintedLabel.objects.select_related("material", "container", "bath"), pk=pk)
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": str(label), "reason": reason}, status=503)
    pdf = printing.label(label.content, label.size, _around(request, label.content)).pdf
    name = content_disposition_header(as_attachment=False, filename=f"{slugify(label)}.pdf")
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def _of_material(material, workshop, elements, quantity, container=None):
    return labels.of_material(material, workshop, elements=elements, container=container, quantity=quantity)


def _print(request, thing, make, of, initial=None):
    """Ask which label; what it carries is written in the book before it is printed."""
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": f"Label: {thing}", "reason": reason}, status=503)
    form = LabelForm(
        request.POST or None, request=request, initial={"size": "a8", "elements": labels.WORKPLACE} | (initial or {})
    )

    def act(*, size, elements, quantity, by):
        content = make(request.workshop, elements=elements, quantity=quantity)
        if not printing.label(content, size, _around(request, content)).fits:
            raise Refused("size", "Its words do not fit on this one: take a larger one, or the short form.")
        label = PrintedLabel(size=size, classes=content["classes"], content=content, **of)
        return operations.print_label(label, by=by)

    printed = SimpleLazyObject(lambda: PrintedLabel.objects.get(entry__key=form.cleaned_data["key"]))
    return write(request, form, act, to=printed, template="safety/label.html", context={"thing": thing})


def _around(request, content):
    address = qr.address(request, content["path"])
    return {
        "workshop": request.workshop,
        "printed_by": request.person,
        "code": qr.svg(address, title=f"Opens the safety summary of {content['name']}"),
        "caution": qr.caution(request),
    }
