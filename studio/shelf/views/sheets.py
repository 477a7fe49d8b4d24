"""Suppliers' safety sheets: filed, handed out, missed."""

from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Material, SafetySheet
from studio.pages.documents import DocumentField, hand_over
from studio.pages.fields import DayField
from studio.pages.sections import sections_of
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
from studio.shelf import operations

AT_ONCE = 300


class SafetySheetForm(SignedForm):
    file = DocumentField(
        label=gettext_lazy("The sheet"),
        required=True,
        help_text=gettext_lazy("The supplier’s own as PDF, or photographs of its pages in their order."),
    )
    dated_on = DayField(
        label=gettext_lazy("Date of the sheet"), help_text=gettext_lazy("On its first page, as “revision” or “issued”.")
    )

    def facts(self):
        return super().facts() | self.cleaned_data["file"]._asdict()


class FileSheetView(EntryView):
    form_class = SafetySheetForm
    operation = staticmethod(operations.file_sheet)
    queryset = Material.objects.all()

    def get_context_data(self):
        return super().get_context_data() | {"sheets": self.object.safety_sheets.select_related("entry__struck_by")}


def safety_sheet(request, pk):
    sheet = get_object_or_404(SafetySheet.objects.select_related("material"), pk=pk)
    return hand_over(sheet.file, f"safety-sheet-{slugify(sheet.material.name)}-{sheet.dated_on:%Y-%m-%d}")


def missing_sheets(request):
    """One list of what has no sheet on file, for whoever asks the suppliers."""
    missing = list(Material.objects.without_sheet().with_on_hand()[:AT_ONCE])
    said = sections_of("missing sheets", materials=missing)
    lines = [(_(each.category), each, said.get(str(each.pk), "")) for each in missing]
    return render(request, "shelf/missing_sheets.html", {"missing": lines})
