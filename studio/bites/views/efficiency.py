"""How much copper the current moves: as is usual, as a keyholder says, as weighings have shown."""

from studio.bites import calibration, operations
from studio.bites.forms.bites import EfficiencyForm
from studio.pages.quantities import with_spread
from studio.pages.views import EntryView


class EfficiencyView(EntryView):
    form_class, success_url = EfficiencyForm, "bites:efficiency"
    operation = staticmethod(operations.say_efficiency)
    keyholder_only = True

    def get_context_data(self):
        return super().get_context_data() | {"known": [known(electrode) for electrode in calibration.Electrode]}


def known(electrode):
    """Cathodes differ, so what weighings taught of each stands on its own page."""
    return {
        "label": electrode.label.capitalize(),
        "usual": percent(calibration.USUAL[electrode].share),
        "own": calibration.own_efficiency(electrode),
        "weighed": percent(calibration.anode_efficiency()) if electrode == calibration.Electrode.PLATE else None,
    }


def percent(known):
    return with_spread(100 * known.value, 100 * known.sd, "%")
