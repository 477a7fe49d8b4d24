import copy

from django.conf import settings
from django.contrib.auth import logout
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.facts import history as fact_history
from inventory.models import Container, Entry, Material, Person
from studio.pages.sections import sections_of
from studio.pages.views import EntryView
from studio.printing import papers
from studio.server import database, health, keeping, network
from studio.workshop import operations
from studio.workshop.forms import SettingsForm
from studio.workshop.regions import METRIC, STATES

ASKED = gettext_lazy("asked for before a bite, a solvent and the cutting of copper; keyholders are never stopped")
NO_LINE_YET = gettext_lazy("none yet: a keyholder writes it down under “Change the settings”")


def studio(request):
    context = {"studio_facts": studio_facts(request.workshop), "fact_history": fact_history(request.workshop)}
    if request.is_keyholder:
        context["keeping"] = [
            (_("Database"), database.described()),
            (_("Data folder"), settings.DATA),
            (_("Disk"), health.disk().words),
            (_("Backups"), how_kept(request.workshop) % {"place": keeping.storage().place}),
            (_("Last backup"), keeping.standing.words),
            (_("Papers"), papers.available() or _("can be printed here")),
        ]
        context["addresses"] = addresses_in_codes(request)
        # what differs from the browser's address line was changed on the way
        context["seen"] = [
            (_("Scheme"), request.scheme),
            (_("Host"), request.get_host()),
            (_("Your address"), network.client_address(request)),
            (_("Proxies in front"), settings.PROXIES),
        ]
    context["sections"] = sections_of("studio", request=request)
    return render(request, "workshop/studio.html", context)


class ChangeSettingsView(EntryView):
    form_class, success_url = SettingsForm, "workshop:studio"
    keyholder_only = True

    def get_form_kwargs(self):
        # a copy, because a form that is refused has filled its row already
        return {"instance": copy.copy(self.request.workshop)}

    def write(self, **facts):
        return operations.change(self.request.workshop, **facts)


def begin_own(request):
    """From the demo to an own book: says what goes, then empties it and leads to the beginning."""
    if not request.workshop.is_demo:
        raise Http404
    if not request.is_keyholder:
        raise PermissionDenied(_("The demo’s keyholder, maren, may empty it."))
    if request.method == "POST":
        operations.empty_the_demo()
        logout(request)
        return redirect("workshop:begin")
    goes = [
        (_("Lines of the book"), Entry.objects.count()),
        (_("Materials"), Material.objects.listed().count()),
        (_("Containers"), Container.objects.count()),
        (_("People, with their accounts"), Person.objects.count()),
    ]
    return render(request, "workshop/begin_own.html", {"goes": goes})


def studio_facts(workshop):
    fields, is_american = workshop.fact_fields(), workshop.region == workshop.Region.US
    shown = [
        "waste_from",
        "region",
        *(["us_state", "acute_waste"] if is_american else []),
        "time_zone",
    ]
    facts = {name: workshop.shown_fact(name, workshop.fact(name)) for name in [*shown, *METRIC]}
    if workshop.us_state:
        facts["us_state"] = f"{STATES[workshop.us_state]} ({workshop.us_state})"
    without = "none" if workshop.is_without_lines else NO_LINE_YET
    facts["address"] = workshop.address or _("none in the book yet")
    facts |= {name: getattr(workshop, name) or without for name in ("emergency_line", "poison_line", "keyholder_line")}
    induction = ASKED if workshop.asks_for_induction else _("kept as a list; nobody is stopped")
    code = (
        _("Code beside the password"),
        _("asked of keyholders") if workshop.asks_keyholders_for_code else _("for whoever wants one"),
    )
    return [
        *((capfirst(fields[name].verbose_name), value) for name, value in facts.items()),
        (_("Induction"), induction),
        code,
    ]


def how_kept(workshop):
    if workshop.is_demo:
        return _("of the demo none by itself; python3 manage.py backup makes one in %(place)s")
    return _("each day into %(place)s; python3 manage.py backup, at any time")


def addresses_in_codes(request):
    if settings.PUBLIC_URL:
        return [(_("Printed codes open"), settings.PUBLIC_URL), (_("Chosen by"), _("MORDANT_URL or start --share"))]
    here = request.build_absolute_uri(reverse("bench:bench"))
    return [
        (_("Printed codes open"), _("the address of whoever prints: now %(here)s") % {"here": here}),
        (_("To fix it"), _("set MORDANT_URL, or a code printed on this machine opens nothing on a phone")),
    ]
