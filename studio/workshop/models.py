from typing import Any

from django.core.validators import RegexValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy

from chemistry.units import in_imperial
from inventory.models import AuditedModel
from studio.pages.quantities import Units

NOBODY_SAID = ("", gettext_lazy("nobody has said yet"))


class Workshop(AuditedModel):
    """The one row that says whose book this is and in which units it is read."""

    KEPT_BY_CODE = ("is_demo",)

    class Region(models.TextChoices):
        EU = "eu", gettext_lazy("European Union")
        GB = "gb", gettext_lazy("Great Britain")
        US = "us", gettext_lazy("United States")
        ELSEWHERE = "elsewhere", gettext_lazy("elsewhere")

    class WasteFrom(models.TextChoices):
        """Whose waste it is: the rules of waste part here first of all."""

        BUSINESS = "business", gettext_lazy("a business, school, club or shared workshop")
        HOUSEHOLD = "household", gettext_lazy("a household: a home, and nobody works there but those who live in it")

    class AcuteWaste(models.TextChoices):
        """Asked in the United States, where a kilogram of it makes a large generator."""

        NONE = "none", gettext_lazy("none here")
        SOME = "some", gettext_lazy("some, or there may be")

    class Cups(models.TextChoices):
        US = "us", gettext_lazy("US cups (8 fl oz)")
        METRIC = "metric", gettext_lazy("metric cups (250 mL)")

    class Strength(models.TextChoices):
        G_PER_L = "g/L", gettext_lazy("grams of blue crystals per litre")
        BAUME = "°Bé", gettext_lazy("degrees Baumé")
        OZ_PER_GAL = "oz/gal", gettext_lazy("ounces of blue crystals per gallon")

    class Temperature(models.TextChoices):
        CELSIUS = "°C", gettext_lazy("degrees Celsius")
        FAHRENHEIT = "°F", gettext_lazy("degrees Fahrenheit")

    class Depth(models.TextChoices):
        MICROMETRE = "µm", gettext_lazy("micrometres")
        MIL = "mil", gettext_lazy("mil (thousandths of an inch)")

    class Numbers(models.TextChoices):
        COMMA_AND_POINT = "12,345.6", gettext_lazy("12,345.6")
        SPACE_AND_POINT = "12 345.6", gettext_lazy("12 345.6")
        SPACE_AND_COMMA = "12 345,6", gettext_lazy("12 345,6")
        APOSTROPHE_AND_POINT = "12’345.6", gettext_lazy("12’345.6")
        POINT_AND_COMMA = "12.345,6", gettext_lazy("12.345,6")

    class Volume(models.TextChoices):
        METRIC = "L", gettext_lazy("millilitres and litres")
        US = "gal", gettext_lazy("fluid ounces, quarts and gallons")

    class Mass(models.TextChoices):
        METRIC = "g", gettext_lazy("grams and kilograms")
        US = "lb", gettext_lazy("ounces and pounds")

    class Length(models.TextChoices):
        METRIC = "cm", gettext_lazy("millimetres, centimetres and metres")
        US = "in", gettext_lazy("inches and feet")

    class Area(models.TextChoices):
        METRIC = "cm²", gettext_lazy("square centimetres")
        US = "in²", gettext_lazy("square inches")

    class Thickness(models.TextChoices):
        MILLIMETRE = "mm", gettext_lazy("millimetres")
        INCH = "in", gettext_lazy("inches, and ounces of copper per square foot")
        MIL = "mil", gettext_lazy("mil (thousandths of an inch)")

    class Money(models.TextChoices):
        BEFORE = "before", gettext_lazy("before the amount: $34.95")
        AFTER = "after", gettext_lazy("behind the amount: 34,95 €")

    class Dates(models.TextChoices):
        DAY_FIRST = "day", gettext_lazy("28 November 2026")
        MONTH_FIRST = "month", gettext_lazy("November 28, 2026")

    class Clock(models.TextChoices):
        HOURS_24 = "24", gettext_lazy("14:30")
        HOURS_12 = "12", gettext_lazy("2:30 PM")

    class Paper(models.TextChoices):
        A4 = "A4", gettext_lazy("A4")
        LETTER = "Letter", gettext_lazy("Letter")

    name = models.CharField(gettext_lazy("studio's name"), max_length=80)
    region = models.CharField(gettext_lazy("region"), max_length=10, choices=Region, default=Region.ELSEWHERE)
    us_state = models.CharField(
        gettext_lazy("state"),
        max_length=2,
        blank=True,
        validators=[RegexValidator(r"^[A-Z]{2}$", gettext_lazy("The two letters of the state, such as CA."))],
    )
    waste_from = models.CharField(
        gettext_lazy("its waste is that of"), max_length=10, choices=[*WasteFrom.choices, NOBODY_SAID], blank=True
    )
    acute_waste = models.CharField(
        gettext_lazy("acutely hazardous waste"), max_length=10, choices=[*AcuteWaste.choices, NOBODY_SAID], blank=True
    )
    time_zone = models.CharField(gettext_lazy("time zone"), max_length=60, default="UTC")
    cups = models.CharField(gettext_lazy("cups"), max_length=6, choices=Cups, default=Cups.METRIC)
    strength = models.CharField(
        gettext_lazy("strength is shown in"), max_length=6, choices=Strength, default=Strength.G_PER_L
    )
    temperature = models.CharField(
        gettext_lazy("temperature"), max_length=2, choices=Temperature, default=Temperature.CELSIUS
    )
    depth = models.CharField(gettext_lazy("depth"), max_length=3, choices=Depth, default=Depth.MICROMETRE)
    numbers = models.CharField(gettext_lazy("numbers"), max_length=8, choices=Numbers, default=Numbers.SPACE_AND_POINT)
    currency = models.CharField(
        gettext_lazy("currency"),
        max_length=3,
        default="EUR",
        validators=[RegexValidator(r"^[A-Z]{3}$", gettext_lazy("Three letters, such as EUR, GBP or USD."))],
    )
    money = models.CharField(gettext_lazy("sign of the currency"), max_length=6, choices=Money, default=Money.BEFORE)
    volume = models.CharField(gettext_lazy("volume"), max_length=3, choices=Volume, default=Volume.METRIC)
    mass = models.CharField(gettext_lazy("mass"), max_length=2, choices=Mass, default=Mass.METRIC)
    length = models.CharField(gettext_lazy("length"), max_length=2, choices=Length, default=Length.METRIC)
    area = models.CharField(gettext_lazy("area"), max_length=3, choices=Area, default=Area.METRIC)
    thickness = models.CharField(
        gettext_lazy("thickness"), max_length=3, choices=Thickness, default=Thickness.MILLIMETRE
    )
    dates = models.CharField(gettext_lazy("dates"), max_length=5, choices=Dates, default=Dates.DAY_FIRST)
    clock = models.CharField(gettext_lazy("time of day"), max_length=2, choices=Clock, default=Clock.HOURS_24)
    paper = models.CharField(gettext_lazy("paper size"), max_length=6, choices=Paper, default=Paper.A4)
    emergency_line = models.CharField(gettext_lazy("emergency line"), max_length=60, blank=True)
    poison_line = models.CharField(gettext_lazy("poison line"), max_length=60, blank=True)
    keyholder_line = models.CharField(gettext_lazy("keyholder's telephone"), max_length=60, blank=True)
    address = models.CharField(gettext_lazy("address"), max_length=160, blank=True)
    is_without_lines = models.BooleanField(gettext_lazy("whether it has lines to call"), default=False)
    asks_for_induction = models.BooleanField(gettext_lazy("whether induction is asked for"), default=True)
    asks_keyholders_for_code = models.BooleanField(
        gettext_lazy("whether keyholders sign in with a code too"), default=False
    )
    is_demo = models.BooleanField(default=False, editable=False)

    class Meta:
        constraints = [models.CheckConstraint(name="one_workshop", condition=models.Q(pk=1))]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("workshop:studio")

    def save(self, **kwargs: Any) -> None:
        # one book, one studio: a second row would be a second answer to every question of units and region
        self.pk = 1
        super().save(**kwargs)

    @property
    def is_household(self) -> bool | None:
        """None while nobody has said."""
        return self.waste_from == self.WasteFrom.HOUSEHOLD if self.waste_from else None

    @property
    def asks_for_lines(self) -> bool:
        """Whether nobody has said yet whom to call in an emergency, or that there is nobody to name."""
        return not self.is_without_lines and not (self.emergency_line and self.poison_line)

    @property
    def units(self) -> Units:
        is_british = self.region == self.Region.GB
        return Units(
            numbers=self.numbers,
            volume=self.volume,
            mass=self.mass,
            length=self.length,
            area=self.area,
            thickness=self.thickness,
            cups=self.cups,
            imperial=is_british,
            currency=self.currency,
            money=self.money,
            dates=self.dates,
            clock=self.clock,
            # a gallon is the one that is typed here
            strength_unit=in_imperial(self.strength) if is_british else self.strength,
            temperature_unit=self.temperature,
            depth_unit=self.depth,
        )


def units_of_the_book() -> Units:
    """As its pages read; the usual ones in a book that nobody has begun."""
    workshop = Workshop.objects.first()
    return workshop.units if workshop else Units()


def region_of_the_book() -> str:
    """Where the studio is; nowhere in a book that nobody has begun."""
    return Workshop.objects.values_list("region", flat=True).first() or ""
