"""What is asked when something went wrong: four answers, and the rest only where it applies."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from chemistry.measured import Measured, digits
from chemistry.waste import drum as sums
from inventory.models import Container, Material, Person
from studio.baths.fields import VolumeField
from studio.baths.models import Bath
from studio.baths.salt import Portion
from studio.hazards.classification import classify_material
from studio.pages import quantities
from studio.pages.fields import OfJars, understood
from studio.pages.quantities import grams
from studio.pages.writing import FoldedForm
from studio.waste import incidents, whereabouts
from studio.waste.fields import WasteAmountField
from studio.waste.forms.base import WasteForm
from studio.waste.incidents import soaked
from studio.waste.models import Incident
from studio.waste.operations import DepositRequest
from studio.waste.sources import kind_of_spill


def words_field(label, **kwargs) -> forms.CharField:
    return forms.CharField(label=label, max_length=500, widget=forms.Textarea(attrs={"rows": 2}), **kwargs)


class JarField(OfJars, forms.ModelChoiceField):
    pass


def off_the_shelf(label) -> JarField:
    at_hand = Container.objects.at_hand().select_related("material").order_by("material__name", "code")
    return JarField(at_hand, label=label, required=False, empty_label=_("nothing"))


def amount_field(label) -> forms.CharField:
    """Of a container that is only chosen with it."""
    return forms.CharField(
        label=label,
        required=False,
        max_length=units.LONGEST_TEXT,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class IncidentForm(FoldedForm, WasteForm):
    kind = forms.ChoiceField(
        label=gettext_lazy("What kind of thing"),
        widget=forms.RadioSelect,
        choices=Incident.Kind.choices,
        initial="spill",
    )
    what_happened = words_field(
        gettext_lazy("What happened"), help_text=gettext_lazy("Everybody reads this. Who was hurt stands further down.")
    )
    bath = forms.ModelChoiceField(
        Bath.objects.all(),
        label=gettext_lazy("Bath that was spilled"),
        required=False,
        empty_label=gettext_lazy("none"),
    )
    litres = VolumeField(
        required=False,
        label=gettext_lazy("How much of it, about"),
        help_text=gettext_lazy("A guess will do: the book takes it as good to half of it."),
    )
    taken_up = VolumeField(
        required=False,
        label=gettext_lazy("Of that taken up"),
        help_text=gettext_lazy("Leave it empty for all of it; what is left over is lost."),
    )
    absorbent = off_the_shelf(gettext_lazy("Taken up with"))
    absorbent_amount = amount_field(gettext_lazy("How much of that was used"))
    drum = forms.ModelChoiceField(
        whereabouts.drums_on_site(),
        label=gettext_lazy("It is now in drum"),
        required=False,
        empty_label=gettext_lazy("Into no drum of the book"),
    )
    waits_for_drum = forms.BooleanField(required=False, label=gettext_lazy("No drum fits yet: it waits for one"))
    drum_amount = WasteAmountField(
        required=False,
        label=gettext_lazy("As weighed or measured"),
        help_text=gettext_lazy("Leave it empty if nobody did; it is worked out."),
    )
    container = off_the_shelf(gettext_lazy("Out of which container"))
    container_amount = amount_field(gettext_lazy("How much of it"))
    what_was_done = words_field(gettext_lazy("What was done about it"), required=False)
    hurt = forms.ModelChoiceField(
        Person.objects.here(), label=gettext_lazy("Who"), required=False, empty_label=gettext_lazy("nobody of the book")
    )
    injury = forms.CharField(
        label=gettext_lazy("What to them, and who helped"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    CHOOSES = "drum"
    FOLDED = {
        gettext_lazy("Taken up: with what, and where is that now?"): (
            "taken_up",
            "absorbent",
            "absorbent_amount",
            "drum",
            "waits_for_drum",
            "drum_amount",
            "reason",
        ),
        gettext_lazy("Something off the shelf was spilled or lost"): ("container", "container_amount"),
        gettext_lazy("Somebody was hurt: only keyholders and that person read this"): ("hurt", "injury"),
    }

    def clean(self):
        typed = super().clean()
        self._need("bath", "litres", _("Which bath was it?"), _("Say how much; a guess will do."))
        self._need("container", "container_amount", _("Out of which container?"), _("Say how much of it."))
        self._need("absorbent", "absorbent_amount", _("Out of which container?"), _("Say how much was used."))
        if typed.get("taken_up") and typed.get("litres") and typed["taken_up"] > typed["litres"]:
            self.add_error("taken_up", _("That is more than was spilled."))
        for name in ("container", "absorbent"):
            self._read(typed, name, f"{name}_amount")
        if typed.get("drum") and typed.get("waits_for_drum"):
            self.add_error("waits_for_drum", _("It is in a drum, or it waits for one: say which."))
        if typed.get("drum_amount") and not typed.get("drum") and not typed.get("waits_for_drum"):
            self.add_error("drum", _("Into which drum, or does it wait for one?"))
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        incident = Incident(
            **{name: typed[name] for name in ("kind", "what_happened", "what_was_done", "hurt", "injury")}
        )
        if not typed["drum"] and (typed["absorbent"] or typed["taken_up"] or typed["waits_for_drum"]):
            self._keep_what_was_gathered(incident)
        portions = [(f"{name}_amount", self._portion(name)) for name in ("container", "absorbent")]
        return {
            "incident": incident,
            "bath": typed["bath"],
            "litres": typed["litres"] or 0.0,
            "from_shelf": [(field, portion) for field, portion in portions if portion],
            "into": self._into() if typed["drum"] else None,
        }

    def _need(self, thing: str, amount: str, which: str, how_much: str) -> None:
        """What was spilled and how much of it, or neither."""
        typed = self.cleaned_data
        if typed.get(amount) and not typed.get(thing) and thing not in self.errors:
            self.add_error(thing, which)
        if typed.get(thing) and not typed.get(amount) and amount not in self.errors:
            self.add_error(amount, how_much)

    def _read(self, typed: dict, container: str, amount: str) -> None:
        """An amount in the unit of what it is taken from."""
        if not (typed.get(container) and typed.get(amount)):
            return
        material = typed[container].material
        try:
            typed[amount] = understood(
                units.parse,
                typed[amount],
                material.dimension,
                cups=self.request.workshop.cups,
                unit=material.shown_unit,
            )
        except forms.ValidationError as error:
            self.add_error(amount, error)

    def _portion(self, name: str) -> Portion | None:
        typed = self.cleaned_data
        return Portion(typed[name], typed[f"{name}_amount"]) if typed[name] else None

    def _into(self) -> DepositRequest:
        typed = self.cleaned_data
        return DepositRequest(
            drum=typed["drum"],
            kind=self._kind() or typed["drum"].kind,
            container=typed["container"],
            pieces=self._pieces(),
            words=self._words(),
            allowance=self.allowance(),
            # what somebody weighed or measured goes before what is worked out here
            **self._measured() | (typed["drum_amount"] or {}),
        )

    def _kind(self) -> str:
        typed = self.cleaned_data
        return kind_of_spill(
            is_bath=bool(typed["bath"]), is_solvent=self._is_solvent(), is_soaked=bool(typed["absorbent"])
        )

    def _keep_what_was_gathered(self, incident: Incident) -> None:
        """It is in no drum, and its words are kept all the same."""
        measured = self._measured() | (self.cleaned_data["drum_amount"] or {})
        amounts = [f"{digits(each.value, 3)} {each.unit}" for each in measured.values()]
        incident.gathered = ", ".join(filter(None, (*amounts, self._words()))) or _("what was spilled")
        incident.gathered_l = measured["litres"].value if "litres" in measured else None
        incident.gathered_kind = self._kind()
        incident.waits_for_drum = self.cleaned_data["waits_for_drum"]

    def _is_solvent(self) -> bool:
        container = self.cleaned_data["container"]
        if container is None:
            return False
        return classify_material(container.material, self.request.workshop.region).is_flammable

    def _litres(self) -> float:
        """Of liquid that was taken up."""
        typed, portion = self.cleaned_data, self._portion("container")
        if typed["bath"]:
            return typed["taken_up"] or typed["litres"]
        is_liquid = portion and portion.container.material.dimension == Material.Dimension.VOLUME
        return quantities.litres(portion.amount) if portion and is_liquid else 0.0

    def _measured(self) -> dict[str, Measured]:
        """Litres as they were guessed; the weight of granules with the liquid in them."""
        liquid_l, absorbent = self._litres(), self._portion("absorbent")
        measured = {"litres": sums.poured(liquid_l)} if liquid_l else {}
        if absorbent and absorbent.container.material.dimension == Material.Dimension.MASS:
            measured["mass_g"] = soaked(liquid_l, grams(absorbent.amount), is_solvent=self._is_solvent())
        return measured

    def _pieces(self) -> int | None:
        absorbent = self._portion("absorbent")
        is_counted = absorbent and absorbent.container.material.dimension == Material.Dimension.COUNT
        return absorbent.amount if absorbent and is_counted else None

    def _words(self) -> str:
        absorbent = self._portion("absorbent")
        if absorbent is None:
            return ""
        material = absorbent.container.material
        return _("%(show)s of %(material)s with what it took up") % {
            "show": material.show(absorbent.amount),
            "material": material,
        }


class FollowUpForm(WasteForm):
    words = words_field(gettext_lazy("What was done"))
    drum = forms.ModelChoiceField(
        whereabouts.drums_on_site(),
        label=gettext_lazy("What was taken up is now in drum"),
        required=False,
        empty_label=gettext_lazy("It still waits"),
    )
    drum_amount = WasteAmountField(
        required=False,
        label=gettext_lazy("As weighed or measured"),
        help_text=gettext_lazy("Left empty, it is as much as was reported."),
    )
    closes = forms.BooleanField(required=False, label=gettext_lazy("That closes it: nothing is left to do"))

    CHOOSES = "drum"
    FOR_A_DRUM = ("drum", "drum_amount")

    def __init__(self, *args, incident: Incident, **kwargs):
        super().__init__(*args, **kwargs)
        self.incident = incident
        if incident.is_closed or not self.request.is_keyholder:
            del self.fields["closes"]
        if not incidents.waiting().filter(pk=incident.pk).exists():
            for name in self.FOR_A_DRUM:
                del self.fields[name]

    @property
    def folded(self):
        # nothing is put into a drum, so no drum asks for a reason
        return super().folded if "drum" in self.fields else ()

    def facts(self):
        typed = self.cleaned_data
        told = {name: typed[name] for name in ("words", "closes") if name in typed}
        if not typed.get("drum"):
            return told
        litres = {"litres": sums.poured(self.incident.gathered_l)} if self.incident.gathered_l else {}
        into = DepositRequest(
            drum=typed["drum"],
            kind=self.incident.gathered_kind or typed["drum"].kind,
            words=self.incident.gathered,
            allowance=self.allowance(),
            **litres | (typed["drum_amount"] or {}),
        )
        return told | {"into": into}
