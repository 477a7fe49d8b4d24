"""A bite as it happens: the plate is chosen, the current goes on, is read, and goes off."""

from contextlib import suppress
from uuid import UUID

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Entry
from studio.baths.models import Bath
from studio.bites import descriptions, exposure, operations
from studio.bites.account import BiteAccount
from studio.bites.fields import ExposedField
from studio.bites.forms.base import PLATES_AT_HAND
from studio.bites.forms.bites import ReadForm, StartForm, StopForm, StoppedForm, now_typed
from studio.bites.models import Bite, Plate
from studio.drawing import qr
from studio.pages.views import EntryView, ReadView
from studio.people.inductions import Task, why_not

MS_PER_S = 1000
NO_BATH = "bites/no_bath.html"
BITES = Bite.objects.with_stop().select_related("bath", "plate", "entry__done_by", "entry__struck_by")


def choose(request):
    """Which plate? One tap, and its own page asks the rest. Plates not bitten yet and one's own stand in front."""
    asked = request.GET.copy()
    words = "".join(asked.pop("words", [])).strip()
    here = Plate.objects.standing().with_last_parcel().with_last_bite().filter(is_away=False, name__icontains=words)
    latest = list(here.select_related("owner").order_by("-last_bitten_at", "-happened_at")[:PLATES_AT_HAND])
    groups = {_("Not bitten yet, and yours"): [], _("Bitten before"): []}
    # those that wait for their first bite in front of one's own, each sort in the order of its last
    for plate in sorted(latest, key=lambda plate: plate.last_bitten_at is not None):
        is_likely = plate.last_bitten_at is None or plate.owner == request.person
        groups[_("Not bitten yet, and yours") if is_likely else _("Bitten before")].append(plate)
    context = {"groups": [(name, plates) for name, plates in groups.items() if plates], "words": words}
    return render(request, "bites/choose.html", context | {"asked": f"?{asked.urlencode()}" if asked else ""})


class StartView(EntryView):
    """The six lines, the arrangement, and the current on; of a plate that is listed, or of none."""

    form_class = StartForm

    def get_object(self):
        plate = self.kwargs.get("plate")
        return get_object_or_404(Plate.objects.standing(), pk=plate) if plate else None

    def instead(self):
        if not Bath.objects.exists():
            return render(self.request, NO_BATH)

    form_wants = "plate"

    def get_initial(self):
        """How the plate is prepared, how its bath was arranged last, and what the address asks for."""
        asked, plate = self.request.GET, self.object
        prepared = plate.preparations.standing().order_by("entry__happened_at", "pk").last() if plate else None
        last = Bite.objects.standing().filter(plate=plate).latest_first().first() if plate else None
        chosen = Bath.objects.filter(pk=asked["bath"]).first() if asked.get("bath", "").isdigit() else None
        bath = chosen or Bath.only_one()
        beside = Bite.objects.standing().filter(bath=bath).latest_first().first()
        # where the hung cathode is in the book, an earlier bite's figures would be taken for ones measured today
        is_hung = beside is not None and bath.hangings.sheet_at(timezone.now()) is not None
        bare = next((row for row in (prepared, last) if row and row.exposed_cm2), None)
        return {
            "bath": bath,
            "state": max(prepared.state if prepared else 1, last.state if last else 1),
            "exposed": ExposedField.shown(bare.exposed) if bare else None,
            "planned_min": asked.get("minutes", ""),
            "volts_set": beside.volts_set if beside else None,
            "cathode": beside.cathode_cm2 if beside and not is_hung else None,
            "gap_cm": beside.gap_cm if beside and not is_hung else None,
        }

    def get_context_data(self):
        return super().get_context_data() | {
            "plate": self.object,
            "examples": exposure.examples(),
            "why_not": why_not(Task.BATH, self.request.person),
        }

    def write(self, **facts):
        # the form names the plate, if it has a name
        return operations.start(**facts)

    def go_on(self, entry):
        return redirect(entry.bites.get())


class BiteView(ReadView):
    """A bite that runs, with its clock; or what one did that is over."""

    queryset = BITES

    def instead(self):
        bite, request = self.object, self.request
        if not bite.is_running:
            return None
        now = timezone.now()
        # made anew on every visit and never kept: its clock is of this second
        context = {
            "bite": bite,
            "account": BiteAccount(bite, request.workshop.units),
            "said": descriptions.in_use(bite, now),
            "now": now,
            "now_ms": ms(now),
            "started_ms": ms(bite.happened_at),
            "ends_ms": ms(bite.ends_at) if bite.ends_at else "",
            # both ask for amps on one page: each label must lead to its own box
            "read_form": ReadForm(request=request, auto_id="read_%s"),
            "stop_form": StopForm(request=request, auto_id="stop_%s"),
        }
        return render(request, "bites/running.html", context)

    def get_part_data(self):
        bite = self.object
        # nothing of a struck bite stands, and the page would not say who struck it
        lines = [bite.entry] if bite.entry.is_struck else operations.entries_of(bite)
        account = BiteAccount(bite, self.request.workshop.units)
        return {"bite": bite, "account": account, "lines": lines, "is_keyholder": self.request.is_keyholder}


def clock(request, bite):
    """The server's clock, whether the bite still runs, and with ?key= whether a form of that key is in the book."""
    shown = get_object_or_404(BITES, pk=bite)
    answer = {"now": ms(timezone.now()), "runs": shown.is_running, "written": _is_written(request.GET.get("key", ""))}
    # out of a cache, a bite that somebody else has stopped would run on
    return JsonResponse(answer, headers={"Cache-Control": "no-store"})


def _is_written(key):
    with suppress(ValueError):
        return Entry.objects.filter(key=UUID(key)).exists()
    return False


def alarm(request, bite):
    from studio.bites import alarm as alarms  # 5 MB of calendars that few ask for

    shown = get_object_or_404(BITES, pk=bite)
    if shown.ends_at is None:
        raise Http404(_("No minutes were planned for this bite."))
    url = qr.address(request, shown.get_absolute_url())
    # the same uid each time: a second tap moves the alarm in the calendar and adds none
    content = alarms.calendar(shown, uid=f"{shown.entry.key}@mordant", url=url)
    headers = {"Content-Disposition": 'attachment; filename="bite.ics"'}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


class RunningEntryView(EntryView):
    """What is written while a bite runs."""

    queryset = BITES

    def instead(self):
        # what was tapped without a connection may arrive after the stop, and then the operation judges it
        if self.request.method == "GET" and not self.object.is_running:
            return redirect(self.object)


class StoppedView(RunningEntryView):
    """It went off earlier, by itself or by somebody."""

    form_class = StoppedForm
    operation = staticmethod(operations.stop)

    def get_initial(self):
        return {"stopped_at": now_typed()}


# what the display shows now
read = RunningEntryView.as_view(form_class=ReadForm, operation=operations.read)
# the current is off now
stop = RunningEntryView.as_view(form_class=StopForm, operation=operations.stop)


def ms(moment) -> int:
    return round(moment.timestamp() * MS_PER_S)
