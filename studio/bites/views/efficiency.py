"""How much copper the current moves: as is usual, as a keyholder says, as weighings have shown."""

from studio.bites import calibration, operations
from studio.bites.forms.bites import EfficiencyForm
from studio.pages.quantities import with_spread
from studio.pages.writing import write
from studio.people.roles import keyholder_required


@keyholder_required
def efficiency(request):
    form = EfficiencyForm(request.POST or None, request=request)
    context = {"known": [_known(electrode) for electrode in calibration.Electrode]}
    act, template = operations.say_efficiency, "bites/efficiency.html"
    return write(request, form, act, to="bites:efficiency", template=template, context=context)


def _known(electrode):
    """Cathodes differ, so what weighings taught of each stands on its own page."""
    return {
        "label": electrode.label.capitalize(),
        "usual": _percent(calibration.USUAL[electrode].share),
        "own": calibration.own_efficiency(electrode),
        "weighed": _percent(calibration.anode_efficiency()) if electrode == calibration.Electrode.PLATE else None,
    }


def _percent(known):
    return with_spread(100 * known.value, 100 * known.sd, "%")
