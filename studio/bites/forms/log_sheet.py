"""One line of a log sheet that was filled in by hand."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import DensityRead, LevelRead, Reading
from chemistry.measured import HALF_WIDTH_SDS
from inventory.models import Container, Entry
from inventory.refusals import Refused
from studio.baths import dipstick, readings
from studio.baths.event_log import UNDATED
from studio.baths.fields import HydrometerField, LevelField, MassField, TemperatureField, VolumeField
from studio.baths.models import Bath
from studio.baths.salt import Portion
from studio.bites.fields import amps_field, minutes_field
from studio.bites.forms.base import ExposureForm, anyway_field
from studio.bites.log_sheet import SheetRow, keys_of
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.pages.quantities import mass_mg

CELLS = (
    *("happened_at", "done_by", "level", "hydrometer", "temperature_c", "water", "crystals", "jar"),
    *("minutes", "amps", "exposed", "note"),
)
QUESTIONS = ("weak_anyway", "salt_anyway", "unusual_anyway")


class SheetRowForm(ExposureForm):
    """Its boxes in the order of the paper; one that nobody filled in is passed over."""

    TYPED_IN = {"volume_l": "level", "sg": "hydrometer"}
    tells_above = False

    level = LevelField(label=gettext_lazy("Level"), required=False)
    hydrometer = HydrometerField(label=gettext_lazy("Hydrometer"), required=False)
    temperature_c = TemperatureField(label=gettext_lazy("Bath"), required=False)
    water = VolumeField(label=gettext_lazy("Water in"), required=False)
    crystals = MassField(label=gettext_lazy("Crystals in"), required=False, initial=(None, "g"))
    jar = forms.TypedChoiceField(label=gettext_lazy("Out of"), required=False, empty_value=None)
    minutes = minutes_field(label=gettext_lazy("Bite, minutes"))
    amps = amps_field()
    weak_anyway = anyway_field(gettext_lazy("Add the water all the same"))
    salt_anyway = forms.CharField(
        required=False, max_length=200, label=gettext_lazy("Why the crystals go in all the same")
    )
    unusual_anyway = anyway_field(gettext_lazy("It is as it was read"))

    def __init__(self, *args, bath: Bath, jars: list[Container], **kwargs):
        super().__init__(*args, **kwargs)
        self.bath = bath
        jar: Any = self.fields["jar"]
        jar.chooses = Container
        known = {str(each.pk): each for each in jars}
        jar.choices, jar.coerce = [("", _("which?")), *((key, each.code) for key, each in known.items())], known.get
        self.fields["exposed"].initial = (None, "cm2")
        self.fields["note"].widget = forms.TextInput()
        self.fields["happened_at"].required = True
        self.fields["happened_at"].error_messages["required"] = _("Needed: the day and the time on the paper.")
        if len(jars) == 1:
            jar.initial = jars[0].pk

    def entry(self) -> Entry | None:
        """The first that it wrote before; each of its acts has a key of its own."""
        key = self.cleaned_data.get("key")
        return Entry.objects.filter(key__in=keys_of(key)).first() if key else None

    @property
    def is_blank(self) -> bool:
        return self.is_left_alone(CELLS)

    def clean(self):
        typed = super().clean()
        if typed.get("crystals") and not typed.get("jar") and "jar" not in self.errors:
            self.add_error("jar", _("Say out of which container."))
        if typed.get("hydrometer") and typed.get("temperature_c") is None and "temperature_c" not in self.errors:
            self.add_error("temperature_c", _("A hydrometer tells nothing without the temperature."))
        if (typed.get("minutes") is None) != (typed.get("amps") is None) and not {"minutes", "amps"} & set(self.errors):
            self.add_error("amps" if typed.get("amps") is None else "minutes", _("A bite needs minutes and amps."))
        told = ("level", "hydrometer", "water", "crystals", "minutes")
        if not self.errors and not any(typed.get(name) for name in told):
            self.add_error(None, _("Say what was done: read, topped up or bitten."))
        return typed

    def sheet_row(self) -> SheetRow:
        typed, bite = self.cleaned_data, None
        if typed["minutes"]:
            reading = CurrentReading(minutes=0.0, amps=typed["amps"])
            bite = (Setting(exposed=self.bare), Ending(minutes=typed["minutes"]), [reading])
        salt = [Portion(typed["jar"], mass_mg(typed["crystals"]))] if typed["crystals"] else []
        return SheetRow(
            by=self.signed(),
            readings=list(self.measured()),
            water_l=typed["water"] or 0.0,
            salt=salt,
            bite=bite,
            **{name: typed[name] for name in QUESTIONS},
        )

    def measured(self) -> Iterator[tuple[Reading, str]]:
        typed = self.cleaned_data
        temperature_c = self.bath.air_c if typed["temperature_c"] is None else typed["temperature_c"]
        if level := typed["level"]:
            stick = dipstick.dipstick_of(self.bath)
            read: Reading = LevelRead(
                day=UNDATED,
                volume_l=level.volume_l(stick),
                sd_l=stick.half_width_l / HALF_WIDTH_SDS,
                temperature_c=temperature_c,
            )
            yield read, level.words(stick)
        if shown := typed["hydrometer"]:
            _scale, reference_c = readings.last_instrument(self.bath)
            read = DensityRead(
                day=UNDATED, sg=shown.sg, temperature_c=temperature_c, reference_c=shown.reference_c or reference_c
            )
            yield (
                read,
                _("%(words)s at %(temperature)s")
                % {"words": shown.words, "temperature": self.units.temperature(temperature_c)},
            )

    def refuse(self, refusal: Refused) -> None:
        """The book speaks of litres and salt, the paper of what was poured and weighed."""
        beside = {"water_l": "water", "salt": "crystals", "volume_l": "level", "more": "amps", "ml_each": "minutes"}
        refusal.field = beside.get(refusal.field or "", refusal.field)
        super().refuse(refusal)

    @property
    def cells(self):
        return [self[name] for name in CELLS]

    @property
    def questions(self):
        """What the book asked once and is told again."""
        return [self[name] for name in QUESTIONS if self[name].errors or self[name].value()]
