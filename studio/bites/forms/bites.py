"""What is asked of a bite: before the current, while it runs, when it is off, and after the fact."""

from dataclasses import replace

from django import forms
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.copper import biting
from chemistry.copper.biting import BiteRecipe
from chemistry.measured import digits
from inventory.refusals import Refused
from studio.baths.forms.mixing import AskedForm
from studio.baths.models import Bath
from studio.bites.fields import (
    AreaField,
    DepthField,
    ExposedField,
    ReadingsField,
    amps_field,
    minutes_field,
    volts_field,
)
from studio.bites.forms.base import (
    PLATES_AT_HAND,
    ExposureForm,
    LiveForm,
    ShopForm,
    anyway_field,
    drips_field,
    state_field,
)
from studio.bites.models import OwnEfficiency, Plate
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.pages.fields import MomentField, NumberField, with_quantities

AS_IT_HANGS = gettext_lazy("Left empty, that of the cathode that hangs in the bath.")
UNLISTED = gettext_lazy("a plate that is not in the book")


class SettingForm(ExposureForm):
    bath = forms.ModelChoiceField(
        Bath.objects.all(), label=gettext_lazy("Bath"), empty_label=None, widget=forms.RadioSelect
    )
    state = state_field(initial=1)
    volts_set = volts_field(
        label=gettext_lazy("Volts set on the supply"), help_text=gettext_lazy("What it was set to, not what it reads.")
    )
    cathode = AreaField(
        label=gettext_lazy("Cathode, the part that faces the plate below the liquid"),
        required=False,
        help_text=AS_IT_HANGS,
    )
    gap_cm = NumberField(
        label=gettext_lazy("Gap from plate to cathode"),
        low=0.2,
        high=100,
        unit="cm",
        required=False,
        help_text=AS_IT_HANGS,
    )
    ARRANGEMENT = ("state", "volts_set", "cathode", "gap_cm")

    def setting(self) -> Setting:
        typed = self.cleaned_data
        return Setting(
            plate=self.plate,
            state=typed["state"],
            exposed=self.bare,
            cathode_cm2=typed["cathode"],
            gap_cm=typed["gap_cm"],
            volts_set=typed["volts_set"],
        )

    @property
    def arrangement_fields(self):
        return [self[name] for name in self.ARRANGEMENT]

    @property
    def arrangement_is_refused(self) -> bool:
        return any(field.errors for field in self.arrangement_fields)


class StartForm(SettingForm):
    planned_min = minutes_field(
        label=gettext_lazy("Minutes"), low=0.1, help_text=gettext_lazy("Left empty, no alarm is set.")
    )
    checked = forms.BooleanField(
        label=gettext_lazy("All six are so"),
        error_messages={"required": gettext_lazy("Go through the six lines first, then tick.")},
    )
    beside_anyway = anyway_field(gettext_lazy("Bite a second plate beside it"))
    metal_anyway = anyway_field(gettext_lazy("The name misleads: it is copper"))

    MOST_BUTTONS = 3

    def __init__(self, *args, plate, **kwargs):
        super().__init__(*args, **kwargs)
        self.plate = plate

    @cached_property
    def baths_to_start_in(self) -> list[Bath]:
        """One tap chooses the bath and starts the clock, while nobody has chosen one and few can be."""
        baths = [] if self.is_bound or self["bath"].value() else list(Bath.objects.all()[: self.MOST_BUTTONS + 1])
        return baths if 1 < len(baths) <= self.MOST_BUTTONS else []

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "bath": typed["bath"],
            "setting": self.setting(),
            "planned_min": typed["planned_min"],
            "beside_anyway": typed["beside_anyway"],
            "metal_anyway": typed["metal_anyway"],
        }


class ReadForm(LiveForm):
    amps = amps_field(
        required=True, error_messages={"required": gettext_lazy("Give the amps, as the display shows them.")}
    )
    volts = volts_field(help_text=gettext_lazy("As the display shows them now."))
    unusual_anyway = anyway_field(gettext_lazy("It is as it was read"))


class StopForm(LiveForm):
    # not required: nobody who has switched off should have to switch on again for a figure
    amps = amps_field(help_text=gettext_lazy("As the display showed last."))
    volts = volts_field()
    ml_each = drips_field()
    counted_ah = NumberField(
        label=gettext_lazy("Or amp-hours"),
        low=0.001,
        high=200,
        unit="A·h",
        required=False,
        help_text=gettext_lazy("When the supply counts them."),
    )
    unusual_anyway = anyway_field(gettext_lazy("It is as it was read"))


class StoppedForm(ShopForm):
    """The current went off by itself, or somebody stopped it and told nobody."""

    class What:
        EARLIER, CUT, BACK = "earlier", "cut", "back"

    what = forms.ChoiceField(
        label=gettext_lazy("What happened?"),
        widget=forms.RadioSelect,
        choices=[
            (What.EARLIER, gettext_lazy("Somebody switched it off at a time that is known.")),
            (What.CUT, gettext_lazy("The power went, and the supply stayed off: the bite ended about then.")),
            (What.BACK, gettext_lazy("The power went, and the supply came back by itself; the plate bit on.")),
        ],
    )
    stopped_at = MomentField(label=gettext_lazy("It stopped at, or about"), required=False)
    off_at = MomentField(label=gettext_lazy("The power went about"), required=False)
    back_at = MomentField(label=gettext_lazy("It was back about"), required=False)
    ended_at = MomentField(
        label=gettext_lazy("And the bite was over at"),
        required=False,
        help_text=gettext_lazy("Leave it empty for now."),
    )
    amps = amps_field(help_text=gettext_lazy("As it was read before, if nobody wrote it down yet."))
    ml_each = drips_field()

    WANTED = {What.EARLIER: ("stopped_at",), What.CUT: ("stopped_at",), What.BACK: ("off_at", "back_at")}
    MISSING = gettext_lazy("Say when, about.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # asked for above, in the words of what happened
        del self.fields["happened_at"]

    def clean(self):
        typed = super().clean()
        for name in self.WANTED.get(typed.get("what"), ()):
            # a time that could not be read has a sentence of its own already
            if not typed.get(name) and name not in self.errors:
                self.add_error(name, self.MISSING)
        return typed

    def signed(self):
        typed = self.cleaned_data
        came_back = typed["what"] == self.What.BACK
        typed["happened_at"] = typed["ended_at"] if came_back else typed["stopped_at"]
        return super().signed()

    def facts(self) -> dict:
        typed = self.cleaned_data
        came_back = typed["what"] == self.What.BACK
        return {
            "is_about": typed["what"] != self.What.EARLIER,
            # what was typed before the choice was changed is still sent, and must not count
            "off_at": typed["off_at"] if came_back else None,
            "back_at": typed["back_at"] if came_back else None,
            "amps": typed["amps"],
            "ml_each": typed["ml_each"],
        }

    def refuse(self, refusal: Refused) -> None:
        """What is said of the moment stands beside the one that was typed."""
        if refusal.field == "happened_at":
            refusal.field = "ended_at" if self.cleaned_data.get("what") == self.What.BACK else "stopped_at"
        super().refuse(refusal)


class WriteForm(SettingForm):
    plate_pk = forms.TypedChoiceField(label=gettext_lazy("Plate"), required=False, empty_value=None)
    minutes = minutes_field(
        required=True, low=0.1, error_messages={"required": gettext_lazy("Say for how many minutes it ran.")}
    )
    amps = amps_field(help_text=gettext_lazy("On average, as the display showed."))
    volts = volts_field(label=gettext_lazy("Volts read"), help_text=gettext_lazy("While it ran."))
    more = ReadingsField()
    counted_ah = NumberField(
        label=gettext_lazy("Or amp-hours"),
        low=0.001,
        high=200,
        unit="A·h",
        required=False,
        help_text=gettext_lazy("When the supply counts them."),
    )
    ml_each = drips_field()
    unusual_anyway = anyway_field(gettext_lazy("It is as it was read"))
    metal_anyway = anyway_field(gettext_lazy("The name misleads: it is copper"))

    ANYWAY = ("unusual_anyway", "metal_anyway")

    def __init__(self, *args, known=None, **kwargs):
        super().__init__(*args, **kwargs)
        known = plates_at_hand() if known is None else known
        self.fields["plate_pk"].choices = [("", UNLISTED), *((pk, plate.name) for pk, plate in known.items())]
        self.fields["plate_pk"].coerce, self.fields["plate_pk"].chooses = known.get, Plate
        self.fields["happened_at"].label = _("The current went on")
        self.fields["happened_at"].help_text = _("Leave it empty when it has just ended.")

    def clean(self):
        # before the bare copper is judged, which may be a share of this plate
        self.plate = self.cleaned_data.get("plate_pk")
        super().clean()
        if not self.errors:
            try:
                self.check_the_charge(self.cleaned_data)
            except Refused as refusal:
                self.refuse(refusal)

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "bath": typed["bath"],
            "setting": self.setting(),
            "readings": self.all_readings(typed),
            # emptied it means no drips; left out, the usual ones would be taken
            "ending": Ending(minutes=typed["minutes"], counted_ah=typed["counted_ah"], ml_each=typed["ml_each"] or 0.0),
            **{name: typed[name] for name in self.ANYWAY},
        }

    @property
    def questions(self):
        """What the book asked once and is told again."""
        return [self[name] for name in self.ANYWAY if self[name].errors or self[name].value()]

    def all_readings(self, typed: dict) -> list[CurrentReading]:
        if typed["more"]:
            return typed["more"]
        # an average holds for the whole bite, and a reading at its start is carried on to the stop
        return [] if typed["amps"] is None else [CurrentReading(minutes=0.0, amps=typed["amps"], volts=typed["volts"])]

    def check_the_charge(self, typed: dict) -> None:
        if typed["more"] and typed["amps"] is not None:
            raise Refused("amps", _("Give one figure here or several readings below: not both."))
        if typed["more"] and typed["more"][-1].minutes > typed["minutes"]:
            raise Refused(
                "more",
                _("The bite was over after %(typed)s min; a reading came later.") % {"typed": digits(typed["minutes"])},
            )
        if typed["counted_ah"] is None and typed["amps"] is None and not typed["more"]:
            raise Refused("amps", _("Give the amps, or amp-hours: without one of them the book knows no charge."))


class LineForm(WriteForm):
    """One line of a run card; one that nobody filled in is passed over."""

    tells_above = False
    CELLS = (
        "happened_at",
        "done_by",
        "bath",
        "plate_pk",
        "state",
        "exposed",
        "volts_set",
        "minutes",
        "amps",
        "volts",
        "ml_each",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # a row of the card has no room for a button for each bath
        self.fields["bath"].widget = forms.Select()

    @property
    def is_blank(self) -> bool:
        return self.is_left_alone(self.CELLS)

    @property
    def cells(self):
        """What the card has boxes for, in its order."""
        return [self[name] for name in self.CELLS]


class PutRightForm(WriteForm):
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=200,
        help_text=gettext_lazy("The old lines stay readable with it beside them."),
    )

    def __init__(self, *args, stop, **kwargs):
        super().__init__(*args, **kwargs)
        self.stop = stop

    def facts(self) -> dict:
        """What the supply did by itself is not asked again; it stays as it was."""
        facts = super().facts() | {"reason": self.cleaned_data["reason"]}
        if self.stop:
            was_about = self.stop.minutes_sd >= biting.ABOUT_SD_MIN
            facts["ending"] = replace(facts["ending"], gap=self.stop.gap, is_about=was_about)
            facts["planned_min"] = self.stop.bite.planned_min
        return facts


class EfficiencyForm(ShopForm):
    """What a keyholder takes the current to move, in place of the usual estimate."""

    electrode = forms.ChoiceField(
        label=gettext_lazy("The copper it takes"), choices=OwnEfficiency.Electrode.choices, widget=forms.RadioSelect
    )
    percent = NumberField(
        label=gettext_lazy("Of what Faraday’s law expects, %"),
        low=50,
        high=150,
        unit="%",
        help_text=gettext_lazy("100 is just that law."),
    )
    half_width = NumberField(
        label=gettext_lazy("Give or take, %"),
        low=0.1,
        high=50,
        unit="%",
        help_text=gettext_lazy("So far off it may be, 95 times in 100."),
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"), max_length=200, help_text=gettext_lazy("Such as: ten plates weighed last winter.")
    )

    def facts(self) -> dict:
        typed = self.cleaned_data
        shares = {"share": typed["percent"] / 100, "half_width": typed["half_width"] / 100}
        return {"electrode": typed["electrode"], "reason": typed["reason"], **shares}


class PlanForm(AskedForm):
    TYPED_IN = {
        "area": "exposed",
        "exposed area": "exposed",
        "current density": "exposed",
        "current": "amps",
    }

    bath = forms.ModelChoiceField(Bath.objects.all(), label=gettext_lazy("Bath"), empty_label=gettext_lazy("which?"))
    depth = DepthField(label=gettext_lazy("Depth wanted"), initial=20.0)
    amps = amps_field(
        label=gettext_lazy("Amps, if you know them"),
        low=0.01,
        help_text=gettext_lazy("Left empty, this bath’s usual current is taken."),
    )
    exposed = ExposedField(label=gettext_lazy("Bare copper, with the amps"))

    def clean(self):
        typed = super().clean()
        if typed.get("amps") and "exposed" not in self.errors:
            if not typed.get("exposed"):
                self.add_error("exposed", _("Amps say nothing of a depth without the bare copper they went to."))
            elif typed["exposed"].percent:
                self.add_error("exposed", _("A share needs the plate it is a share of; give its area here."))
        return typed


class BiteRecipeForm(AskedForm):
    """A partner's bite, to be repeated here."""

    their_minutes = minutes_field(label=gettext_lazy("Their minutes"), required=True, low=0.1)
    their_amps = amps_field(label=gettext_lazy("Their amps"), required=True, low=0.01)
    their_cm2 = AreaField(
        label=gettext_lazy("Their bare copper"),
        help_text=with_quantities(gettext_lazy("Such as %(area)s."), area=(40, "cm²", 1)),
    )
    our_amps = amps_field(label=gettext_lazy("Our amps"), required=True, low=0.01)
    our_cm2 = AreaField(
        label=gettext_lazy("Our bare copper"), required=False, help_text=gettext_lazy("Left empty, the same as theirs.")
    )

    def recipes(self) -> dict:
        typed = self.cleaned_data
        return {
            "theirs": BiteRecipe(current_a=typed["their_amps"], exposed_cm2=typed["their_cm2"]),
            "their_minutes": typed["their_minutes"],
            "ours": BiteRecipe(current_a=typed["our_amps"], exposed_cm2=typed["our_cm2"] or typed["their_cm2"]),
        }


def plates_at_hand() -> dict[str, Plate]:
    """The latest plates in the book, by the value that chooses them."""
    return {str(plate.pk): plate for plate in Plate.objects.standing()[:PLATES_AT_HAND]}


def now_typed() -> str:
    return f"{timezone.localtime():%Y-%m-%dT%H:%M}"
