"""Counting by place: begin, look blind from jar to jar or on paper, see what differs, decide."""

from django.contrib import messages
from django.db.models import Prefetch
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Container, Place
from inventory.refusals import Refused
from studio.pages import errands
from studio.pages.views import EntryView
from studio.people.roles import writers_only
from studio.printing import papers
from studio.shelf import counting
from studio.shelf.forms.counting import CountPaperForm, DecideForm, FoundForm, NoteForm
from studio.shelf.models import CountSheet

LATEST = 12
PAPER_AT_ONCE = 400
BLANK_BESIDE, BLANK_OF_AN_EMPTY_PLACE = 5, 18
LEFT_AT_ONCE = 100
SHEETS = CountSheet.objects.select_related("place", "begun_by")
REASONS = (
    gettext_lazy("Used and not written down"),
    gettext_lazy("Misread last time"),
    gettext_lazy("Dried up or spoilt"),
    gettext_lazy("Given away"),
    gettext_lazy("Part tin, by eye"),
)


def counts(request):
    """Every place with its open count, and the counts finished last."""
    sheets = CountSheet.objects.select_related("begun_by")
    open_ones = Prefetch("count_sheets", sheets.filter(finished_at=None), to_attr="open_counts")
    finished = sheets.exclude(finished_at=None).select_related("place")[:LATEST]
    words = request.GET.get("words", "").strip()
    places = Place.objects.listed().filter(name__icontains=words).prefetch_related(open_ones)
    return render(request, "shelf/counts.html", {"places": places, "words": words, "finished": finished})


@errands.button
def begin_count(request, place):
    return redirect(counting.begin(get_object_or_404(Place, pk=place), by=request.person))


@writers_only
@errands.may_be_left
def count_sheet(request, sheet):
    """One container after another; which one comes next may be chosen, left for later, or found by its code."""
    shown = get_object_or_404(SHEETS, pk=sheet)
    if shown.finished_at:
        return redirect(shown)
    # one more than is shown tells whether there is more
    left = list(shown.left()[: LEFT_AT_ONCE + 1])
    container = container_asked_for(request, left)
    found = FoundForm(request.GET if "code" in request.GET else None)
    # a jar that the book has elsewhere is counted too: what somebody sees here, is here
    if found.is_bound and found.is_valid() and not container:
        container = Container.objects.select_related("material", "place").get(code=found.cleaned_data["code"])
    told = {"container": container, "cups": request.workshop.cups}
    form = errands.form_of(request, NoteForm, **told) if container else None
    if form and form.is_bound and form.is_valid() and is_noted(request, shown, form):
        return redirect(shown)
    context = {
        "sheet": shown,
        "container": container,
        "form": form,
        "found": found,
        "left": left[:LEFT_AT_ONCE],
        "has_more": len(left) > LEFT_AT_ONCE,
        "done": shown.lines.select_related("container__material").order_by("-counted_at", "-pk")[:5],
        "number": shown.lines.count(),
    }
    return render(request, "shelf/count_sheet.html", context)


def container_asked_for(request, left):
    """The container of the address; without one the next on the sheet, after those left for later."""
    code = request.GET.get("code", "")
    if code:
        return next((jar for jar in left if jar.code.casefold() == code.strip().casefold()), None)
    # what was left for later comes round again once the others are counted
    after = request.GET.get("after", "")
    passed = next((number for number, jar in enumerate(left, 1) if jar.code == after), 0)
    return next(iter(left[passed:] or left), None)


def is_noted(request, sheet, form, at=None) -> bool:
    try:
        counting.note(sheet, form.amounts(), by=request.person, at=at)
    except Refused as refusal:
        form.refuse(refusal)
        return False
    return True


@writers_only
@errands.may_be_left
def count_from_paper(request, sheet):
    """The whole sheet at once, as it was filled in by pencil."""
    shown = get_object_or_404(CountSheet.objects.select_related("place"), pk=sheet)
    if shown.finished_at:
        return redirect(shown)
    told = {"containers": shown.left()[:LEFT_AT_ONCE], "cups": request.workshop.cups}
    form = errands.form_of(request, CountPaperForm, **told)
    if form.is_bound and form.is_valid() and is_noted(request, shown, form, form.cleaned_data["happened_at"]):
        messages.success(request, _("%(amounts)s noted.") % {"amounts": len(form.amounts())})
        return redirect(shown)
    return render(request, "shelf/count_from_paper.html", {"sheet": shown, "form": form})


def count_paper(request, sheet):
    """The sheet to print: what stands here and a box for each, without what the book has."""
    shown = get_object_or_404(CountSheet.objects.select_related("place"), pk=sheet)
    containers = list(shown.left()[:PAPER_AT_ONCE])
    context = {
        "sheet": shown,
        "containers": containers,
        "is_cut": len(containers) == PAPER_AT_ONCE,
        # an empty place is counted too: whatever is found there was put there and not written down
        "blank": range(BLANK_BESIDE if containers else BLANK_OF_AN_EMPTY_PLACE),
    }
    return papers.answer(
        request, "shelf/papers/count_sheet.html", context, title=_("Count sheet: %(place)s") % {"place": shown.place}
    )


@errands.button
def finish_count(request, sheet):
    finished = get_object_or_404(CountSheet, pk=sheet)
    # a second tap goes on as the first did
    if not finished.finished_at:
        counting.finish(finished)
    return redirect("shelf:count_differences", finished.pk)


def count_differences(request, sheet):
    """What was counted beside what the book had at that moment."""
    shown = get_object_or_404(SHEETS, pk=sheet)
    lines = list(shown.lines.with_book().select_related("container__material", "counted_by", "entry"))
    for line in lines:
        material = line.container.material
        line.shown_book, line.shown_amount = material.show(line.book), material.show(line.amount)
        line.shown_difference = material.signed(line.amount - line.book)
    differing = [line for line in lines if line.amount != line.book]
    context = {
        "sheet": shown,
        "differing": differing,
        "undecided": [line for line in differing if not line.is_decided],
        "agreeing": [line for line in lines if line.amount == line.book],
        "missed": shown.left()[:LEFT_AT_ONCE],
    }
    return render(request, "shelf/count_differences.html", context)


class DecideCountView(EntryView):
    form_class = DecideForm
    operation = staticmethod(counting.decide)
    queryset = SHEETS
    keyholder_only = True
    form_wants = "sheet"

    def get_context_data(self):
        return super().get_context_data() | {"sheet": self.object, "reasons": REASONS}

    def go_on(self, entry):
        return redirect("shelf:count_differences", self.object.pk)
