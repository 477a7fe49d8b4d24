"""The closing lists: to tick on the phone, to print for the wall."""

from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone

from studio.baths.descriptions import describe_baths
from studio.bench import closing, everything
from studio.bench.closing import Checklist
from studio.pages import errands
from studio.people import door
from studio.people.roles import keyholder_required
from studio.printing import papers
from studio.shelf.models import Ticked


def lists(request):
    return render(request, "bench/closing.html", {"titles": closing.TITLES.items()})


def closing_list(request, which):
    """What is to do, and who has done what of it."""
    which = which_or_404(which)
    return render(request, "bench/closing_list.html", ticked_list(request, which))


def closing_paper(request, which):
    which = which_or_404(which)
    return papers.answer(
        request, "bench/papers/closing_list.html", ticked_list(request, which), title=closing.TITLES[which]
    )


@errands.button
def tick(request, which):
    """One line done, or not done after all; or the whole list begun anew."""
    # a list to tick is a note pad beside the book: its lines are no entries, and may go
    which, line = which_or_404(which), request.POST.get("line", "")[:60]
    ticked = Ticked.objects.filter(which=which)
    if "anew" in request.POST:
        ticked.delete()
    elif "undo" in request.POST:
        ticked.filter(line=line).delete()
    elif line:
        Ticked.objects.get_or_create(which=which, line=line, defaults={"by": request.person, "at": timezone.now()})
    return redirect("bench:closing_list", which)


def which_or_404(text):
    try:
        return Checklist(text)
    except ValueError:
        raise Http404 from None


def ticked_list(request, which):
    baths = describe_baths(None, request.workshop.units)
    ticked = {each.line: each for each in Ticked.objects.filter(which=which).select_related("by")}
    parts = [
        (part.title, [(line, ticked.get(line.key)) for line in part.lines])
        for part in closing.parts(which, baths, timezone.localdate())
    ]
    left = sum(tick is None for _, lines in parts for _, tick in lines)
    return {"which": which, "title": closing.TITLES[which], "parts": parts, "left": left, "has_ticks": bool(ticked)}


@keyholder_required
def take_everything(request):
    """The whole book as files that outlive this program."""
    door.read_private(request, "who was hurt in any incident, and whatever else the book holds")
    return everything.answer(timezone.get_current_timezone())
