"""What is typed at a bath: a number and its unit side by side, temperatures, strengths, hydrometers, a tank's marks."""

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units, vessels
from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.locale import in_prose
from chemistry.measured import digits, plain
from chemistry.quantity import g_per_l_in, ladder, quantity
from chemistry.sentences import OR, strung
from chemistry.solution import strengths, sulfate
from inventory.wording import translated
from studio.baths.dipstick import Level
from studio.pages import quantities
from studio.pages.fields import LABELS, LETTER, NumberAndUnit, NumberField, understood, with_quantities
from studio.pages.quantities import Units

MOST_G = 1_000_000.0
MM_PER_CM = 10
CONTENTS = ("g/L", *units.CUSTOMARY["g/L"], *map(units.in_imperial, units.CUSTOMARY["g/L"]))
HYDROMETER = re.compile(r"[01][.,]\d{3}")
HEAVIEST_SG = 1.3  # a good way past saturation at 35 °C
MARK_EXAMPLE = with_quantities(
    gettext_lazy("Write a mark like %(depth)s = %(volume)s"), depth=(10, "cm", 1), volume=(4, "L", 1)
)


class WithUnitField(forms.Field):
    """A number as typed and one of a few units; `read` says what the two mean together."""

    default_error_messages = {"required": gettext_lazy("Give a number.")}

    def __init__(self, *, units: Iterable[str], labels: Mapping[str, Any] = LABELS, **kwargs):
        """units: of the sums; a studio is offered those that it reads them in as well."""
        super().__init__(widget=NumberAndUnit(units, labels=labels), **kwargs)

    def to_python(self, value):
        typed, unit = value or ("", "")
        typed = (typed or "").strip()
        if not typed:
            return None
        offered = self.widget.offered
        if unit not in offered:
            labels = [str(self.widget.labels.get(each, each)) for each in offered]
            raise ValidationError(
                _("“%(unit)s” is not a unit known here; choose %(values)s.")
                % {"unit": unit, "values": translated(strung(labels, OR))}
            )
        return self.read(typed, unit)

    def read(self, typed: str, unit: str):
        raise NotImplementedError


@dataclass(frozen=True)
class TypedQuantity:
    """An amount in whole base units of its dimension."""

    dimension: str
    amount: int


class QuantityField(WithUnitField):
    """An amount in one of a few units, which need not measure alike: a level is so many cm or so many litres."""

    def __init__(self, *units: str, **kwargs):
        self.cups: Any = "metric"
        super().__init__(units=units, **kwargs)

    def read_in(self, studio: Units) -> None:
        self.cups = studio.cups

    def read(self, typed: str, unit: str) -> TypedQuantity:
        # phones fill in whole amounts; the unit beside it was not looked at then
        if LETTER.search(typed):
            return self.read_with_its_unit(typed)
        dimension = units.dimension_of(unit)
        return TypedQuantity(dimension, understood(units.parse, f"{typed} {unit}", dimension, cups=self.cups))

    def read_with_its_unit(self, typed: str) -> TypedQuantity:
        """Somebody wrote "250 ml" into the number's place: what is written goes before what is chosen."""
        for dimension in sorted({units.dimension_of(unit) for unit in self.widget.of_the_sums} & units.UNITS.keys()):
            with suppress(ValidationError):
                return TypedQuantity(dimension, understood(vessels.parse_typed, typed, dimension, cups=self.cups))
        raise ValidationError(
            in_prose(_("“%(typed)s” is not an amount; write a number like 1.5 and choose its unit beside it."))
            % {"typed": typed}
        )


class VolumeField(QuantityField):
    """A volume, in litres."""

    def __init__(self, **kwargs):
        super().__init__("L", "mL", "cup", **kwargs)

    def to_python(self, value):
        quantity = super().to_python(value)
        return None if quantity is None else quantities.litres(quantity.amount)


class MassField(QuantityField):
    """What a scale shows, in grams."""

    def __init__(self, **kwargs):
        super().__init__("kg", "g", **kwargs)

    def to_python(self, value) -> float | None:
        quantity = super().to_python(value)
        return None if quantity is None else below(quantities.grams(quantity.amount), MOST_G, "g")


def below(value: float, most: float, unit: str) -> float:
    if value > most:
        raise ValidationError(
            _("%(value)s %(unit)s is more than a studio has in a drum; look again at the unit.")
            % {"value": digits(value), "unit": unit}
        )
    return value


class LevelField(QuantityField):
    """A level by the dipstick, or straight in litres."""

    def __init__(self, **kwargs):
        super().__init__("cm", "L", **kwargs)

    def to_python(self, value):
        quantity = super().to_python(value)
        if quantity is None:
            return None
        if quantity.dimension == "volume":
            return Level(litres=quantities.litres(quantity.amount))
        number, unit = ((part or "").strip() for part in value)
        # what is written goes before the unit that is chosen
        typed = number if LETTER.search(number) else f"{digits(float(units.parse_number(number)))} {unit}"
        return Level(depth_cm=quantity.amount / MM_PER_CM, typed=typed)


class CrystalsField(QuantityField):
    """Salt by the scale or by the cup."""

    def __init__(self, **kwargs):
        super().__init__("g", "kg", "cup", **kwargs)


class AcidField(QuantityField):
    """An acid by the scale, by the measuring glass, or by what a litre of bath is to hold of it, in mg."""

    def __init__(self, **kwargs):
        super().__init__("g", "mL", "g/L", **kwargs)
        in_the_bath = {unit: _("%(unit)s in the bath") % {"unit": unit} for unit in CONTENTS}
        self.widget.labels = {**LABELS, **in_the_bath}

    def read(self, typed: str, unit: str) -> TypedQuantity:
        number, _, own = typed.partition(" ")
        if own.strip() in CONTENTS:
            typed, unit = number, own.strip()
        if unit not in CONTENTS or LETTER.search(typed):
            return super().read(typed, unit)
        g_per_l = float(understood(units.parse_number, typed)) * g_per_l_in(unit)
        return TypedQuantity("strength", quantities.mass_mg(g_per_l))


@dataclass(frozen=True)
class Gravity:
    """What a hydrometer showed; the Baumé scale brings the temperature it was made for."""

    sg: float
    words: str
    reference_c: float | None = None


class HydrometerField(WithUnitField):
    """Specific gravity or degrees Baumé (US scale); a figure on the wrong one of the two is questioned."""

    def __init__(self, **kwargs):
        super().__init__(units=("SG", "°Bé"), **kwargs)

    def read(self, typed: str, unit: str) -> Gravity:
        # a nought more, so that 1.155 is not taken for thousands
        number = float(understood(units.parse_number, f"{typed}0" if HYDROMETER.fullmatch(typed) else typed))
        return gravity_from_degrees(number) if unit == "°Bé" else gravity_from_sg(number)


class TitrationField(WithUnitField):
    """Copper in a litre, by moles or by grams; in mol/L."""

    MOST_MOL_PER_L = STRONGEST_G_PER_L / sulfate.BLUE_CRYSTALS_G_PER_MOL

    def __init__(self, **kwargs):
        labels = {unit: _("%(unit)s copper") % {"unit": unit} for unit in CONTENTS}
        super().__init__(units=("mol/L", "g/L"), labels=labels, **kwargs)

    def read(self, typed: str, unit: str) -> float:
        number = float(understood(units.parse_number, typed))
        mol_per_l = number if unit == "mol/L" else number * g_per_l_in(unit) / sulfate.COPPER_G_PER_MOL
        if mol_per_l > self.MOST_MOL_PER_L:
            most = _("%(MOST_MOL_PER_L)s mol/L, %(MOST_MOL_PER_L_2)s copper") % {
                "MOST_MOL_PER_L": plain(self.MOST_MOL_PER_L, 2),
                "MOST_MOL_PER_L_2": quantity(self.MOST_MOL_PER_L * sulfate.COPPER_G_PER_MOL, "g/L", decimals=0),
            }
            raise ValidationError(
                _("%(number)s %(unit)s is more copper than water can hold (%(most)s); look at the unit.")
                % {"number": digits(number), "unit": unit, "most": most}
            )
        return mol_per_l


class TemperatureField(NumberField):
    """Typed as the studio reads temperatures, in °C."""

    is_read_as_typed = True

    def __init__(self, *, low_c: float = 0.0, high_c: float = sulfate.WARMEST_C, **kwargs):
        self.studio = Units()
        super().__init__(low=low_c, high=high_c, unit="°C", **kwargs)

    def read_in(self, studio: Units) -> None:
        self.studio, self.unit = studio, studio.temperature_unit
        self.low, self.high = (round(studio.degrees(bound)) for bound in (self.low, self.high))
        self.label = f"{self.label}, {self.unit}"

    def clean(self, value) -> float | None:
        degrees = super().clean(value)
        return None if degrees is None else self.studio.degrees_c(degrees)

    def prepare_value(self, value):
        return digits(self.studio.degrees(value), 3) if isinstance(value, int | float) else value


class StrengthField(NumberField):
    """Typed as the studio reads strengths, in grams of blue crystals per litre of bath."""

    is_read_as_typed = True

    def __init__(self, *, low: float = 1, high: float = 400, **kwargs):
        self.studio = Units()
        super().__init__(low=low, high=high, unit="g/L", **kwargs)

    def read_in(self, studio: Units) -> None:
        self.studio, self.unit = studio, studio.strength_unit
        # no studio types more than there can be, or it would be told so by the sum and not by its field
        self.low, self.high = (round(studio.strength_number(bound), 1) for bound in (self.low, self.high))
        self.label = f"{self.label}, {self.unit}"

    def clean(self, value) -> float | None:
        typed = super().clean(value)
        return None if typed is None else self.studio.g_per_l(typed)

    def prepare_value(self, value):
        return self.studio.strength(value).value if isinstance(value, int | float) else value


class MarksField(forms.CharField):
    """A tank's own table, a line for each mark: "10 = 4.1" is so much at such a depth, in the studio's own units."""

    def __init__(self, **kwargs):
        super().__init__(widget=forms.Textarea(attrs={"rows": 5, "autocapitalize": "off"}), max_length=2000, **kwargs)
        self.cups = "metric"

    def read_in(self, studio: Units) -> None:
        self.cups = studio.cups

    def clean(self, value) -> list[tuple[float, float]]:
        return sorted(self.mark_on(line) for line in super().clean(value).splitlines() if line.strip())

    def mark_on(self, line: str) -> tuple[float, float]:
        depth, equals, volume = (part.strip() for part in line.partition("="))
        if not (depth and equals and volume):
            raise ValidationError(
                _("“%(strip)s” is not a mark. %(MARK_EXAMPLE)s: depth, then volume.")
                % {"strip": line.strip(), "MARK_EXAMPLE": MARK_EXAMPLE}
            )
        try:
            depth_mm = understood(units.parse, with_unit(depth, units.own("cm")), "length")
            volume_ul = understood(units.parse, with_unit(volume, units.own("L")), "volume", cups=self.cups)
        # among ten marks the one that is wrong has to be named
        except ValidationError as error:
            raise ValidationError(
                _("In the mark “%(strip)s”: %(message)s") % {"strip": line.strip(), "message": error.message}
            ) from error
        return depth_mm / MM_PER_CM, quantities.litres(volume_ul)

    def prepare_value(self, value):
        if value is None or isinstance(value, str):
            return value
        [(_depth, cm)], [(_volume, size_l)] = (
            ladder(dimension, unit, units.own(unit)) for dimension, unit in (("length", "cm"), ("volume", "L"))
        )
        return "\n".join(f"{shortest(depth_cm, cm)} = {digits(litres / size_l, 4)}" for depth_cm, litres in value)


def shortest(depth_cm: float, cm: float) -> str:
    """
    A depth in a unit of so many cm, with as few decimals as are read back as the same whole mm.

    >>> shortest(10.2, 2.54), shortest(20.5, 1.0)
    ('4', '20.5')
    """
    mm = round(depth_cm * MM_PER_CM)
    rounded = (round(depth_cm / cm, decimals) for decimals in range(3))
    return digits(next((depth for depth in rounded if round(depth * cm * MM_PER_CM) == mm), depth_cm / cm))


def with_unit(typed: str, unit: str) -> str:
    return typed if re.search(rf"{LETTER.pattern}|[\"'″′”’]", typed) else f"{typed} {unit}"


def gravity_from_degrees(number: float) -> Gravity:
    # 1.155 on the Baumé scale is nearly always a specific gravity under the wrong unit
    if 1 <= number < HEAVIEST_SG:
        raise ValidationError(
            _("%(number)s °Bé would be hardly more than water; did you mean SG %(number_2)s?")
            % {"number": digits(number), "number_2": plain(number, 3)}
        )
    if number > sulfate.baume_from_sg(HEAVIEST_SG):
        raise ValidationError(
            _("%(number)s °Bé is heavier than any copper sulfate bath, which reads 15 to 23; look again at the scale.")
            % {"number": digits(number)}
        )
    return Gravity(sulfate.sg_from_baume(number), f"{digits(number)} °Bé", reference_c=strengths.SIXTY_F_IN_C)


def gravity_from_sg(number: float) -> Gravity:
    if 2 <= number <= 40:
        raise ValidationError(
            _("%(number)s is no specific gravity; did you mean %(number)s °Bé?") % {"number": digits(number)}
        )
    # many glass scales leave the decimal point out
    if 950 <= number <= 1000 * HEAVIEST_SG:
        raise ValidationError(
            _("Is that %(number)s? Write it with its decimal point.") % {"number": plain(number / 1000, 3)}
        )
    if number > HEAVIEST_SG:
        raise ValidationError(
            in_prose(
                _(
                    "%(number)s is heavier than any copper sulfate bath, which reads 1.10 to 1.20; look again "
                    "at the figures."
                )
            )
            % {"number": digits(number)}
        )
    if number < 0.95:
        raise ValidationError(
            _("%(number)s is lighter than water; look again at the figures.") % {"number": digits(number)}
        )
    return Gravity(
        number,
        _("SG %(number)s") % {"number": digits(number, 4)}
        if number != round(number, 3)
        else _("SG %(number)s") % {"number": plain(number, 3)},
    )
