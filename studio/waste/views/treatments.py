"""The sums of a treatment, hidden until somebody has allowed it."""

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _

from chemistry import waste
from studio.waste import advice, content, treatments, whereabouts
from studio.waste.models import Drum


def treatment(request, pk):
    """There is no such page while no permission holds."""
    drum = get_object_or_404(Drum.objects.standing().select_related("entry"), pk=pk)
    now = content.content_of_drum(drum)
    allowed = treatments.treatments_of_drum(now, advice.told())
    if not allowed or whereabouts.departures([drum]):
        raise Http404(_("Nobody has allowed a treatment of this drum."))
    shown = {"drum": drum, "allowed": allowed, "copper": now.copper, "footer": waste.FOOTER}
    return render(request, "waste/treatment.html", shown)
