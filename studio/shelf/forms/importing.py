from django import forms

from inventory import lists
from inventory.models import Place
from studio.pages.fields import PlainForm
from studio.pages.writing import SignedForm


class FileForm(PlainForm):
    """The list, as a spreadsheet saved it."""

    file = forms.FileField(
        label="The list",
        help_text=f"CSV or XLSX, at most {lists.LARGEST_BYTES // 1_000_000} MB and {lists.MOST_ROWS} lines.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        error_messages={"empty": "That file is empty."},
    )
    place = forms.ModelChoiceField(
        Place.objects.all(), label="Where stands what names no place?", empty_label="choose a place"
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > lists.LARGEST_BYTES:
            raise forms.ValidationError(
                f"The file is larger than {lists.LARGEST_BYTES // 1_000_000} MB; bring it in part by part."
            )
        return file


class BringInForm(SignedForm):
    """Everything that the preview says is coming."""
