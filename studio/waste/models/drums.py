"""Drums, what went into them, what was seen and measured of them. Every row counts as long as its entry stands."""

from collections.abc import Iterator, Sequence
from datetime import tzinfo
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import HALF_WIDTH_SDS, Measured, digits
from chemistry.quantity import quantity
from chemistry.waste import drum as sums
from chemistry.waste import streams
from chemistry.waste.streams import Stream, Vessel
from inventory.models import AuditedModel, Container, Entry, EntryLine, EntryLineQuerySet, Lockable, Place
from inventory.wording import translated
from studio.baths.models import Bath, BathEvent
from studio.cathodes.models import Strip
from studio.pages.documents import document_name


def half_width(sd: float | None) -> float | None:
    """Half the 95 % interval, which is what people read as ±."""
    return None if sd is None else HALF_WIDTH_SDS * sd


class Drum(AuditedModel, EntryLine, Lockable):
    """
    One filling of a waste vessel; filled anew, it is another drum.

    kind and vessel: keys of chemistry.streams. What is in it follows from its deposits. Its place changes, and what it
    weighs empty may be learnt later; the rest is as it was set up.
    """

    MADE_AT = (gettext_lazy("Begin a drum"), "waste:start_drum", False)
    KEPT_BY_CODE = ("entry", "name", "kind", "vessel", "is_vented", "capacity_l", "reason")

    touches = ("id",)
    joined = ("place",)
    columns = {
        "drum": "name",
        "kind": "stream__title",
        "vessel": "made_of__name",
        "holds L": "capacity_l",
        "vented": "is_vented",
        "empty g": "tare_g",
        "place": "place",
        "why": "reason",
    }

    name = models.CharField(max_length=30, help_text=gettext_lazy("As it is written on it."))
    kind = models.CharField(max_length=30)
    vessel = models.CharField(max_length=30)
    is_vented = models.BooleanField(default=False)
    capacity_l = models.FloatField(help_text=gettext_lazy("To the brim."))
    tare_g = models.FloatField(
        gettext_lazy("empty weight, g"), null=True, help_text=gettext_lazy("Empty, with its lid.")
    )
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="drums")
    reason = models.CharField(
        max_length=200, blank=True, help_text=gettext_lazy("Why this kind in this vessel all the same.")
    )

    objects: ClassVar = EntryLineQuerySet["Drum"].as_manager()  # type: ignore[assignment]  # of lines, not of facts

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(name="a_drum_holds_something", condition=Q(capacity_l__gt=0)),
            models.CheckConstraint(name="a_tare_weighs_something", condition=Q(tare_g=None) | Q(tare_g__gt=0)),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("waste:drum", args=[self.pk])

    @property
    def stream(self) -> Stream:
        return streams.STREAMS[self.kind]

    @property
    def is_liquid(self) -> bool:
        return self.stream.properties.get("is_liquid") is True

    @property
    def made_of(self) -> Vessel:
        return streams.VESSELS[self.vessel]

    @property
    def how(self) -> str:
        return _("set up for %(stream)s") % {"stream": translated(self.stream)}

    @classmethod
    def refuse_strike(cls, rows: "Sequence[Drum]", struck: Entry) -> None:
        from studio.waste import whereabouts  # which knows what left

        whereabouts.refuse_gone(rows)


class DrumLine(EntryLine):
    """A line about a drum, which is struck before the drum is."""

    tells_of = "drum"
    touches: ClassVar[tuple[str, ...]] = ("drum",)
    rests_on: ClassVar[tuple[str, ...]] = ("drum",)

    class Meta:
        abstract = True


class Deposit(DrumLine):
    """
    Something that went into a drum, and what it came from.

    event, strip, container, from_drum: the other side of the same act; its copper is worked out from there. bath: only
    where its liquid came from, which was counted when it left there. copper_g
    is an estimate written down where nothing else tells it. A rinse brings the drips since the rinse before it.
    """

    touches = ("drum", "from_drum")
    rests_on = ("drum", "from_drum", "strip", "event")
    joined = ("drum", "strip", "bath")
    columns = {
        "drum": "drum",
        "kind": "stream__title",
        "source": "get_source_display",
        "what": "words",
        "litres": "litres",
        "± L": "litres_half_width",
        "grams": "mass_g",
        "± g": "mass_half_width_g",
        "copper g": "",
        "± g copper": "",
        "why another kind": "reason",
        "bath": "bath",
    }

    class Source(models.TextChoices):
        BATH = "bath", gettext_lazy("taken out of a bath")
        STRAINED = "strained", gettext_lazy("strained out of a bath")
        RINSE = "rinse", gettext_lazy("rinse water")
        CLEANER = "cleaner", gettext_lazy("used cleaner")
        TOWELS = "towels", gettext_lazy("towels and gloves")
        RAGS = "rags", gettext_lazy("rags")
        MUD = "mud", gettext_lazy("mud and filters")
        STRIP = "strip", gettext_lazy("stripped off a cathode")
        SHELF = "shelf", gettext_lazy("off the shelf")
        SPILL = "spill", gettext_lazy("a spill taken up")
        DRUM = "drum", gettext_lazy("poured over")
        OTHER = "other", gettext_lazy("something else")

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="deposits")
    kind = models.CharField(max_length=30, help_text=gettext_lazy("A key of chemistry.streams."))
    source = models.CharField(max_length=10, choices=Source)
    litres = models.FloatField(null=True)
    litres_sd = models.FloatField(null=True)
    mass_g = models.FloatField(null=True)
    mass_sd_g = models.FloatField(null=True)
    copper_g = models.FloatField(null=True)
    copper_sd_g = models.FloatField(null=True)
    pieces = models.PositiveIntegerField(
        null=True, help_text=gettext_lazy("Plates that a cleaner brightened; towels, rags.")
    )
    event = models.ForeignKey(BathEvent, null=True, on_delete=models.PROTECT, related_name="deposits")
    bath = models.ForeignKey(
        Bath, null=True, on_delete=models.PROTECT, related_name="deposits", help_text="That its liquid came from."
    )
    strip = models.ForeignKey(Strip, null=True, on_delete=models.PROTECT, related_name="deposits")
    container = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="deposits")
    from_drum = models.ForeignKey(Drum, null=True, on_delete=models.PROTECT, related_name="poured_over")
    words = models.CharField(max_length=160)
    reason = models.CharField(
        max_length=200, blank=True, help_text=gettext_lazy("Why another kind went in all the same.")
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="something_went_in",
                condition=Q(litres__gt=0) | Q(mass_g__gt=0) | Q(pieces__gt=0),
            ),
            models.CheckConstraint(name="a_drum_is_not_poured_into_itself", condition=~Q(drum=F("from_drum"))),
        ]

    def __str__(self):
        return self.words

    @property
    def stream(self) -> Stream:
        return streams.STREAMS[self.kind]

    @property
    def litres_half_width(self) -> float | None:
        return half_width(self.litres_sd)

    @property
    def mass_half_width_g(self) -> float | None:
        return half_width(self.mass_sd_g)

    @classmethod
    def exported(cls, lines: "Sequence[Deposit]", zone: tzinfo) -> Iterator[list]:
        """Copper by the books of baths and cathodes as they stand now."""
        from studio.waste import copper  # which replays what these lines keep

        # a struck deposit brought nothing: its cells stay empty
        brought = copper.brought_by([each for each in lines if not each.entry.is_struck])
        copper_at = cls.headings().index(_("copper g"))
        for each, row in zip(lines, super().exported(lines, zone), strict=True):
            if (found := brought.get(each.pk)) and (copper_g := found.copper_g):
                row[copper_at : copper_at + 2] = round(copper_g.value, 4), round(copper_g.half_width, 4)
            yield row


class Inspection(DrumLine):
    """Somebody looked at a drum: what they found, and how full it stood."""

    class Found(models.TextChoices):
        FINE = "fine", gettext_lazy("Closed, dry outside, its label can be read")
        SEEN_TO = "seen to", gettext_lazy("Something was wrong and has been put right")
        WRONG = "wrong", gettext_lazy("Something is wrong: leaking, bulging, open or unlabelled")

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="inspections")
    found = models.CharField(max_length=10, choices=Found)
    full_percent = models.FloatField(null=True, help_text=gettext_lazy("Of the vessel, to the brim."))
    is_put_out = models.BooleanField(
        default=False, help_text=gettext_lazy("Self-heating rags were taken out of the building.")
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_drum_is_full_at_the_brim",
                condition=Q(full_percent=None) | Q(full_percent__gte=0, full_percent__lte=100),
            )
        ]

    def __str__(self):
        if self.full_percent is None:
            return self.get_found_display()
        places = {"found": self.get_found_display(), "percent": digits(self.full_percent)}
        return _("%(found)s, %(percent)s %% full") % places


class DrumWeighing(DrumLine):
    """A drum on a scale, with its lid and all that is in it."""

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="weighings")
    gross_g = models.FloatField()
    half_width_g = models.FloatField(help_text=gettext_lazy("What the scale is good to."))

    class Meta:
        constraints = [
            models.CheckConstraint(name="a_drum_weighs_something", condition=Q(gross_g__gt=0, half_width_g__gt=0))
        ]

    def __str__(self):
        return _("%(gross_g)s with the vessel") % {"gross_g": quantity(self.gross_g / 1000, "kg", 4)}

    @property
    def net(self) -> Measured | None:
        """What was in it; None where nobody knows what the empty vessel weighs."""
        return sums.net(self.gross_g, self.drum.tare_g, self.half_width_g) if self.drum.tare_g else None


class TestResult(DrumLine):
    """What a test of a drum's content gave; it goes before what the deposits add up to."""

    class Quantity(models.TextChoices):
        """Keys of chemistry's vocabulary."""

        COPPER_PER_L = "cu_mg_per_l", gettext_lazy("copper, mg/L")
        COPPER_PER_KG = "cu_mg_per_kg", gettext_lazy("copper, mg in a kilogram")
        PH = "ph", gettext_lazy("pH")
        FLASH_POINT = "flash_point_c", gettext_lazy("flash point")

    class How(models.TextChoices):
        STRIP = "strip", gettext_lazy("a test strip")
        METER = "meter", gettext_lazy("a meter")
        LAB = "lab", gettext_lazy("a laboratory")

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="test_results")
    quantity = models.CharField(max_length=20, choices=Quantity)
    low = models.FloatField(
        help_text=gettext_lazy("The lower end of what it gave; both ends alike when it gave one figure.")
    )
    high = models.FloatField()
    how = models.CharField(max_length=10, choices=How)
    file = models.FileField(upload_to=document_name, blank=True, help_text=gettext_lazy("The report."))
    sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(name="ends_of_a_test_in_order", condition=Q(low__lte=F("high"))),
            models.CheckConstraint(
                name="a_report_comes_with_its_digest",
                condition=Q(file="", sha256="") | (~Q(file="") & ~Q(sha256="")),
            ),
        ]

    @property
    def key(self) -> str:
        return self.quantity

    @property
    def value(self) -> object:
        """As chemistry takes it."""
        return self.low, self.high

    @property
    def is_of_copper(self) -> bool:
        return self.quantity in (self.Quantity.COPPER_PER_L, self.Quantity.COPPER_PER_KG)

    def __str__(self):
        figure = (
            digits(self.low)
            if self.low == self.high
            else _("%(low)s to %(high)s") % {"low": digits(self.low), "high": digits(self.high)}
        )
        return _("%(get_quantity_display)s: %(figure)s by %(get_how_display)s") % {
            "get_quantity_display": self.get_quantity_display(),
            "figure": figure,
            "get_how_display": self.get_how_display(),
        }
