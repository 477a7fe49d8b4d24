"""Labels: chosen and written down as printed, then opened as paper."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import content_disposition_header
from django.utils.text import slugify

from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.drawing import qr
from studio.pages.views import EntryView
from studio.printing import papers
from studio.safety import labels, operations, printing
from studio.safety.forms import LabelForm
from studio.safety.models import PrintedLabel


class LabelView(EntryView):
    """Ask which label; what it carries is written in the book before it is printed."""

    form_class, template_name = LabelForm, "safety/label.html"

    def instead(self):
        if reason := papers.available():
            context = {"title": f"Label: {self.object}", "reason": reason}
            return render(self.request, "no_papers.html", context, status=503)

    def get_initial(self):
        return {"size": "a8", "elements": labels.WORKPLACE}

    def get_context_data(self):
        return super().get_context_data() | {"thing": self.object}

    def content(self, elements: str, quantity: str) -> dict:
        return labels.label_of_material(self.object, self.request.workshop, elements=elements, quantity=quantity)

    def label(self, **printed) -> PrintedLabel:
        return PrintedLabel(material=self.object, **printed)

    def write(self, *, size, elements, quantity, by):
        content = self.content(elements, quantity)
        # tried before it is in the book: what says that it was printed must have fitted on its label
        if not printing.label(content, size, around(self.request, content)).fits:
            raise Refused("size", "Its words do not fit on this one: take a larger one, or the short form.")
        return operations.print_label(self.label(size=size, classes=content["classes"], content=content), by=by)

    def go_on(self, entry):
        return redirect(PrintedLabel.objects.get(entry=entry))


class ContainerLabelView(LabelView):
    queryset = Container.objects.select_related("material", "place")

    def get_initial(self):
        jar = self.object
        return super().get_initial() | {"quantity": jar.shown_on_hand(), "size": labels.usual_size(jar)}

    def content(self, elements, quantity):
        jar, told = self.object, {"elements": elements, "quantity": quantity}
        return labels.label_of_material(jar.material, self.request.workshop, container=jar, **told)

    def label(self, **printed):
        return PrintedLabel(material=self.object.material, container=self.object, **printed)


class BathLabelView(LabelView):
    queryset = Bath.objects.select_related("place")

    def get_initial(self):
        return super().get_initial() | {"size": labels.usual_size(self.object)}

    def content(self, elements, quantity):
        return labels.label_of_bath(status_of_baths([self.object])[0], self.request.workshop, elements=elements)

    def label(self, **printed):
        return PrintedLabel(bath=self.object, **printed)


# of a material that was put into some other vessel
label_material = LabelView.as_view(queryset=Material.objects.all())


def label_paper(request, pk):
    """The label as it went to the printer, once more."""
    label = get_object_or_404(PrintedLabel.objects.select_related("material", "container", "bath"), pk=pk)
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": str(label), "reason": reason}, status=503)
    # from what was kept: made anew it would say what is known today, and not what is stuck on the jar
    pdf = printing.label(label.content, label.size, around(request, label.content)).pdf
    name = content_disposition_header(as_attachment=False, filename=f"{slugify(label)}.pdf")
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def around(request, content):
    address = qr.address(request, content["path"])
    return {
        "workshop": request.workshop,
        "printed_by": request.person,
        "code": qr.svg(address, title=f"Opens the safety summary of {content['name']}"),
        "caution": qr.caution(request),
    }
