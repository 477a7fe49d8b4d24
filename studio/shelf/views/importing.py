"""Bringing in an existing list: the file, its preview row by row, and the one entry."""

from collections import Counter

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory import lists
from inventory.importing import COMING, Outcome
from inventory.models import Place
from inventory.refusals import Refused
from studio.pages.fields import PlainForm
from studio.pages.views import EntryView
from studio.people.roles import keyholder_required
from studio.shelf import bringing_in
from studio.shelf.bringing_in import PREVIEW_KEPT
from studio.shelf.models import ImportedFile

AT_ONCE = 50
WORST_FIRST = (Outcome.NOT_UNDERSTOOD, Outcome.NEW_MATERIAL, Outcome.NEW_CONTAINER, Outcome.THERE)
LEVELS = {Outcome.NOT_UNDERSTOOD: "act", Outcome.THERE: "look"}


class FileForm(PlainForm):
    file = forms.FileField(
        label=gettext_lazy("The list"),
        help_text=gettext_lazy("CSV or XLSX, at most %(LARGEST_BYTES)s MB and %(MOST_ROWS)s lines.")
        % {"LARGEST_BYTES": lists.LARGEST_BYTES // 1000000, "MOST_ROWS": lists.MOST_ROWS},
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        error_messages={"empty": gettext_lazy("That file is empty.")},
    )
    place = forms.ModelChoiceField(
        Place.objects.all(),
        label=gettext_lazy("Where stands what names no place?"),
        empty_label=gettext_lazy("choose a place"),
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > lists.LARGEST_BYTES:
            raise forms.ValidationError(
                _("The file is larger than %(LARGEST_BYTES)s MB; bring it in part by part.")
                % {"LARGEST_BYTES": lists.LARGEST_BYTES // 1000000}
            )
        return file


@keyholder_required
def import_file(request):
    form = FileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        file, place = form.cleaned_data["file"], form.cleaned_data["place"]
        try:
            return redirect(bringing_in.read(file.read(), file.name, place=place, by=request.person))
        except Refused as refusal:
            form.refuse(refusal)
    # without their rows, which are the whole of each file: the page shows but the names
    files = ImportedFile.objects.select_related("entry", "brought_by").defer("rows")[:5]
    context = {"form": form, "headings": lists.headings(), "files": files, "kept_days": PREVIEW_KEPT.days}
    return render(request, "shelf/import.html", context)


@keyholder_required
def import_progress(request, imported):
    """In a few words how far it has come, for the page that waits."""
    file = get_object_or_404(ImportedFile.objects.defer("rows"), pk=imported)
    return HttpResponse(bringing_in.progress_of(file), content_type="text/plain", headers={"Cache-Control": "no-store"})


class ImportPreviewView(EntryView):
    """What each row would do, what is not understood first; and the button that does it."""

    success_url = "book:book"
    queryset = ImportedFile.objects.select_related("entry", "place")
    keyholder_only = True

    def instead(self):
        if self.object.is_in_the_book:
            return redirect(self.object.entry)

    def get_context_data(self):
        plan = bringing_in.plan(self.object, self.request.workshop.cups)
        lines = sorted(plan, key=lambda line: WORST_FIRST.index(line.outcome))
        times = Counter(line.outcome for line in lines)
        page = Paginator(lines, AT_ONCE).get_page(self.request.GET.get("page"))
        return super().get_context_data() | {
            "file": self.object,
            "sums": [(each, LEVELS.get(each, "fine"), times[each]) for each in WORST_FIRST if times[each]],
            "coming": sum(times[outcome] for outcome in COMING),
            "page": page,
            "rows": [(line, LEVELS.get(line.outcome, "fine")) for line in page],
        }

    # planned anew when it is written: the shelf may have changed since the preview was shown
    def write(self, **facts):
        return bringing_in.write(self.object, cups=self.request.workshop.cups, **facts)
