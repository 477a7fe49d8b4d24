"""What is typed of plates and bites: two sides, bare copper, depths, and readings a line each."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units, vessels
from chemistry.locale import in_prose
from chemistry.measured import Measured, digits
from chemistry.quantity import quantity
from studio.baths.fields import WithUnitField
from studio.bites.exposure import Bare
from studio.bites.operations import CurrentReading
from studio.pages.fields import LABELS, NumberField, TypedField, understood
from studio.pages.quantities import Units

MM2_PER_CM2 = 100
MOST_AMPS, MOST_VOLTS, LONGEST_MIN = 20, 30, 1440
READING_EXAMPLE = lazy(in_prose, str)("10 = 1.2, 0.9")


class SizeField(TypedField):
    """Two sides, in whole mm."""

    def read(self, typed: str) -> tuple[int, int]:
        return understood(units.parse_sides, typed)


class ExposedField(WithUnitField):
    """Bare copper: measured, or the share of the plate that it looks like."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", _("Bare copper"))
        super().__init__(units=("%", "cm2"), labels={**LABELS, "%": _("% of plate")}, required=False, **kwargs)

    def read(self, typed: str, unit: str) -> Bare:
        if unit != "%":
            return Bare(cm2=understood(units.parse, f"{typed} {unit}", "area") / MM2_PER_CM2)
        percent = float(understood(units.parse_number, typed))
        if not 0 < percent <= 100:
            raise ValidationError(
                _("%(percent)s %% of a plate is outside 0 to 100 %%; look again at the number.")
                % {"percent": digits(percent)}
            )
        return Bare(percent=percent)

    @staticmethod
    def shown(exposed: Measured | None) -> tuple[float, str] | None:
        """As it is offered again, to be kept or changed."""
        return (exposed.value, "cm2") if exposed else None


class AreaField(TypedField):
    """An area, or its two sides, in cm²."""

    def read(self, typed: str) -> float:
        return understood(vessels.parse_typed, typed, "area") / MM2_PER_CM2

    def prepare_value(self, value):
        return quantity(value, "cm²", 4) if isinstance(value, float) else value


class DepthField(NumberField):
    """A depth as the studio reads depths, in µm."""

    is_read_as_typed = True

    def __init__(self, **kwargs):
        self.studio = Units()
        super().__init__(low=0.1, high=2000, unit="µm", **kwargs)

    def read_in(self, studio: Units) -> None:
        self.studio, self.unit = studio, studio.depth_unit
        if self.unit == "mil":
            # round bounds of its own: a refusal names them, and 78.74 mil would look like a rule
            self.low, self.high = 0.01, 80
        self.label = f"{self.label}, {self.unit}"

    def read(self, typed: str) -> float:
        return self.studio.um(super().read(typed))

    def prepare_value(self, value):
        # a float comes from the book and is in µm; a string is what was typed, in the studio's unit already
        return self.studio.depth(value).value if isinstance(value, float) else value


class ReadingsField(forms.CharField):
    """Further readings, a line each: "10 = 1.2, 0.9" is 1.2 A at 0.9 V after 10 minutes."""

    def __init__(self, **kwargs):
        super().__init__(
            label=_("Several readings"),
            required=False,
            widget=forms.Textarea(attrs={"rows": 4, "autocapitalize": "off"}),
            max_length=2000,
            help_text=format_lazy(
                _("A line each, such as {example}: minutes since the start, amps, volts if you like."),
                example=READING_EXAMPLE,
            ),
            **kwargs,
        )

    def clean(self, value) -> list[CurrentReading]:
        # by the bite's own clock: the form takes the last one to see whether it came after the stop
        return sorted(
            (self.reading_in(line.strip()) for line in super().clean(value).splitlines() if line.strip()),
            key=lambda reading: reading.minutes,
        )

    def reading_in(self, line: str) -> CurrentReading:
        minutes, shown = (part.strip() for part in (line.partition("=")[0], line.partition("=")[2]))
        # a comma without a space behind it is a decimal comma: 1,2 is one figure and not two
        amps, *volts = (shown.split(", ") if ", " in shown else shown.split()) or [""]
        if not (minutes and amps) or len(volts) > 1:
            raise ValidationError(
                _("“%(line)s” is not a reading. Write one like %(READING_EXAMPLE)s.")
                % {"line": line, "READING_EXAMPLE": READING_EXAMPLE}
            )
        try:
            return CurrentReading(
                minutes=minutes_field().clean(minutes) or 0.0,
                amps=amps_field().clean(amps) or 0.0,
                volts=volts_field().clean(volts[0]) if volts else None,
            )
        except ValidationError as error:
            raise ValidationError(
                _("In the reading “%(line)s”: %(message)s") % {"line": line, "message": error.message}
            ) from error

    def prepare_value(self, value):
        return "\n".join(map(reading_line, value)) if isinstance(value, list) else value


def reading_line(reading) -> str:
    volts = f", {digits(reading.volts)}" if reading.volts is not None else ""
    return f"{digits(reading.minutes, 4)} = {digits(reading.amps)}{volts}"


AMPS, VOLTS, MINUTES = gettext_lazy("Amps"), gettext_lazy("Volts"), gettext_lazy("Minutes")


def amps_field(*, low: float = 0, label=AMPS, required: bool = False, **kwargs) -> NumberField:
    return NumberField(low=low, high=MOST_AMPS, unit="A", label=label, required=required, **kwargs)


def volts_field(*, label=VOLTS, **kwargs) -> NumberField:
    return NumberField(low=0, high=MOST_VOLTS, unit="V", label=label, required=False, **kwargs)


def minutes_field(*, low: float = 0, label: Any = MINUTES, required: bool = False, **kwargs) -> NumberField:
    return NumberField(low=low, high=LONGEST_MIN, unit="min", label=label, required=required, **kwargs)
