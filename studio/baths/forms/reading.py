"""What was measured on a bath."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import DensityRead, LevelRead, Titrated
from chemistry.measured import HALF_WIDTH_SDS, digits, rounded
from chemistry.quantity import quantity
from studio.baths import dipstick, readings
from studio.baths.event_log import UNDATED
from studio.baths.fields import HydrometerField, LevelField, TemperatureField, TitrationField
from studio.baths.forms.base import BathForm
from studio.baths.models import Answer
from studio.pages.fields import NumberField

A_DROP_MOL_PER_L = 0.001  # 0.05 mL of 0.1 mol/L from the burette into 5 mL of bath: common practice, no source
TEMPERATURE_HELP = gettext_lazy("Warm liquid is lighter; the book allows for it.")


class ReferenceField(forms.TypedChoiceField):
    def __init__(self, **kwargs):
        super().__init__(
            label=_("Instrument made for"),
            help_text=_("Printed beside its scale. A Baumé scale is made for 60 °F, whatever you choose."),
            choices=[("20", "20 °C"), ("15.56", "60 °F"), ("15", "15 °C")],
            coerce=float,
            **kwargs,
        )


class LevelForm(BathForm):
    TYPED_IN = {"volume_l": "level", "sd_l": "half_width_l"}

    level = LevelField(label=gettext_lazy("Level"))
    temperature_c = TemperatureField(label=gettext_lazy("Temperature of the bath"), initial=20)
    half_width_l = NumberField(low=0.001, high=100, unit="L", label=gettext_lazy("± of the level"))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.dipstick = dipstick.dipstick_of(self.bath)
        self.fields["temperature_c"].initial = self.bath.air_c
        self.fields["half_width_l"].initial = rounded(self.dipstick.half_width_l, 2)
        self.fields["half_width_l"].help_text = _(
            "%(depth)s of the dipstick, as eyes go; more if the tank stood askew."
        ) % {"depth": quantity(2, "mm")}

    def facts(self) -> dict:
        typed = self.cleaned_data
        reading = LevelRead(
            day=UNDATED,
            volume_l=typed["level"].volume_l(self.dipstick),
            sd_l=typed["half_width_l"] / HALF_WIDTH_SDS,
            temperature_c=typed["temperature_c"],
        )
        return {"reading": reading, "words": typed["level"].words(self.dipstick)}

    def clean_level(self):
        level = self.cleaned_data["level"]
        if level.volume_l(self.dipstick) <= 0:
            raise forms.ValidationError(_("Nothing is left to read: write where the bath went, then mix it anew."))
        return level


class HydrometerForm(BathForm):
    TYPED_IN = {"sg": "hydrometer"}

    hydrometer = HydrometerField(label=gettext_lazy("Hydrometer shows"))
    temperature_c = TemperatureField(label=gettext_lazy("Temperature of the bath"), help_text=TEMPERATURE_HELP)
    reference_c = ReferenceField()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        scale, reference_c = readings.last_instrument(self.bath)
        self.fields["hydrometer"].initial = (None, scale)
        self.fields["reference_c"].initial = f"{reference_c:g}"

    def facts(self) -> dict:
        typed = self.cleaned_data
        shown, temperature_c = typed["hydrometer"], typed["temperature_c"]
        reading = DensityRead(
            day=UNDATED,
            sg=shown.sg,
            temperature_c=temperature_c,
            reference_c=shown.reference_c or typed["reference_c"],
        )
        return {
            "reading": reading,
            "words": _("%(words)s at %(temperature)s")
            % {"words": shown.words, "temperature": self.units.temperature(temperature_c)},
        }


class TitrationForm(BathForm):
    TYPED_IN = {"mol_per_l": "copper", "sd": "half_width_percent"}

    copper = TitrationField(label=gettext_lazy("Copper in it"))
    half_width_percent = NumberField(
        low=0.1,
        high=50,
        unit="%",
        label=gettext_lazy("± of it, %"),
        initial=2.0,
        help_text=gettext_lazy("Burette, flask and eye together."),
    )

    def facts(self) -> dict:
        mol_per_l = self.cleaned_data["copper"]
        share = self.cleaned_data["half_width_percent"] / 100
        # a share of nothing would be a reading without a spread, which nobody can titrate
        half_width = max(share * mol_per_l, A_DROP_MOL_PER_L)
        reading = Titrated(day=UNDATED, mol_per_l=mol_per_l, sd=half_width / HALF_WIDTH_SDS)
        return {
            "reading": reading,
            "words": _("%(mol_per_l)s mol/L of copper by titration") % {"mol_per_l": digits(mol_per_l, 3)},
        }


class AnswerForm(BathForm):
    choice = forms.ChoiceField(
        label=gettext_lazy("What is to be believed?"),
        widget=forms.RadioSelect,
        choices=[
            (Answer.Choice.TRUST_READING, gettext_lazy("Trust the reading: something happened that nobody wrote down")),
            (Answer.Choice.TRUST_BOOK, gettext_lazy("Trust the book: the reading went wrong")),
            (Answer.Choice.READ_AGAIN, gettext_lazy("Read again: neither is believed yet")),
        ],
    )
