"""A place: what stands there, how much of it burns, what must not stand together."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from inventory.facts import history as fact_history
from inventory.models import Place
from studio.safety.places import co_storage_of_place
from studio.shelf.tables import level

AT_ONCE = 500


def place(request, pk):
    shown = get_object_or_404(Place, pk=pk)
    here, jars = co_storage_of_place(shown, request.workshop)
    today = timezone.localdate()
    states = [(jar, jar.state_on(today)) for jar in jars[:AT_ONCE]]
    context = {
        "place": shown,
        "fact_history": fact_history(shown),
        "here": here,
        "standing": [(jar, level(state), state) for jar, state in states],
        "vessels": here.vessels,
        "is_cut": len(jars) > AT_ONCE,
    }
    return render(request, "safety/place.html", context)
