"""Reminders for a calendar: its secret address, and what is fetched there."""

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import conditional_page, require_safe

from studio.drawing import qr
from studio.pages.fragment_cache import cached_fragment
from studio.pages.views import EntryView
from studio.waste import addresses, reminders
from studio.waste.models import CalendarAddress


def calendar(request):
    """The address of whoever asks, and what is due."""
    person, sees_everybody = request.person, request.is_keyholder

    def due() -> str:
        found = reminders.due(request.workshop, person, sees_everybody=sees_everybody, now=timezone.now())
        return render_to_string("waste/_due.html", {"due": found})

    shown = {
        # a PIN is soon watched, and whoever has the address needs none
        "address": None if request.is_at_tablet else _address(request),
        "due": cached_fragment("due", request, person.pk, make=due),
    }
    return render(request, "waste/calendar.html", shown)


class MakeAddressView(EntryView):
    success_url = "waste:calendar"
    operation = staticmethod(addresses.make)

    def instead(self):
        if self.request.is_at_tablet:
            raise PermissionDenied(_("An address is made where you sign in with your password."))

    def get_context_data(self):
        return super().get_context_data() | {"has_one": addresses.open_addresses(self.request.user).exists()}


shut_address = EntryView.as_view(operation=addresses.shut, success_url="waste:calendar")


@login_not_required
@require_safe
@cache_control(private=True, max_age=3600)
@conditional_page
def fetch(request, token):
    """For whoever knows the address; one that was shut is not found."""
    opened = CalendarAddress.objects.open().select_related("entry__recorded_by__person")
    account = get_object_or_404(opened, token=token).entry.recorded_by
    # asked at every fetch: whoever gives back the keys sees from then on what is theirs
    sees_everybody = account.person.is_keyholder
    workshop = request.workshop

    def make() -> str:
        from studio.waste import feed  # 5 MB of calendars that few ask for

        due = reminders.due(workshop, account.person, sees_everybody=sees_everybody, now=timezone.now())
        return feed.calendar(workshop.name, due, address=lambda path: qr.address(request, path)).decode()

    # the secret address is part of the key, so whoever asks is who it was made for
    content = cached_fragment("reminders", request, account.pk, sees_everybody, make=make)
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers={"X-Robots-Tag": "noindex"})


def _address(request) -> dict[str, str] | None:
    one = addresses.open_addresses(request.user).first()
    if one is None:
        return None
    url = qr.address(request, one.get_absolute_url())
    return {"url": url, "code": qr.svg(url, title=_("Address of your reminders")), "caution": qr.caution(request)}
