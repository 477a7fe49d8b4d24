"""Suppliers' safety sheets: filed, handed out, missed."""

from django import forms
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify

from inventory.models import Material, SafetySheet
from studio.pages import uploads
from studio.pages.fields import DayField
from studio.pages.sections import sections_of
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
from studio.shelf import operations

AT_ONCE = 300


class SafetySheetForm(SignedForm):
    file = forms.FileField(
        label="The sheet",
        help_text=f"The supplier's own, as PDF, at most {uploads.shown_size(uploads.LARGEST_BYTES)}.",
        widget=forms.FileInput(attrs={"accept": "application/pdf,.pdf"}),
        error_messages={"empty": "That file is empty."},
    )
    dated_on = DayField(
        label="Date of the sheet",
        help_text="On its first page, as “revision” or “issued”.",
    )

    def clean_file(self):
        # only who files a sheet waits for the reader
        from studio.printing import uploaded_pdf

        self.sha256 = uploaded_pdf.check(self.cleaned_data["file"])
        return self.cleaned_data["file"]

    def facts(self):
        return super().facts() | {"sha256": self.sha256}


class FileSheetView(EntryView):
    form_class = SafetySheetForm
    operation = staticmethod(operations.file_sheet)
    queryset = Material.objects.all()

    def get_context_data(self):
        return super().get_context_data() | {"sheets": self.object.safety_sheets.select_related("entry__struck_by")}


def safety_sheet(request, pk):
    """Handed over to be kept, never opened inside the book's own pages."""
    sheet = get_object_or_404(SafetySheet.objects.select_related("material"), pk=pk)
    try:
        file = sheet.file.open()
    except FileNotFoundError as error:
        raise Http404("The file of this sheet is gone.") from error
    name = f"safety-sheet-{slugify(sheet.material.name)}-{sheet.dated_on:%Y-%m-%d}.pdf"
    # a supplier's file is not ours: opened in a browser it may do nothing at all
    headers = {"Content-Security-Policy": "default-src 'none'; sandbox", "X-Content-Type-Options": "nosniff"}
    return FileResponse(file, as_attachment=True, filename=name, content_type="application/pdf", headers=headers)


def missing_sheets(request):
    """One list of what has no sheet on file, for whoever asks the suppliers."""
    missing = Material.objects.without_sheet().with_on_hand()[:AT_ONCE]
    said = sections_of("missing sheets", materials=list(missing))
    return render(
        request, "shelf/missing_sheets.html", {"missing": [(each, said.get(str(each.pk), "")) for each in missing]}
    )
