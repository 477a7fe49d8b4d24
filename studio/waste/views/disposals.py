"""What left: handed over, corrected, refused, and the papers that came back."""

from functools import partial

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils.functional import SimpleLazyObject
from django.utils.text import slugify

from studio.book.revision import book_revision
from studio.pages import documents, fragment_cache
from studio.pages.writing import write
from studio.people.roles import keyholder_required
from studio.printing import papers
from studio.waste import content, record, whereabouts
from studio.waste import disposals as operations
from studio.waste.forms.disposals import ALL, CorrectionForm, HandOverForm, PaperForm, RefusalForm
from studio.waste.models import Disposal, Drum, ReceiverPaper
from studio.waste.record import Record

AT_ONCE = 200


def disposals(request):
    """All records, the newest first; those whose receipt is awaited on top."""
    whole = fragment_cache.cached_fragment(
        "disposals", book_revision(), request.is_keyholder, make=lambda: _all(request.is_keyholder)
    )
    return render(request, "waste/disposals.html", {"whole": whole})


def disposal(request, pk):
    """One record as it was written, what became of it, and whether the book still agrees."""
    key = ("disposal", pk, book_revision(), request.is_keyholder, request.workshop.time_zone)
    whole = fragment_cache.cached_fragment(*key, make=lambda: _whole(_record(pk), request.is_keyholder))
    return render(request, "waste/disposal.html", {"whole": whole})


def disposal_paper(request, pk):
    one = _record(pk)
    return papers.answer(request, "waste/papers/disposal.html", {"record": one}, title=f"{one.disposal}")


@keyholder_required
def hand_over(request):
    """With ?drum=3, as the page of a drum asks."""
    here = content.contents_of_drums(whereabouts.here().select_related("entry", "place")).values()
    goes = {f"goes-{pk}": ALL for pk in request.GET.getlist("drum")}
    form = HandOverForm(request.POST or None, request=request, contents=list(here), initial=goes)
    return write(request, form, operations.hand_over, to=_of(form), template="waste/hand_over.html")


@keyholder_required
def correct(request, pk):
    wrong = _record(pk)
    handed = [line.handed for line in wrong.lines if line.back is None]
    form = CorrectionForm(request.POST or None, request=request, wrong=wrong.disposal, handed=handed)
    act = partial(_correct, wrong.disposal)
    return write(request, form, act, to=_of(form), template="waste/correct.html", context={"record": wrong})


@keyholder_required
def refused(request, pk):
    """A drum that they did not take, or brought back."""
    drum = get_object_or_404(Drum.objects.standing(), pk=pk)
    left = whereabouts.left([drum]).get(drum.pk, "")
    form = RefusalForm(request.POST or None, request=request)
    act = partial(operations.refuse, drum)
    return write(request, form, act, to=drum, template="waste/refused.html", context={"drum": drum, "left": left})


@keyholder_required
def their_paper(request, pk):
    one = get_object_or_404(Disposal, pk=pk)
    form = PaperForm(request.POST or None, request.FILES or None, request=request)
    act = partial(operations.file_paper, one)
    return write(request, form, act, to=one, template="waste/their_paper.html", context={"disposal": one})


def scan(request, pk):
    paper = get_object_or_404(ReceiverPaper.objects.select_related("disposal"), pk=pk)
    if not paper.file:
        raise Http404("No scan came with it.")
    return documents.hand_over(paper.file, slugify(f"{paper.disposal} {paper.number or paper.pk}"))


def _all(is_keyholder: bool) -> str:
    records = record.of(Disposal.objects.order_by("-handed_over_at", "-pk")[:AT_ONCE])
    return render_to_string("waste/_disposals.html", {"records": records, "is_keyholder": is_keyholder})


def _whole(one: Record, is_keyholder: bool) -> str:
    return render_to_string("waste/_disposal.html", {"record": one, "is_keyholder": is_keyholder})


def _record(pk: int) -> Record:
    found = record.of(Disposal.objects.filter(pk=pk))
    if not found:
        raise Http404("There is no such record.")
    return found[0]


def _of(form) -> SimpleLazyObject:
    return SimpleLazyObject(lambda: Disposal.objects.get(entry__key=form.cleaned_data["key"]))


def _correct(wrong, *, right, **facts):
    return operations.correct(wrong, right, **facts)
