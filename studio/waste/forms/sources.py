"""What is asked where waste comes from: the page of a bath, a cathode or a jar, and the drum that it goes into."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.waste.drum import weighed
from studio.baths.fields import MassField
from studio.baths.forms import pouring
from studio.cathodes import forms as cathodes
from studio.shelf.forms.containers import UseForm
from studio.waste import hazards, whereabouts
from studio.waste.forms.base import DrumField, WithReason, drums_for, kinds
from studio.waste.models import Drum
from studio.waste.operations import DepositRequest
from studio.waste.sources import GIVEN_UP_BATH, METAL, POWDER, TOWELS


class StrainIntoDrumForm(WithReason, pouring.StrainForm):
    into = DrumField(label=gettext_lazy("Towel and powder go into"))
    towel_g = MassField(
        required=False,
        label=gettext_lazy("Towel and powder weigh"),
        initial=(None, "g"),
        help_text=gettext_lazy("As they are: wet."),
    )

    def __init__(self, *args, bath, **kwargs):
        super().__init__(*args, bath=bath, **kwargs)
        self.fields["into"].offer(drums_for(TOWELS))

    def facts(self) -> dict:
        typed, drum = self.cleaned_data, self.cleaned_data["into"]
        return super().facts() | {"into": self._towel(drum, typed["towel_g"]) if drum else None}

    def _towel(self, drum: Drum, towel_g: float | None) -> DepositRequest:
        mass_g = weighed(towel_g) if towel_g else None
        kind = drum.kind if drum.kind in TOWELS else TOWELS[0]
        return DepositRequest(drum=drum, kind=kind, mass_g=mass_g, allowance=self.allowance())


class TakeOutIntoDrumForm(WithReason, pouring.TakeOutForm):
    into = DrumField(label=gettext_lazy("Into which drum"))
    drained_anyway = forms.BooleanField(required=False, label=gettext_lazy("It has happened: write it all the same"))

    def __init__(self, *args, bath, **kwargs):
        super().__init__(*args, bath=bath, **kwargs)
        self.fields["into"].offer(drums_for(GIVEN_UP_BATH))
        self.fields["into"].initial = None  # most of what is taken out is used elsewhere
        self.fields["where_to"].required = False
        self.fields["where_to"].label = _("Or where else to")

    @property
    def destination_fields(self):
        """A drain is asked about where somebody names one."""
        drained = self["drained_anyway"]
        return [self["into"], self["where_to"], *([drained] if drained.errors or drained.value() else [])]

    def clean(self):
        typed = super().clean()
        if not typed.get("into") and not typed.get("where_to") and "where_to" not in self.errors:
            self.add_error("where_to", _("Say where it goes: a drum, or somewhere else."))
        return typed

    def facts(self) -> dict:
        typed, drum = self.cleaned_data, self.cleaned_data["into"]
        into = DepositRequest(drum=drum, kind=GIVEN_UP_BATH[0], allowance=self.allowance()) if drum else None
        return super().facts() | {"into": into, "drained_anyway": typed["drained_anyway"]}


class StripIntoDrumForm(WithReason, cathodes.StripForm):
    metal_into = DrumField(label=gettext_lazy("The metal goes into"))
    powder_into = DrumField(label=gettext_lazy("The powder goes into"))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        drums = drums_for((*METAL, *POWDER))
        self.fields["metal_into"].offer([drum for drum in drums if drum.kind in METAL])
        self.fields["powder_into"].offer([drum for drum in drums if drum.kind in POWDER])

    def facts(self) -> dict:
        facts = super().facts()
        # it allows a drum what it is asked about; the cathode has no use for it
        facts.pop("reason")
        for name, kind in (("metal_into", METAL[0]), ("powder_into", POWDER[0])):
            drum = facts[name]
            facts[name] = DepositRequest(drum=drum, kind=kind, allowance=self.allowance()) if drum else None
        return facts


class DiscardForm(WithReason, UseForm):
    """A jar of the shelf, or some of it, is given up."""

    into = DrumField(label=gettext_lazy("Into"))
    kind = forms.ChoiceField(label=gettext_lazy("It is"), choices=lambda: [("", _("say what it is")), *kinds()])

    def __init__(self, *args, container, **kwargs):
        super().__init__(*args, container=container, **kwargs)
        self.fields["amount"].initial = container.shown_on_hand()
        into = self.fields["into"]
        into.required, into.empty_label = True, None
        usual = hazards.usual_kind(self.material)
        into.offer(list(whereabouts.drums_on_site()), kind=usual)
        self.fields["kind"].initial = usual

    def kind_of_it(self) -> str:
        """What the jar is goes before what it was called."""
        return hazards.usual_kind(self.material) or super().kind_of_it()

    def facts(self) -> dict:
        typed = self.cleaned_data
        put = DepositRequest(drum=typed["into"], kind=typed["kind"], allowance=self.allowance())
        return {"amount": typed["amount"], "into": put}
