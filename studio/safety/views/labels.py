"""Labels: chosen and written down as printed, then opened as paper."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.functional import cached_property
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.utils.translation import gettext as _

from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.drawing import qr
from studio.pages.fields import PlainForm, WholeNumberField
from studio.pages.views import EntryView
from studio.printing import papers
from studio.printing.label_sizes import SIZES
from studio.safety import labels, operations, printing
from studio.safety.forms import MOST_COPIES, LabelForm
from studio.safety.models import PrintedLabel
from studio.safety.printing import ComposedLabel

LOOKED_AT = ("elements", "size", "quantity", "on_sheet")


class SheetForm(PlainForm):
    copies = WholeNumberField(min_value=1, max_value=MOST_COPIES, required=False)


class LabelView(EntryView):
    """Ask which label; what it carries is written in the book before it is printed."""

    form_class, template_name = LabelForm, "safety/label.html"

    def instead(self):
        if reason := papers.available():
            context = {"title": _("Label: %(name)s") % {"name": self.object}, "reason": reason}
            return render(self.request, "no_papers.html", context, status=503)

    def get(self, request, *args, **kwargs):
        if request.htmx:
            return render(request, "safety/_label_preview.html", {"preview": self.preview(request.GET)})
        return super().get(request, *args, **kwargs)

    def get_initial(self):
        return {"size": "a8", "elements": labels.WORKPLACE}

    def get_context_data(self):
        context = super().get_context_data()
        if self.request.method == "GET":
            self.choose_a_size_with_room(context["form"])
        asked = self.request.POST or {name: context["form"][name].value() or "" for name in LOOKED_AT}
        return context | {"thing": self.object, "preview": self.preview(asked)}

    def choose_a_size_with_room(self, form) -> None:
        """The usual one for what the vessel holds, or the next that has room for the words."""
        chosen, sizes = form.initial, list(SIZES)
        content = self.content(chosen["elements"], chosen.get("quantity", ""))
        larger = sizes[sizes.index(chosen["size"]) :]
        fitting = (size for size in larger if self.compose(content, size, on_sheet=False).fits)
        form.initial["size"] = next(fitting, larger[-1])

    def preview(self, asked) -> ComposedLabel | None:
        """The label as it would be printed; None where what was chosen is no label."""
        elements, size = asked.get("elements"), asked.get("size")
        if elements not in labels.ELEMENTS or size not in SIZES:
            return None
        return self.compose(
            self.content(elements, asked.get("quantity", "")), size, on_sheet=bool(asked.get("on_sheet"))
        )

    def compose(self, content: dict, size: str, *, on_sheet: bool) -> ComposedLabel:
        sheet = labels.sheet_for(size, self.request.workshop.paper) if on_sheet else None
        content = labels.on_size(content, size, self.request.workshop.region)
        return printing.compose(content, size, around(self.request, content), sheet)

    def content(self, elements: str, quantity: str) -> dict:
        """Worked out once, however many sizes are tried."""
        if (elements, quantity) not in self.contents:
            self.contents[elements, quantity] = self.work_out(elements=elements, quantity=quantity)
        return self.contents[elements, quantity]

    @cached_property
    def contents(self) -> dict[tuple[str, str], dict]:
        return {}

    def work_out(self, **chosen: Any) -> dict:
        return labels.label_of_material(self.object, self.request.workshop, **chosen)

    @property
    def holds_l(self) -> float:
        """As far as the book knows: of some other vessel, nothing."""
        return labels.litres_of(self.object) if isinstance(self.object, Container | Bath) else 0.0

    def label(self, **printed) -> PrintedLabel:
        return PrintedLabel(material=self.object, **printed)

    def write(self, *, size, elements, quantity, on_sheet, copies, by):
        content = labels.on_size(self.content(elements, quantity), size, self.request.workshop.region)
        if content.get("by_code") and self.holds_l > SIZES[size].most_l:
            raise Refused("size", _("It holds more than that: take a larger label, which has every word."))
        # tried before it is in the book: what says that it was printed must have fitted on its label
        if not self.compose(content, size, on_sheet=on_sheet or copies > 1).fits:
            raise Refused("size", _("Its words do not fit on this one: take a larger one, or the short form."))
        return operations.print_label(self.label(size=size, classes=content["classes"], content=content), by=by)

    def go_on(self, entry):
        asked = {name: value for name in ("copies", "on_sheet") if (value := self.request.POST.get(name))}
        page = PrintedLabel.objects.get(entry=entry).get_absolute_url()
        return redirect(f"{page}?{urlencode(asked)}" if asked else page)


class ContainerLabelView(LabelView):
    queryset = Container.objects.select_related("material", "place")

    def get_initial(self):
        jar = self.object
        return super().get_initial() | {"quantity": jar.shown_on_hand(), "size": labels.usual_size(jar)}

    def work_out(self, **chosen):
        return labels.label_of_material(self.object.material, self.request.workshop, container=self.object, **chosen)

    def label(self, **printed):
        return PrintedLabel(material=self.object.material, container=self.object, **printed)


class BathLabelView(LabelView):
    queryset = Bath.objects.select_related("place")

    def get_initial(self):
        return super().get_initial() | {"size": labels.usual_size(self.object)}

    def work_out(self, **chosen):
        return labels.label_of_bath(status_of_baths([self.object])[0], self.request.workshop, **chosen)

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
    how = SheetForm(request.GET)
    copies = (how.is_valid() and how.cleaned_data["copies"]) or 1
    sheet = labels.sheet_for(label.size, request.workshop.paper) if request.GET.get("on_sheet") or copies > 1 else None
    pdf = printing.compose(label.content, label.size, around(request, label.content), sheet).pdf(copies)
    name = content_disposition_header(as_attachment=False, filename=f"{slugify(label)}.pdf")
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def around(request, content):
    address = qr.address(request, content["path"])
    return {
        "workshop": request.workshop,
        "printed_by": request.person,
        "code": qr.svg(address, title=_("Opens the safety summary of %(content)s") % {"content": content["name"]}),
        "caution": qr.caution(request),
    }
