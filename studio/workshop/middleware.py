"""Every request knows whose book it reads, and in whose time."""

import zoneinfo

from django.core.cache import cache
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from chemistry import locale
from inventory.models import Entry
from studio.server import network
from studio.workshop.models import Workshop


def workshop(get_response):
    """
    Put book and workshop on the request, the clock and the figures of the workshop on the thread.

    Without one, lead to its beginning.
    """

    def middleware(request):
        request.book_revision = Entry.objects.revision()
        request.workshop = workshop_at(request.book_revision)
        if request.workshop is None:
            if request.path in (reverse("workshop:begin"), reverse("first_aid")):
                return get_response(request)
            return redirect("workshop:begin")
        if request.workshop.is_demo and not network.is_this_machine(request):
            # the demo's password is printed in the README
            return render(request, "workshop/demo_stays_here.html", status=403)
        with timezone.override(zoneinfo.ZoneInfo(request.workshop.time_zone)), locale.override(request.workshop.units):
            return get_response(request)

    return middleware


def workshop_at(revision: tuple[object, ...]) -> Workshop | None:
    """The studio's row, fetched anew once the book has gone on: what is known of it changes by an entry alone."""
    kept: tuple[tuple[object, ...], Workshop] | None = cache.get("workshop")
    if kept and kept[0] == revision:
        return kept[1]
    workshop = Workshop.objects.first()
    if workshop:
        cache.set("workshop", (revision, workshop), None)
    return workshop


def workshop_on_pages(request):
    """The studio's row for every template: its name, its units, whether it is the demo."""
    return {"workshop": getattr(request, "workshop", None)}
