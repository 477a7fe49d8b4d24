"""What is asked on disposal day, and of the papers that come afterwards."""

from collections.abc import Iterator, Sequence

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.dates import months_after
from inventory.models import Person
from inventory.wording import translated
from studio.baths.fields import MassField
from studio.baths.forms.base import read_in
from studio.cathodes.fields import scale_field
from studio.orders.forms import PriceField
from studio.pages.documents import DocumentField
from studio.pages.fields import DayField, ask_for_what_is_needed, with_quantities
from studio.pages.writing import FoldedForm, SignedForm
from studio.waste.content import Content
from studio.waste.descriptions import DrumDescription
from studio.waste.disposals import KEPT_YEARS, Taken, month_of
from studio.waste.fields import WasteAmountField
from studio.waste.forms.base import WasteForm
from studio.waste.models import Disposal, DisposalItem, Drum, LocalAdvice, ReceiverPaper, Refusal

STAYS, ALL, PART = "stays", "all", "part"
BATHROOM_SCALE_G = 200.0
FLOOR_SCALE_G = 500.0  # a carrier's: own estimate, no source


def text_field(label, most: int, **kwargs) -> forms.CharField:
    return forms.CharField(label=label, max_length=most, required=False, **kwargs)


class RecordForm(FoldedForm):
    """What every record of a disposal says; which drums, a subclass asks."""

    route = forms.ChoiceField(
        label=gettext_lazy("By which way"), widget=forms.RadioSelect, choices=Disposal.Route.choices
    )
    permission = forms.ModelChoiceField(
        LocalAdvice.objects.none(),
        label=gettext_lazy("The permission"),
        required=False,
        empty_label=gettext_lazy("none on record"),
    )
    receiver = text_field(gettext_lazy("Who takes it"), 100)
    address = text_field(gettext_lazy("Their address"), 200)
    licence = text_field(gettext_lazy("Their licence, permit or site number"), 100)
    document_kind = text_field(
        gettext_lazy("Their document"),
        40,
        help_text=gettext_lazy("Such as: consignment note, manifest, weight ticket."),
    )
    document_number = text_field(gettext_lazy("Its number"), 60)
    codes = text_field(gettext_lazy("Waste codes"), 200, help_text=gettext_lazy("As the receiver wrote them."))
    jurisdiction = text_field(gettext_lazy("Whose codes these are"), 60)
    cost_cents = PriceField(label=gettext_lazy("Money"), required=False)
    they_paid = forms.BooleanField(required=False, label=gettext_lazy("They paid it to us"))
    checked_by = forms.ModelChoiceField(
        Person.objects.at_work(),
        label=gettext_lazy("Who checked it"),
        required=False,
        empty_label=gettext_lazy("nobody"),
    )
    awaits_copy = forms.BooleanField(
        required=False, initial=True, label=gettext_lazy("A signed copy comes back: remind us until it is here")
    )
    counted_to = forms.DateField(
        label=gettext_lazy("Counts to the month"),
        required=False,
        input_formats=["%Y-%m", "%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "month"}, format="%Y-%m"),
        help_text=gettext_lazy("Empty for the month in which it left."),
    )
    keep_until = DayField(
        label=gettext_lazy("Keep the record until"),
        required=False,
        help_text=gettext_lazy(
            "Empty for five years, ours; 40 CFR 262.40 asks for three. Nothing is ever deleted here."
        ),
    )
    half_width_g = scale_field(
        high=5000,
        initial=BATHROOM_SCALE_G,
        help_text=with_quantities(
            gettext_lazy("A bathroom scale: %(least)s."),
            least=(200, "g", 1),
        ),
    )

    FOLDED = {
        gettext_lazy("Their documents and codes"): (
            "address",
            "licence",
            "document_kind",
            "document_number",
            "codes",
            "jurisdiction",
        ),
        gettext_lazy("Money, the month it counts to, how long to keep it"): (
            "cost_cents",
            "they_paid",
            "counted_to",
            "keep_until",
        ),
    }
    COPIED = (
        *("route", "permission", "receiver", "address", "licence", "document_kind", "document_number"),
        *("codes", "jurisdiction", "checked_by", "awaits_copy"),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # those that ran out too: what is written down late went by a permission of its own day
        self.fields["permission"].queryset = LocalAdvice.objects.standing().filter(kind=LocalAdvice.Kind.SEWER)
        self.add_drums()
        read_in(self.fields.values(), self.request.workshop.units)
        ask_for_what_is_needed(self.fields.values())

    def add_drums(self) -> None:
        """Fields of their own for each drum."""
        raise NotImplementedError

    @property
    def content_fields(self):
        # a field of one drum has its number after a dash, and stands beside that drum
        return [field for field in super().content_fields if "-" not in field.name]

    def record(self) -> Disposal:
        typed = self.cleaned_data
        on = timezone.localdate(typed["happened_at"] or timezone.now())
        cost = typed["cost_cents"]
        return Disposal(
            **{name: typed[name] for name in self.COPIED},
            cost_cents=-cost if cost and typed["they_paid"] else cost,
            # kept with the amount: a studio may change its currency later
            currency=self.request.workshop.currency if cost is not None else "",
            counted_to=month_of(typed["counted_to"] or on),
            keep_until=typed["keep_until"] or months_after(on, 12 * KEPT_YEARS),
        )

    def taken(self, drum: Drum, **part) -> Taken:
        """A drum as it was weighed; part: how much of it is poured out, where it is not all of it."""
        typed = self.cleaned_data
        return Taken(
            drum=drum,
            before_g=typed[f"before-{drum.pk}"],
            after_g=typed[f"after-{drum.pk}"],
            half_width_g=typed["half_width_g"],
            part=part,
        )

    def add_weights(self, drum: Drum, **initial) -> None:
        for when, label in (
            ("before", _("%(drum)s weighs before") % {"drum": drum}),
            ("after", _("%(drum)s weighs after, or empty") % {"drum": drum}),
        ):
            usual = (None if initial.get(when) is None else initial[when] / 1000, "kg")
            self.fields[f"{when}-{drum.pk}"] = MassField(label=label, required=False, initial=usual)

    def check_weights(self, drum: Drum) -> None:
        before, after = (self.cleaned_data.get(f"{when}-{drum.pk}") for when in ("before", "after"))
        if after is not None and before is None:
            self.add_error(f"before-{drum.pk}", _("Say what it weighed before as well."))
        elif before is not None and after is not None and after > before:
            self.add_error(f"after-{drum.pk}", _("That is more than before; look again at both."))


class HandOverForm(RecordForm):
    """Which drums go, whole or in part, and what they weigh."""

    def __init__(self, *args, contents: Sequence[Content], **kwargs):
        # known before the fields are made: those of each drum come from it
        self.contents = [each for each in contents if each.deposits]
        super().__init__(*args, **kwargs)

    def add_drums(self) -> None:
        for each in self.contents:
            drum = each.drum
            self.fields[f"goes-{drum.pk}"] = forms.ChoiceField(
                label=f"{drum}: {translated(drum.stream)}",
                help_text=f"{DrumDescription(each).full}.",
                widget=forms.RadioSelect,
                choices=[(STAYS, _("stays here")), (ALL, _("goes")), (PART, _("only a part is poured out"))],
                initial=STAYS,
            )
            unit = "L" if drum.is_liquid else "g"
            self.fields[f"part-{drum.pk}"] = WasteAmountField(
                label=_("Of %(drum)s is poured out") % {"drum": drum}, required=False, initial=(None, unit)
            )
            self.add_weights(drum)

    @property
    def drums(self) -> Iterator[dict]:
        """The choice of each drum, and beside it what was weighed, standing open where it is refused."""
        for each in self.contents:
            pk = each.drum.pk
            fields = [self[f"{name}-{pk}"] for name in ("part", "before", "after")]
            yield {
                "drum": each.drum,
                "goes": self[f"goes-{pk}"],
                "fields": fields,
                "is_refused": any(field.errors for field in fields),
            }

    def clean(self):
        typed = super().clean()
        for each in self.contents:
            pk = each.drum.pk
            self.check_weights(each.drum)
            goes, part = typed.get(f"goes-{pk}"), typed.get(f"part-{pk}")
            if goes == PART and not part and f"part-{pk}" not in self.errors:
                self.add_error(f"part-{pk}", _("Say how much is poured out."))
            if goes == STAYS and (part or typed.get(f"before-{pk}") is not None):
                self.add_error(f"goes-{pk}", _("Something is written beside it: does it go after all?"))
        if self.contents and all(typed.get(f"goes-{each.drum.pk}") == STAYS for each in self.contents):
            raise forms.ValidationError(_("Say which drums go."))
        return typed

    def facts(self) -> dict:
        return {"disposal": self.record(), "taken": [self._taken(drum) for drum in self._going()]}

    def _going(self) -> list[Drum]:
        return [each.drum for each in self.contents if self.cleaned_data[f"goes-{each.drum.pk}"] != STAYS]

    def _taken(self, drum: Drum) -> Taken:
        is_part = self.cleaned_data[f"goes-{drum.pk}"] == PART
        return self.taken(drum, **self.cleaned_data[f"part-{drum.pk}"] if is_part else {})


class CorrectionForm(RecordForm):
    """The whole record anew, beginning with what the wrong one says."""

    why = forms.CharField(label=gettext_lazy("What was wrong"), max_length=200)

    def __init__(self, *args, wrong: Disposal, handed: Sequence[DisposalItem], **kwargs):
        self.wrong, self.handed = wrong, handed
        known = {name: getattr(wrong, name) for name in (*self.COPIED, "counted_to", "keep_until")}
        known |= {"cost_cents": abs(wrong.cost_cents or 0) or None, "they_paid": (wrong.cost_cents or 0) < 0}
        super().__init__(*args, initial=known, **kwargs)
        self.order_fields(["why", *(name for name in self.fields if name != "why")])

    def add_drums(self) -> None:
        for each in self.handed:
            self.fields[f"went-{each.drum_id}"] = forms.BooleanField(
                label=_("%(drum)s went") % {"drum": each.drum}, required=False, initial=True
            )
            self.add_weights(each.drum, before=each.before_g, after=each.after_g)

    @property
    def drums(self) -> Iterator[dict]:
        for each in self.handed:
            fields = [self[f"{when}-{each.drum_id}"] for when in ("before", "after")]
            yield {"drum": each.drum, "goes": self[f"went-{each.drum_id}"], "fields": fields, "is_refused": True}

    def clean(self):
        typed = super().clean()
        for each in self.handed:
            self.check_weights(each.drum)
        return typed

    def facts(self) -> dict:
        right = self.record()
        right.why = self.cleaned_data["why"]
        went = [each.drum for each in self.handed if self.cleaned_data[f"went-{each.drum_id}"]]
        return {"right": right, "taken": [self.taken(drum) for drum in went]}


class RefusalForm(SignedForm):
    by_whom = forms.CharField(
        label=gettext_lazy("Who refused it"), max_length=Refusal._meta.get_field("by_whom").max_length
    )
    why = forms.CharField(
        label=gettext_lazy("Why, in their words"), max_length=Refusal._meta.get_field("why").max_length
    )


class PaperForm(WasteForm):
    """Their signed copy, their weight, the scan of either."""

    is_signed_copy = forms.BooleanField(required=False, label=gettext_lazy("It is the signed copy we wait for"))
    number = text_field(gettext_lazy("Number on it"), 60)
    weight_g = MassField(label=gettext_lazy("What they weighed"), required=False, initial=(None, "kg"))
    with_vessels = forms.BooleanField(required=False, label=gettext_lazy("They weighed it with its vessels"))
    half_width_g = scale_field(
        high=50_000,
        initial=FLOOR_SCALE_G,
        help_text=with_quantities(
            gettext_lazy("Their scale. A floor scale: %(least)s, own estimate, no source."), least=(500, "g", 1)
        ),
    )
    file = DocumentField(label=gettext_lazy("Scan of it"))

    ASIDE = ()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # nobody has to allow a paper to come; of the form only its units are wanted
        del self.fields["reason"]

    @property
    def folded(self):
        return []

    def clean(self):
        typed = super().clean()
        file = typed.get("file")
        if not self.errors and not (typed.get("is_signed_copy") or typed.get("weight_g") or (file and file.file)):
            raise forms.ValidationError(_("Say what came: their signed copy, their weight, or a scan."))
        return typed

    def facts(self) -> dict:
        typed = self.cleaned_data
        document = typed["file"]._asdict()
        names = ("is_signed_copy", "number", "weight_g", "with_vessels")
        half_width_g = typed["half_width_g"] if typed["weight_g"] else None
        return {"paper": ReceiverPaper(half_width_g=half_width_g, **document, **{name: typed[name] for name in names})}
