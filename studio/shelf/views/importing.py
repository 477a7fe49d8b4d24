"""Bringing in an existing list: the file, its preview row by row, and the one entry."""

from collections import Counter
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.headings import FIELDS, WORDS
from inventory.importing import COMING, Outcome
from inventory.models import Place
from inventory.refusals import Refused
from studio.pages import errands
from studio.pages.views import EntryView
from studio.pages.writing import NextDeed
from studio.people.roles import keyholder_required
from studio.shelf import bringing_in
from studio.shelf.bringing_in import PREVIEW_KEPT
from studio.shelf.forms.importing import FileForm, ListForm, as_sent
from studio.shelf.models import ImportedFile
from studio.shelf.views.stickers import AT_ONCE as STICKERS_AT_ONCE

AT_ONCE = 25  # with their cells, as many fields as a form may have
LEVELS = {Outcome.NOT_UNDERSTOOD: "act", Outcome.THERE: "look", Outcome.LEFT_OUT: "look", Outcome.NO_THING: "look"}
WORST_FIRST = (Outcome.NOT_UNDERSTOOD, Outcome.THERE, Outcome.NO_THING, Outcome.LEFT_OUT, *COMING)


@keyholder_required
@errands.may_be_left
def import_file(request):
    form = errands.form_of(request, FileForm)
    if form.is_valid():
        file, place = form.cleaned_data["file"], form.cleaned_data["place"]
        try:
            with bringing_in.progress(request.person, _("opening the file")):
                return redirect(bringing_in.read(file.read(), file.name, place=place, by=request.person))
        except Refused as refusal:
            form.refuse(refusal)
    # without their sheets, which are the whole of each file: the page shows but the names
    files = ImportedFile.objects.select_related("entry", "brought_by").defer("sheets")[:5]
    headings = [(label, WORDS[name].replace("|", ", ")) for name, label in FIELDS.items()]
    context = {"form": form, "headings": headings, "files": files, "kept_days": PREVIEW_KEPT.days}
    return render(request, "shelf/import.html", context | {"has_places": Place.objects.listed().exists()})


@keyholder_required
def import_progress(request):
    """In a few words how far a list has come, for the page that waits."""
    told = bringing_in.progress_of(request.person)
    return HttpResponse(told, content_type="text/plain", headers={"Cache-Control": "no-store"})


class ImportPreviewView(EntryView):
    """What each row would do, what is not understood first; what may be changed of it; and the button that does it."""

    success_url = "shelf:shelf"
    queryset = ImportedFile.objects.select_related("entry", "place")
    keyholder_only = True

    def instead(self):
        if self.object.is_in_the_book:
            if self.request.method == "POST":
                messages.info(self.request, _("This list is in the book already. Strike its line to bring it anew."))
            return redirect(self.object.entry)

    def get_context_data(self):
        with bringing_in.progress(self.request.person, _("reading its rows")) as tell:
            plan = bringing_in.plan(self.object, self.request.workshop, tell=tell)
        lines = sorted(plan.lines, key=lambda line: (WORST_FIRST.index(line.outcome), not line.notes))
        times = Counter(line.outcome for line in lines)
        page = Paginator(lines, AT_ONCE).get_page(self.request.GET.get("page"))
        typed = errands.waiting(self.request) if self.form.is_taken_up else None
        asked = ListForm(plan=plan, rows=page, waiting=typed)
        rows = [(line, level_of(line), asked.of_row(line.number)) for line in page]
        return super().get_context_data() | {
            "file": self.object,
            "plan": plan,
            "asked": asked,
            "sums": [(each, LEVELS.get(each, "fine"), times[each]) for each in WORST_FIRST if times[each]],
            "coming": sum(line.containers for line in plan.coming if line.amount),
            "is_something_new": bool(plan.coming),
            "page": page,
            "rows": rows,
            "to_look_at": [each for each in rows if each[1] != "fine"],
            "as_meant": [each for each in rows if each[1] == "fine"],
        }

    def post(self, request, *args, **kwargs):
        errands.written(request)
        said, is_changed = (
            ListForm(request.POST),
            as_sent(request.POST.dict()) != request.POST.get("as_shown", as_sent({})),
        )
        if is_changed and said.is_valid():
            bringing_in.choose(self.object, said.said())
        # to other rows too, what was typed beside these is kept
        if page := request.POST.get("page", ""):
            return redirect(f"{request.path}?{urlencode({'page': page})}")
        if "look" not in request.POST and not is_changed:
            return super().post(request, *args, **kwargs)
        if "look" not in request.POST:
            messages.info(request, _("Changed as you said. Nothing is written yet: look at it, then bring it in."))
        return redirect(request.get_full_path())

    # planned anew when it is written: the shelf may have changed since the preview was shown
    def write(self, **facts):
        with bringing_in.progress(self.request.person, _("reading its rows")) as tell:
            return bringing_in.write(self.object, workshop=self.request.workshop, tell=tell, **facts)

    def next_deeds(self, entry):
        came = entry.movements.order_by("pk").values_list("container__code", flat=True)[:STICKERS_AT_ONCE]
        sheets = f"{reverse('shelf:stickers')}?{urlencode([('codes', code) for code in came])}"
        return [NextDeed(_("Print their stickers"), sheets)]


def level_of(line):
    return LEVELS.get(line.outcome, "look" if line.notes else "fine")
