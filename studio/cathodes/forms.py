"""What is asked about a cathode."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django import forms
from django.core.validators import EMPTY_VALUES
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import by_scale
from inventory.models import Material
from studio.baths.forms.base import read_in
from studio.baths.models import Bath
from studio.bites.fields import AreaField, DepthField, SizeField
from studio.bites.forms.base import anyway_field
from studio.cathodes import hangings, sheets
from studio.cathodes.fields import DryField, SheetMassField, scale_field
from studio.cathodes.models import Cathode, CathodeWeighing, Sheet, Strip
from studio.cathodes.period import Period, last_year, of_days
from studio.pages.fields import UM_PER_MM, DayField, NumberField, PlainForm, ThicknessField, with_quantities
from studio.pages.writing import SignedForm

USUAL_STRIP_AT_UM = 50.0  # edges and lumps stand a millimetre high by then: own estimate
USUAL_LOSS_PERCENT = 20.0  # own estimate
USUAL_SCALE_G = 1.0
NAME_MISLEADS = gettext_lazy("The name misleads: it is copper or stainless steel")


class CathodeForm(SignedForm):
    """A signed form whose numbers are typed in the studio's units."""

    def __init__(self, *args, cathode: Cathode | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.cathode = cathode
        read_in(self.fields.values(), self.request.workshop.units)


class SheetForm(CathodeForm):
    """The sheet as it was measured, and when it is to be stripped."""

    facing_cm2 = AreaField(
        label=gettext_lazy("Facing area"),
        help_text=with_quantities(
            gettext_lazy("The side that faces the plate, below the liquid, such as %(area)s."),
            area=(1000, "cm²", 1),
        ),
    )
    bare = SheetMassField(
        label=gettext_lazy("Bare mass"),
        help_text=gettext_lazy("Of the sheet without any copper on it, with its hook if that stays."),
    )
    bare_half_width_g = scale_field(initial=USUAL_SCALE_G)
    strip_at_um = DepthField(
        label=gettext_lazy("Strip it when its copper is so thick on average"),
        initial=USUAL_STRIP_AT_UM,
        help_text=gettext_lazy("Edges and lumps stand some twenty times as high."),
    )
    gap_mm = NumberField(
        required=False,
        low=2,
        high=400,
        unit="mm",
        label=gettext_lazy("Gap to the plate"),
        help_text=gettext_lazy("From face to face."),
    )
    most_loss_percent = NumberField(
        required=False, low=1, high=90, unit="%", label=gettext_lazy("Or when lumps take so much of the gap, %")
    )

    FIGURES = ("facing_cm2", "bare_half_width_g", "strip_at_um", "gap_mm", "most_loss_percent")

    def clean(self):
        super().clean()
        typed = self.cleaned_data
        # a gap that was refused has its own sentence, and is not missing
        if typed.get("most_loss_percent") and not typed.get("gap_mm") and "gap_mm" not in self.errors:
            self.add_error("gap_mm", _("A share of the gap needs the gap: fill it in."))
        if typed.get("gap_mm") and not typed.get("most_loss_percent") and "most_loss_percent" not in self.errors:
            typed["most_loss_percent"] = USUAL_LOSS_PERCENT

    def sheet(self) -> Sheet:
        typed = self.cleaned_data
        return Sheet(bare_g=typed["bare"], **{name: typed[name] for name in self.FIGURES})

    def facts(self) -> dict:
        return {"sheet": self.sheet()}

    @staticmethod
    def figures_of(sheet: Sheet) -> dict:
        """As they are offered again, to be put right."""
        figures = {name: getattr(sheet, name) for name in SheetForm.FIGURES}
        return figures | {"bare": (sheet.bare_g, "g")}


class HangNewForm(SheetForm):
    name = forms.CharField(
        max_length=60,
        label=gettext_lazy("What people call it"),
        help_text=gettext_lazy("Such as Sheet of the upright tank."),
    )
    bath = forms.ModelChoiceField(
        Bath.objects.all(), label=gettext_lazy("Hangs in"), widget=forms.RadioSelect, empty_label=None
    )
    metal_anyway = anyway_field(NAME_MISLEADS)

    field_order: Sequence[str] = ("name", "bath", "facing_cm2", "bare", "bare_half_width_g")

    def facts(self) -> dict:
        typed = self.cleaned_data
        return {
            "cathode": Cathode(name=typed["name"]),
            "bath": typed["bath"],
            "sheet": self.sheet(),
            "metal_anyway": typed["metal_anyway"],
        }


class ReplaceForm(HangNewForm):
    """What hangs in the place of a cathode from now on: one that is in the book already, or a new sheet."""

    ready = forms.ModelChoiceField(
        Cathode.objects.standing(),
        required=False,
        label=gettext_lazy("Goes in"),
        empty_label=gettext_lazy("a new sheet, as below"),
    )

    field_order = ("ready", *HangNewForm.field_order)
    NEEDED = ("name", "facing_cm2", "bare", "bare_half_width_g", "strip_at_um")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["bath"]
        hanging = [stay.cathode_id for stay in hangings.stays(timezone.now()) if stay.until is None]
        ready = self.fields["ready"]
        ready.queryset = ready.queryset.exclude(pk__in=hanging)
        if not ready.queryset:
            del self.fields["ready"]
            return
        for name in self.NEEDED:
            self.fields[name].required = False

    def clean(self):
        super().clean()
        if self.cleaned_data.get("ready") or "ready" in self.errors:
            return
        for name in self.NEEDED:
            if self.cleaned_data.get(name) in EMPTY_VALUES and name not in self.errors:
                self.add_error(name, self.fields[name].error_messages["required"])

    def facts(self) -> dict:
        typed = self.cleaned_data
        if ready := typed.get("ready"):
            return {"new": ready, "metal_anyway": typed["metal_anyway"]}
        return {"new": Cathode(name=typed["name"]), "sheet": self.sheet(), "metal_anyway": typed["metal_anyway"]}


class HangForm(CathodeForm):
    bath = forms.ModelChoiceField(
        Bath.objects.all(), label=gettext_lazy("Hangs in"), widget=forms.RadioSelect, empty_label=None
    )
    metal_anyway = anyway_field(NAME_MISLEADS)


class CathodeWeighForm(CathodeForm):
    """The cathode with all that is on it."""

    mass_g = SheetMassField(
        label=gettext_lazy("Weighs"), help_text=gettext_lazy("With its hook if that was on it when the sheet was bare.")
    )
    half_width_g = scale_field(initial=USUAL_SCALE_G)
    is_dry = DryField()
    unlikely_anyway = forms.BooleanField(required=False, label=gettext_lazy("Write it all the same"))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["half_width_g"].initial = last_scale(self.cathode)

    def facts(self) -> dict:
        facts = super().facts()
        return {"weight": by_scale(facts.pop("mass_g"), facts.pop("half_width_g")), **facts}


class StripForm(CathodeWeighForm):
    mass_g = SheetMassField(
        low_g=0.0,
        label=gettext_lazy("Solid copper that came off"),
        initial=(None, "g"),
        help_text=gettext_lazy("Sheets, flakes and lumps, without loose powder."),
    )
    powder_g = NumberField(
        required=False,
        low=0,
        high=5000,
        unit="g",
        label=gettext_lazy("Loose powder, as it is: wet"),
        help_text=gettext_lazy("Keep it wet, in a jar of its own: dry, it is a fine dust."),
    )

    field_order = ("mass_g", "powder_g", "half_width_g", "is_dry")

    def facts(self) -> dict:
        facts = super().facts()
        return facts | {"powder_g": facts["powder_g"] or 0.0}


def last_scale(cathode: Cathode) -> float:
    """What the scale that was used last is good to."""
    latest = [
        # of each only the last: a cathode of many years has hundreds
        lines.objects.standing().filter(cathode=cathode).order_by("-entry__happened_at", "-entry_id")[:1]
        for lines in (CathodeWeighing, Strip)
    ]
    found = [(line.entry.happened_at, line.half_width_g) for lines in latest for line in lines.select_related("entry")]
    return max(found)[1] if found else USUAL_SCALE_G


class CopperForm(CathodeForm):
    """How much copper is in a material, asked as its dimension asks for it."""

    size = SizeField(label=gettext_lazy("Size of a piece"), help_text=gettext_lazy("Its two sides, such as 6 x 8 in."))
    width_mm = NumberField(low=0.5, high=2000, unit="mm", label=gettext_lazy("Width"))
    thickness_mm = ThicknessField(
        low=0.02,
        high=10,
        label=gettext_lazy("Thickness"),
        help_text=gettext_lazy("By calliper, or as the seller gives it: 20 oz/ft², 18 B&S."),
    )
    percent = NumberField(low=1, high=100, unit="%", label=gettext_lazy("Copper in it, %"), initial=100.0)

    ASKED: Mapping[str, tuple[str, ...]] = {
        Material.Dimension.COUNT: ("size", "thickness_mm"),
        Material.Dimension.AREA: ("thickness_mm",),
        Material.Dimension.LENGTH: ("width_mm", "thickness_mm"),
        Material.Dimension.MASS: ("percent",),
    }

    def __init__(self, *args, material: Material, **kwargs):
        super().__init__(*args, **kwargs)
        self.material = material
        asked = self.ASKED.get(material.dimension, ())
        for name in ("size", "width_mm", "thickness_mm", "percent"):
            if name not in asked:
                del self.fields[name]
        # the shelf keeps µm, a calliper shows mm
        if material.thickness_um and "thickness_mm" in self.fields:
            self.fields["thickness_mm"].initial = material.thickness_um / UM_PER_MM

    @classmethod
    def can_ask_about(cls, material: Material) -> bool:
        """A volume of something is never sheet copper."""
        return material.dimension in cls.ASKED

    def facts(self) -> dict:
        typed = self.cleaned_data
        if "percent" in typed:
            said = sheets.by_share(typed["percent"])
        elif "size" in typed:
            said = sheets.of_a_piece(*typed["size"], thickness_mm=typed["thickness_mm"])
        elif "width_mm" in typed:
            said = sheets.of_a_strip(typed["width_mm"], thickness_mm=typed["thickness_mm"])
        else:
            said = sheets.of_a_sheet(thickness_mm=typed["thickness_mm"])
        return {"said": said}


class PeriodForm(PlainForm):
    """Which days the balance is about; without an answer the last year."""

    since = DayField(label=gettext_lazy("From"))
    until = DayField(label=gettext_lazy("To"))

    def __init__(self, asked, *, now: datetime):
        self.now, self.usual = now, last_year(now)
        days = {"since": timezone.localdate(self.usual.since), "until": timezone.localdate(now)}
        # always bound: the form shows the days that the page is about, asked for or not
        super().__init__({name: asked.get(name) or f"{day:%Y-%m-%d}" for name, day in days.items()})

    def clean(self):
        typed = super().clean()
        since, until = typed.get("since"), typed.get("until")
        if since and since > timezone.localdate(self.now):
            self.add_error("since", _("That day has not come yet."))
        elif since and until and until < since:
            self.add_error("until", _("It ends before it begins; give a later day."))

    def period(self) -> Period:
        """The days asked for; the last year when they are none."""
        if not self.is_valid():
            return self.usual
        return of_days(self.cleaned_data["since"], self.cleaned_data["until"], now=self.now)
