"""How much copper the current moves: as is usual, as a keyholder says, as weighings have shown."""

from studio.bites import learned, operations
from studio.bites.forms.bites import EfficiencyForm
from studio.people.roles import keyholder_required
from studio.quantities import with_spread
from studio.writing import write


@keyholder_required
def efficiency(request):
    form = EfficiencyForm(request.POST or None, request=request)
    context = {"known": [_known(electrode) for electrode in learned.Electrode]}
    act, template = operations.say_efficiency, "bites/efficiency.html"
    return write(request, form, act, to="bites:efficiency", template=template, context=context)


def _known(electrode):
    """Cathodes differ, so what weighings taught of each stands on its own page."""
    return {
        "label": electrode.label.capitalize(),
        "usual": _percent(learned.USUAL[electrode]),
        "own": learned.own_efficiency(electrode),
        "weighed": _percent(learned.anode_efficiency()) if electrode == learned.Electrode.PLATE else None,
    }


def _percent(known):
    return with_spread(100 * known.value, 100 * known.sd, "%")
