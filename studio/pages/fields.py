"""The one number field and the one quantity field: typed as people type, refused with a sentence of its own."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.functional import lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import locale, units, vessels
from chemistry.copper import gauges
from chemistry.measured import digits
from chemistry.quantity import CM_PER_IN, MEASURED, MOST_CONVERTED, UM_PER_MIL, quantity, read_in, sides, typed_in
from chemistry.ranges import OutOfRange
from inventory.refusals import Refused
from inventory.wording import translated, translated_lazy
from studio.pages.quantities import Units

INCH_MARKS = ('"', "″", "”")
UM_PER_MM = 1000
MM_IN_EACH = {"mm": 1.0, "in": 10 * CM_PER_IN, "mil": UM_PER_MIL / UM_PER_MM}
LETTER = re.compile(r"[^\W\d_]")
LABELS: Mapping[str, Any] = {
    "cup": gettext_lazy("cups"),
    **{name: translated_lazy(label) for name, label in units.LABELS.items()},
}


CHOOSE_ONE, FILL_IN = gettext_lazy("Needed: choose one."), gettext_lazy("Needed: fill this in.")


def ask_for_what_is_needed(fields: Iterable[forms.Field]) -> None:
    """A field that must not stay empty says so in its own way; one that has a sentence of its own keeps it."""
    for field in fields:
        # the same object, for to compare what two of them say each would be looked up in the catalogue
        if field.error_messages.get("required") is forms.Field.default_error_messages["required"]:
            field.error_messages["required"] = CHOOSE_ONE if isinstance(field, forms.ChoiceField) else FILL_IN


class FigureForm(forms.Form):
    """A form whose figures go into sums, which may find them too large or too small."""

    TYPED_IN: ClassVar[Mapping[str, str]] = {}  # what a sum calls a figure, and the field it was typed in

    ways: Sequence[tuple[str, str]] = ()  # what helps where the book refused, in words and with an address
    tells_above = True  # the page says on top that it was turned back, or taken up again
    may_be_left = False  # for an errand, after which it is taken up again
    is_taken_up = False
    first_button = ""  # the name of the button that a form begins with, where it does not write

    def full_clean(self) -> None:
        # nobody has said yet that it is done
        if self.is_taken_up:
            self._errors, self.cleaned_data = forms.utils.ErrorDict(), {}
        else:
            super().full_clean()

    def is_valid(self) -> bool:
        return super().is_valid() and not self.is_taken_up

    def refuse(self, refusal: Refused) -> None:
        """A refusal of the book stands beside the field that caused it, or above the form, with what helps."""
        self.ways = [*self.ways, *refusal.ways]
        self.add_error(refusal.field if refusal.field in self.fields else None, refusal)

    def refuse_figure(self, error: OutOfRange, units: Units) -> None:
        """What a sum cannot take stands beside the field it was typed in, in the studio's units."""
        alike = [name for name, typed in self.cleaned_data.items() if typed == error.value]
        name = self.TYPED_IN.get(error.name, error.name)
        # a sum has its own name for it, but where two fields feed the same one the number tells which
        beside = name if name in self.fields else next(iter(alike), None)
        self.add_error(beside, units.outside(error))


class PlainForm(FigureForm):
    """A form that is not signed, and asks for what it needs as a signed one does."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        ask_for_what_is_needed(self.fields.values())


def with_quantities(sentence: Any, *, of: tuple[float, ...] = (), **places: tuple[Any, ...]) -> Any:
    """
    A sentence whose figures are read in the studio's units and marks, once there is a studio to read them.

    of: sides of a sheet in mm, which the sentence calls so.
    """

    def said() -> str:
        shown = {name: quantity(*figure).rstrip() for name, figure in places.items()}
        return sentence % (shown | {"sides": sides(*of)} if of else shown)

    return lazy(said, str)()


class OfJars(forms.Field):
    """One or some of the shelf, which may be chosen by the code that is printed on it."""

    is_of_jars = True


class DayField(forms.DateField):
    """A day, chosen in the browser's own calendar, which knows the ISO form alone."""

    def __init__(self, **kwargs):
        super().__init__(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)


class MomentField(forms.DateTimeField):
    """A day and a time, chosen in the browser's own calendar."""

    def __init__(self, **kwargs):
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(widget=widget, input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"], **kwargs)

    def to_python(self, value):
        """Of an hour that the clocks repeat, the later that has come; one that they leave out is refused."""
        try:
            return super().to_python(value)
        except ValidationError as error:
            if error.code != "ambiguous_timezone":
                raise
        with timezone.override(UTC):
            typed = super().to_python(value)
        here = timezone.get_current_timezone()
        first, second = (typed.replace(tzinfo=here, fold=fold) for fold in (0, 1))
        if first.utcoffset() < second.utcoffset():
            raise ValidationError(_("The clocks went forward then: there was no such time."))
        return second if second <= timezone.now() else first


class WholeNumberField(forms.IntegerField):
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class TypedField(forms.CharField):
    """What is typed as people type it: `read` says what it means, and what stays empty is None."""

    widget: forms.Widget = forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off"})

    def __init__(self, **kwargs):
        super().__init__(max_length=units.LONGEST_TEXT, **kwargs)

    def clean(self, value):
        typed = super().clean(value)
        return None if typed in self.empty_values else self.read(typed)

    def read(self, typed: str):
        raise NotImplementedError


class MeasuredField(TypedField):
    """Inside a range. A unit that this studio reads another one for is asked for in that one, behind the label."""

    is_read_as_typed = False  # by a field that has a setting of its own

    def __init__(self, *, low: float, high: float, unit: str = "", **kwargs):
        self.low, self.high, self.unit = low, high, unit
        super().__init__(**kwargs)

    @property
    def asked_in(self) -> tuple[str, float, float]:
        """The unit that is typed, how many of the sum's make one, and what it shows at the sum's nought."""
        if self.is_read_as_typed:
            return self.unit, 1.0, 0.0
        if self.unit == "°C" and locale.current().temperature_unit == "°F":
            return "°F", 5 / 9, 32.0
        return *typed_in(self.unit), 0.0

    def get_bound_field(self, form, field_name):
        bound = super().get_bound_field(form, field_name)
        if not self.is_read_as_typed and self.unit in MEASURED:
            bound.label = f"{bound.label}, {self.asked_in[0]}"
        return bound


class NumberField(MeasuredField):
    """A plain number: "1,5", "1.5" or "1 1/2", inside a range whose refusal names it."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def read(self, typed: str) -> float:
        # a hyphen or a real minus, whichever the keyboard or the pasted text has
        below_nought = self.low < 0 and typed[0] in "-−"
        number = float(understood(units.parse_number, typed[1:] if below_nought else typed))
        if below_nought:
            number = -number
        unit, size, shift = self.asked_in
        low, high = self.low / size + shift, self.high / size + shift
        if not low <= number <= high:
            places = {"low": digits(low, MOST_CONVERTED), "high": digits(high, MOST_CONVERTED), "unit": unit}
            raise ValidationError(
                _("%(number)s is outside %(span)s; look again at the number and its unit.")
                % {"number": digits(number), "span": (_("%(low)s to %(high)s %(unit)s") % places).strip()}
            )
        return (number - shift) * size

    def prepare_value(self, value):
        if not isinstance(value, float):
            return value
        unit, size, shift = self.asked_in
        # or a sum would come back into its field as 0.30000000000000004
        return digits(value / size + shift, 10 if unit == self.unit else MOST_CONVERTED)


class ThicknessField(NumberField):
    """How thick copper is, in mm: a number in the unit behind the label, with its own, by a gauge or the ounce."""

    widget = forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "off"})

    def __init__(self, *, low: float = 0.1, high: float = 20, **kwargs):
        super().__init__(low=low, high=high, unit="mm", **kwargs)

    @property
    def asked_in(self) -> tuple[str, float, float]:
        unit = locale.current().thickness
        return unit, MM_IN_EACH[unit], 0.0

    def read(self, typed: str) -> float:
        if not LETTER.search(typed) and not typed.endswith(INCH_MARKS):
            return super().read(typed)
        mm = understood(gauges.thickness_um, typed) / UM_PER_MM
        if not self.low <= mm <= self.high:
            unit, size, _shift = self.asked_in
            places = {"low": digits(self.low / size, 3), "high": digits(self.high / size, 3), "unit": unit}
            told = _("%(typed)s is outside %(low)s to %(high)s %(unit)s; look again at the number and its unit.")
            raise ValidationError(told % {"typed": typed, **places})
        return mm


def as_typed(value: float | None, unit: str, names: Iterable[str]) -> tuple[str, str]:
    """
    What stands in a field before anybody typed: so many of a unit of the sums, in one of those that are offered.

    >>> with locale.override(Units(volume="gal")):
    ...     as_typed(0.1, "L", ["gal", "fl oz", "L"]), as_typed(None, "L", ["gal", "L"])
    (('3.381', 'fl oz'), ('', 'gal'))
    """
    if value is None:
        return "", units.own(unit) if units.own(unit) in names else unit
    name, size = read_in(unit, value)
    if name not in names:
        name, size = unit, 1.0
    # or a sum would come back into its field as 0.30000000000000004
    return digits(value / size, 10 if name == unit else MOST_CONVERTED), name


class NumberAndUnit(forms.MultiWidget):
    """A number by the decimal keypad and its unit beside it; whatever is sent in one piece is taken as well."""

    last = ""  # the unit that was typed last for the same thing

    def __init__(self, of_the_sums: Iterable[str], *, labels: Mapping[str, Any] = LABELS, first: str = ""):
        """of_the_sums: what is offered, as `units.offered` has it. first: the unit that the thing is kept in."""
        self.of_the_sums, self.labels, self.first = tuple(of_the_sums), labels, first
        typed = {"inputmode": "decimal", "autocomplete": "off", "aria-label": _("Amount")}
        super().__init__([forms.TextInput(attrs=typed), forms.Select(attrs={"aria-label": _("Unit")})])

    @property
    def offered(self) -> list[str]:
        return units.offered(self.of_the_sums, self.first, self.last)

    def get_context(self, name, value, attrs):
        self.widgets[1].choices = [(unit, self.labels.get(unit, unit)) for unit in self.offered]
        # what was sent is a list, and stays as it was typed
        return super().get_context(name, self.decompress(value), attrs)

    def value_from_datadict(self, data, files, name):
        return [data[name], ""] if name in data else super().value_from_datadict(data, files, name)

    def decompress(self, value):
        if isinstance(value, tuple):
            return ("", self.last) if value[0] is None and self.last else as_typed(*value, self.offered)
        if not isinstance(value, str):
            return value or (None, None)
        number, _, unit = value.partition(" ")
        # an amount in a unit that is not on offer is shown whole
        return (number, unit) if unit in self.offered else (value, None)


class AmountField(TypedField):
    """An amount with its unit, such as "250 g" or "1 1/2 cups", as whole base units of its dimension."""

    def __init__(self, *, dimension: str, cups: units.Cups = "metric", unit: str = "", **kwargs):
        self.dimension, self.cups, self.unit = dimension, cups, unit
        super().__init__(**kwargs)

    def ask_for(self, dimension: str, unit: str, cups: units.Cups, *, also: Iterable[str] = ()) -> None:
        """Amounts of one thing: in the unit that it is kept in, unless another one is chosen or written."""
        self.dimension, self.unit, self.cups = dimension, unit, cups
        # an area is its two sides as often as not, which no keypad of numbers can write
        if of_the_sums := (*units.OFFERED.get(dimension, ()), *also):
            self.widget = NumberAndUnit(of_the_sums, first=unit)
            self.widget.is_required = self.required

    def clean(self, value):
        if isinstance(value, (list, tuple)):
            typed, unit = ((each or "").strip() for each in value)
            # phones fill in whole amounts; the unit beside it was not looked at then
            value = f"{typed} {units.printed_unit(unit or self.unit)}" if typed and not LETTER.search(typed) else typed
        return super().clean(value)

    def read(self, typed: str) -> int:
        return understood(vessels.parse_typed, typed, self.dimension, cups=self.cups, unit=self.unit)


def understood(read, typed, *args, **kwargs):
    """What `chemistry.units` reads, or its sentence beside the field."""
    try:
        return read(typed, *args, **kwargs)
    except units.NotUnderstood as error:
        raise ValidationError(translated(error)) from error


BETWEEN_ENDS = re.compile(r"\s*(?:[-–]|\bto\b)\s*")


def ends(text: str) -> tuple[float, float]:
    """
    A number as both ends of its range, or the two ends that were typed; else NotUnderstood.

    >>> ends("1,5"), ends("10 to 20")
    ((1.5, 1.5), (10.0, 20.0))
    """
    typed = BETWEEN_ENDS.split(text.strip())
    if len(typed) > 2:
        raise units.NotUnderstood(_("“%(typed)s” has more than two ends; write it like 10 to 20.") % {"typed": text})
    low, high = (float(units.parse_number(end)) for end in (typed[0], typed[-1]))
    if low > high:
        raise units.NotUnderstood(
            _("“%(typed)s” begins with its larger end; write %(low)s to %(high)s.")
            % {"typed": text, "low": typed[-1], "high": typed[0]}
        )
    return low, high


class RangeField(MeasuredField):
    """A number, or the two ends of its range: "0.79" or "0.78 to 0.80"."""

    def read(self, typed: str) -> tuple[float, float]:
        unit, size, _shift = self.asked_in
        low, high = (end * size for end in understood(ends, typed))
        if not self.low <= low <= high <= self.high:
            raise ValidationError(
                _("%(typed)s is outside %(low)s to %(high)s %(unit)s; look at it again.")
                % {"typed": typed, "low": digits(self.low / size, 4), "high": digits(self.high / size, 4), "unit": unit}
            )
        return low, high

    def prepare_value(self, value):
        if not isinstance(value, tuple):
            return value
        unit, size, _shift = self.asked_in
        low, high = (digits(end / size, 6 if unit == self.unit else MOST_CONVERTED) for end in value)
        return low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
