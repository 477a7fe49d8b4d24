"""The first page, and what needs a hand, which is fetched by itself where it is not kept."""

from django.db.models import QuerySet
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.asked_often import asked_often
from inventory.models import Entry
from studio.bench import needs
from studio.bench.needs import Now
from studio.pages.fragment_cache import Dependency, cached_fragment, fragment_key, fragment_or_none
from studio.people import outbox
from studio.server import keeping
from studio.shelf.rows import anything_listed

LATEST = 6
MOST_URGENT = 5
# the same wherever it is shown and to whomever
ALIKE = {"regardless_of": (Dependency.ADDRESS, Dependency.ROLE)}


def bench(request):
    """How the baths stand, what to do, what needs a hand, what was written last."""
    now = Now(request.workshop)

    def top() -> str:
        """How the baths stand and what to do, as far as the role may do it."""
        shown = {
            "workshop": now.workshop,
            "today": timezone.localtime(now.at),
            "baths": now.baths,
            "running": now.running,
            "is_keyholder": request.is_keyholder,
            "is_viewer": request.is_viewer,
            "asks_for_lines": request.is_keyholder and now.workshop.asks_for_lines,
            "shelf_is_empty": not anything_listed(),
        }
        return render_to_string("bench/_top.html", shown)

    def latest() -> str:
        return render_to_string("bench/_latest.html", {"latest": latest_entries()})

    shown = {
        "top": cached_fragment("bench", request, make=top),
        "needs": fragment_or_none(fragment_key("needs", request, **ALIKE)),
        # outside of what is kept: a mail fails by itself, and the book says nothing of it
        "unsent": outbox.unsent() if request.is_keyholder else 0,
        "backup_warning": "" if not request.is_keyholder or now.workshop.is_demo else keeping.standing.warning,
        "latest": cached_fragment("latest", request, **ALIKE, make=latest),
    }
    return render(request, "bench/bench.html", shown)


@asked_often
def latest_entries() -> QuerySet[Entry]:
    return Entry.objects.select_related("done_by", "struck_by").latest_first()[:LATEST]


def needs_of_the_day(request):
    """What needs a hand: a piece of the bench, or a page of its own where no script fetches it."""

    def make() -> str:
        items = needs.action_items(Now(request.workshop))
        shown = {"first": items[:MOST_URGENT], "rest": items[MOST_URGENT:], "count": len(items)}
        return render_to_string("bench/_needs.html", shown)

    piece = cached_fragment("needs", request, **ALIKE, make=make)
    return render(request, "bench/_piece.html" if request.htmx else "bench/needs.html", {"piece": piece})
