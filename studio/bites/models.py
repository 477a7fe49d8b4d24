"""Plates and what the current did to them. Each row hangs on the entry that wrote it and counts while that stands."""

import uuid
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import ClassVar, Self

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.copper import gauges
from chemistry.copper.biting import Gap
from chemistry.measured import Measured, by_scale, digits, kept, plain
from chemistry.quantity import quantity, sides
from inventory.asked_often import asked_often
from inventory.models import AppendOnlyModel, Change, Container, EntryLine, EntryLineQuerySet, Lockable, Person, Place
from studio.baths.models import Bath
from studio.pages.quantities import NO_BREAK

ROMAN = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))
MM2_PER_CM2 = 100
MM_PER_INCH = 25.4
# forty would be written with an L
HIGHEST_STATE = 39


def roman(number: int) -> str:
    """
    A state as it is written under a print.

    >>> [roman(number) for number in (1, 4, 9, 14)]
    ['I', 'IV', 'IX', 'XIV']
    """
    written = ""
    for value, letters in ROMAN:
        count, number = divmod(number, value)
        written += letters * count
    return written


class PlateQuerySet(EntryLineQuerySet["Plate"]):
    def with_last_parcel(self):
        """Each plate with the last parcel it travelled in: where that went, and whether it was on its way out."""
        travelled = Travel.objects.standing().filter(plate=OuterRef("pk")).order_by(*_latest("parcel__entry"))
        return self.annotate(
            away_at=models.Subquery(travelled.filter(parcel__is_outward=True).values("parcel__partner__name")[:1]),
            # a plate that never travelled is here: left NULL, it would be found neither here nor away
            is_away=models.functions.Coalesce(
                models.Subquery(travelled.values("parcel__is_outward")[:1]), False, output_field=models.BooleanField()
            ),
        )

    def with_last_bite(self):
        """Each plate with its state and when it was bitten last."""
        bites = Bite.objects.standing().filter(plate=OuterRef("pk")).order_by("-happened_at", "-pk")
        prepared = Preparation.objects.standing().filter(plate=OuterRef("pk")).order_by(*_latest("entry"))
        return self.annotate(
            # subqueries, since bites and preparations joined at once would multiply each other's rows
            last_bitten_at=models.Subquery(bites.values("happened_at")[:1]),
            bitten_state=models.Subquery(bites.values("state")[:1]),
            prepared_state=models.Subquery(prepared.values("state")[:1]),
        )


def _latest(entry: str) -> tuple[str, ...]:
    # times are typed to the minute: of two in the same one, what was written later counts
    return (f"-{entry}__happened_at", f"-{entry}__pk")


class Plate(EntryLine, Lockable):
    """A piece of copper that becomes a printing plate: how large, how thick, whose."""

    MADE_AT = (gettext_lazy("A new plate"), "bites:new_plate", False)
    touches = ("id",)
    how = gettext_lazy("a plate of its own")

    happened_at = models.DateTimeField(
        editable=False, help_text=gettext_lazy("The entry's own, kept here for its index.")
    )
    name = models.CharField(max_length=60)
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    thickness_mm = models.FloatField(null=True)
    owner = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="plates")
    partner = models.ForeignKey(Place, null=True, on_delete=models.PROTECT, related_name="plates")
    cut_from = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="plates")

    objects: ClassVar = PlateQuerySet.as_manager()

    class Meta:
        ordering = ["-happened_at", "-pk"]
        indexes = [models.Index(fields=["happened_at", "id"], name="plate_in_order")]
        constraints = [
            models.CheckConstraint(name="a_plate_has_a_face", condition=Q(width_mm__gt=0, height_mm__gt=0)),
            models.CheckConstraint(
                name="a_plate_has_a_thickness", condition=Q(thickness_mm=None) | Q(thickness_mm__gt=0)
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("bites:plate", args=[self.pk])

    @property
    def area_cm2(self) -> float:
        """Of its face."""
        return self.width_mm * self.height_mm / MM2_PER_CM2

    @property
    def thickness(self) -> str:
        """Empty where nobody said."""
        return gauges.written(1000 * self.thickness_mm) if self.thickness_mm else ""

    @property
    def size(self) -> str:
        """
        Its two sides, as rulers of both kinds have them.

        >>> Plate(width_mm=152, height_mm=203).size
        '152 × 203 mm, 6 × 8 in'
        """
        here = sides(self.width_mm, self.height_mm)
        inches = " × ".join(digits(round(side / MM_PER_INCH, 1)) for side in (self.width_mm, self.height_mm))
        return here if here.endswith("in") else _("%(here)s, %(inches)s in") % {"here": here, "inches": inches}


class Preparation(EntryLine):
    """What lies on a plate before it is bitten, and how much copper is left bare."""

    tells_of = "plate"
    rests_on = ("plate",)

    plate = models.ForeignKey(Plate, on_delete=models.PROTECT, related_name="preparations")
    state = models.PositiveSmallIntegerField(default=1)
    ground = models.CharField(max_length=80, blank=True)
    stop_out = models.CharField(max_length=80, blank=True)
    ground_from = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="+")
    stop_out_from = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="+")
    second_stop_out = models.CharField(max_length=80, blank=True)
    second_stop_out_from = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="+")
    protected = models.CharField(
        max_length=120, blank=True, help_text=gettext_lazy("What is covered, beside back and edges.")
    )
    exposed_cm2 = models.FloatField(null=True)
    exposed_sd_cm2 = models.FloatField(null=True)

    def __str__(self):
        return ", ".join(filter(None, (self.ground, self.stop_out, self.second_stop_out, self.protected))) or "prepared"

    @property
    def exposed(self) -> Measured | None:
        """Bare copper; None where nobody said how much."""
        return kept(self.exposed_cm2, self.exposed_sd_cm2, "cm²")

    @property
    def jars(self) -> list[Container]:
        """What it was taken from, as far as it came off the shelf."""
        return [jar for jar in (self.ground_from, self.stop_out_from, self.second_stop_out_from) if jar]


class Weighing(EntryLine):
    """A plate on a scale. Only a clean, dry plate without ground tells what was bitten away."""

    tells_of = "plate"
    rests_on = ("plate",)

    plate = models.ForeignKey(Plate, on_delete=models.PROTECT, related_name="weighings")
    mass_g = models.FloatField()
    half_width_g = models.FloatField(help_text=gettext_lazy("What the scale is good to."))
    is_bare = models.BooleanField(help_text=gettext_lazy("Clean, dry and without ground or tape."))

    class Meta:
        constraints = [
            models.CheckConstraint(name="a_plate_weighs_something", condition=Q(mass_g__gt=0, half_width_g__gt=0))
        ]

    def __str__(self):
        return quantity(self.mass_g, "g")

    @property
    def mass(self) -> Measured:
        return by_scale(self.mass_g, self.half_width_g)

    @property
    def how(self) -> str:
        return _("weighed %(self)s") % {"self": self}


def photograph_name(row: "Photograph", typed_name: str) -> str:
    """A name nobody chose: what was typed elsewhere may be anything."""
    return f"photographs/{uuid.uuid4().hex}.jpg"


class Photograph(EntryLine):
    """A picture of a plate in one of its states, or of a proof pulled from it, and a small one to find it by."""

    class Shows(models.TextChoices):
        PLATE = "plate", gettext_lazy("the plate")
        PROOF = "proof", gettext_lazy("a proof")

    tells_of = "plate"
    rests_on = ("plate",)
    columns = {
        "plate": "plate",
        "shows": "get_shows_display",
        "state": "state",
        "words": "words",
        "file": "file",
    }

    plate = models.ForeignKey(Plate, on_delete=models.PROTECT, related_name="photographs")
    state = models.PositiveSmallIntegerField(default=1)
    shows = models.CharField(max_length=10, choices=Shows)
    words = models.CharField(max_length=120, blank=True)
    file = models.FileField(upload_to=photograph_name)
    small = models.FileField(upload_to=photograph_name)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()

    class Meta:
        constraints = [models.CheckConstraint(name="a_photograph_has_sides", condition=Q(width__gt=0, height__gt=0))]

    def __str__(self):
        named = _("%(shows)s, state %(state)s") % {"shows": self.get_shows_display(), "state": roman(self.state)}
        return f"{named}: {self.words}" if self.words else named

    def get_absolute_url(self) -> str:
        return reverse("bites:photograph", args=[self.pk])

    @property
    def how(self) -> str:
        return _("photographed: %(shows)s") % {"shows": self}


class Parcel(EntryLine):
    """Plates on their way to a partner studio, or back."""

    rests_on = ("travels__plate",)
    columns = {"Of": "partner", "What": "how"}

    partner = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="parcels")
    is_outward = models.BooleanField()
    weight_g = models.FloatField(null=True)
    next_step = models.CharField(
        max_length=200, blank=True, help_text=gettext_lazy("What the one who unpacks does next.")
    )

    def __str__(self):
        return (_("parcel to %(partner)s") if self.is_outward else _("parcel from %(partner)s")) % {
            "partner": self.partner
        }

    def changes(self) -> Iterator[Change]:
        for travel in self.travels.select_related("plate"):
            yield Change(str(travel.plate), travel.plate.get_absolute_url(), str(self))


class TravelQuerySet(EntryLineQuerySet["Travel"]):
    ENTRY = "parcel__entry"


class Travel(AppendOnlyModel):
    parcel = models.ForeignKey(Parcel, on_delete=models.PROTECT, related_name="travels")
    plate = models.ForeignKey(Plate, on_delete=models.PROTECT, related_name="travels")

    objects = TravelQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["parcel", "plate"], name="a_plate_once_in_a_parcel")]

    def __str__(self):
        return _("%(plate)s in the %(parcel)s") % {"plate": self.plate, "parcel": self.parcel}


class BiteQuerySet(EntryLineQuerySet["Bite"]):
    def running(self) -> Self:
        """Bites that were started and not stopped."""
        # a stop that was struck stops nothing: the current is on again for the book
        stopped = BiteStop.objects.standing().filter(bite=OuterRef("pk"))
        return self.standing().filter(~Exists(stopped))

    def with_stop(self):
        """Each with what its stop says, as far as it was stopped: minutes and charge."""
        stops = BiteStop.objects.standing().filter(bite=OuterRef("pk"))
        # in no order: a second stop is refused while one stands
        figures = ("minutes", "charge_ah", "charge_sd_ah")
        return self.annotate(**{f"stopped_{name}": models.Subquery(stops.values(name)[:1]) for name in figures})

    def ended(self):
        return self.standing().with_stop().filter(stopped_minutes__isnull=False)

    def latest_first(self) -> Self:
        return self.order_by("-happened_at", "-pk")

    def plates(self) -> dict[str, int]:
        """How many plates these are of, by the partner they are made with, the studio's own under an empty name."""
        # nothing tells one unlisted plate from another, so each of its bites counts as a plate
        known, unlisted = models.Count("plate", distinct=True), models.Count("pk", filter=Q(plate=None))
        made_with = models.functions.Coalesce("plate__partner__name", models.Value(""))
        # an order would be grouped by as well, and every bite be a group of its own
        rows = self.order_by().values(made_with=made_with).annotate(plates=known + unlisted).order_by("made_with")
        return dict(rows.values_list("made_with", "plates"))


class Bite(EntryLine):
    """One run of the current; its entry is its start. Readings and the stop are written by entries of their own."""

    joined = ("bath", "plate")
    touches = ("bath",)
    rests_on = ("plate",)
    found_by = ("bath__name",)
    how = "began"

    happened_at = models.DateTimeField(
        editable=False, help_text=gettext_lazy("The entry's own, kept here for its index.")
    )
    bath = models.ForeignKey(Bath, on_delete=models.PROTECT, related_name="bites")
    plate = models.ForeignKey(
        Plate,
        null=True,
        on_delete=models.PROTECT,
        related_name="bites",
        help_text=gettext_lazy("Empty for one not in the book."),
    )
    state = models.PositiveSmallIntegerField(default=1)
    exposed_cm2 = models.FloatField(null=True)
    exposed_sd_cm2 = models.FloatField(null=True)
    cathode_cm2 = models.FloatField(null=True, help_text=gettext_lazy("Of the cathode, immersed and facing the plate."))
    gap_cm = models.FloatField(null=True)
    volts_set = models.FloatField(null=True)
    planned_min = models.FloatField(null=True)

    objects: ClassVar = BiteQuerySet.as_manager()

    class Meta:
        ordering = ["-happened_at", "-pk"]
        indexes = [
            models.Index(fields=["happened_at", "id"], name="bite_in_order"),
            models.Index(fields=["bath", "happened_at", "id"], name="bite_in_bath"),
            models.Index(fields=["plate", "happened_at", "id"], name="bite_of_plate"),
        ]
        constraints = [
            models.CheckConstraint(
                # nought is refused too: depths are divided by it, in the database as well
                name="an_area_comes_with_its_spread",
                condition=Q(exposed_cm2=None, exposed_sd_cm2=None) | Q(exposed_cm2__gt=0, exposed_sd_cm2__gte=0),
            )
        ]

    def __str__(self):
        return _("bite of %(value)s in %(bath)s") % {"value": self.plate or "a plate", "bath": self.bath}

    def get_absolute_url(self) -> str:
        return reverse("bites:bite", args=[self.pk])

    @property
    def exposed(self) -> Measured | None:
        """Bare copper; None where nobody said how much."""
        return kept(self.exposed_cm2, self.exposed_sd_cm2, "cm²")

    @property
    def ends_at(self) -> datetime | None:
        """When its planned minutes are over."""
        return self.happened_at + timedelta(minutes=self.planned_min) if self.planned_min else None

    @property
    def is_running(self) -> bool:
        """Of a bite from `with_stop`: it was neither stopped nor struck."""
        return not self.entry.is_struck and self.stopped_minutes is None  # type: ignore[attr-defined]  # annotated

    def minutes_at(self, moment: datetime) -> float:
        return (moment - self.happened_at) / timedelta(minutes=1)

    def standing_readings(self) -> list["BiteReading"]:
        """In the order of its own clock, whenever they were written."""
        return readings_of(self.pk)

    def standing_stop(self) -> "BiteStop | None":
        return self.stops.standing().select_related("entry__done_by").order_by("pk").last()


class BiteReading(EntryLine):
    """What the supply's display showed, so many minutes into a bite."""

    tells_of = "bite"
    joined = ("bite__bath", "bite__plate")
    touches = ("bite__bath",)
    rests_on = ("bite",)
    found_by = ("bite__bath__name",)

    bite = models.ForeignKey(Bite, on_delete=models.PROTECT, related_name="readings")
    minutes = models.FloatField()
    amps = models.FloatField()
    volts = models.FloatField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(name="read_while_it_ran", condition=Q(minutes__gte=0)),
            models.CheckConstraint(name="a_current_is_not_negative", condition=Q(amps__gte=0)),
        ]

    def __str__(self):
        volts = _(" at %(volts)s V") % {"volts": digits(self.volts)} if self.volts is not None else ""
        return _("%(amps)s A%(volts)s, %(minutes)s min") % {
            "amps": digits(self.amps),
            "volts": volts,
            "minutes": plain(self.minutes, 0),
        }


@asked_often
def readings_of(bite: int) -> models.QuerySet[BiteReading]:
    return BiteReading.objects.standing().filter(bite=bite).order_by("minutes", "pk")


class BiteStop(EntryLine):
    """
    The end of a bite, and the charge that the readings made of it then.

    Readings are not added or struck while it stands, so the charge stays what its readings say.
    """

    tells_of = "bite"
    joined = ("bite__bath", "bite__plate")
    touches = ("bite__bath",)
    # it holds the charge that the readings made of it
    rests_on = ("bite", "bite__readings")

    bite = models.ForeignKey(Bite, on_delete=models.PROTECT, related_name="stops")
    minutes = models.FloatField(help_text=gettext_lazy("From the start."))
    minutes_sd = models.FloatField()
    off_from_min = models.FloatField(
        null=True, help_text=gettext_lazy("When the supply went off by itself, if it came back.")
    )
    off_until_min = models.FloatField(null=True)
    charge_ah = models.FloatField(
        null=True, help_text=gettext_lazy("Empty while nobody has said what the current was.")
    )
    charge_sd_ah = models.FloatField(null=True)
    is_counted = models.BooleanField(default=False, help_text=gettext_lazy("The supply itself counted the charge."))
    drips_ml = models.FloatField(default=0.0)

    class Meta:
        constraints = [
            models.CheckConstraint(name="no_stop_before_its_start", condition=Q(minutes__gte=0)),
            models.CheckConstraint(
                name="a_gap_has_two_ends",
                condition=Q(off_from_min=None, off_until_min=None) | Q(off_until_min__gt=F("off_from_min")),
            ),
            models.CheckConstraint(
                name="a_charge_comes_with_its_spread",
                condition=Q(charge_ah=None, charge_sd_ah=None) | Q(charge_ah__gte=0, charge_sd_ah__gte=0),
            ),
        ]

    def __str__(self):
        return _("stopped after %(minutes)s min") % {"minutes": plain(self.minutes, 0)}

    @property
    def stopped_at(self) -> datetime:
        return self.bite.happened_at + timedelta(minutes=self.minutes)

    @property
    def gap(self) -> Gap | None:
        if self.off_from_min is None or self.off_until_min is None:
            return None
        return Gap(begins_min=self.off_from_min, ends_min=self.off_until_min)


class OwnEfficiency(EntryLine):
    """What this studio takes the current to move, in place of the usual estimate; the latest standing one counts."""

    columns = {"Of": "get_electrode_display", "What": "how"}

    class Electrode(models.TextChoices):
        PLATE = "plate", gettext_lazy("off the plates")
        CATHODE = "cathode", gettext_lazy("onto the cathodes")

    electrode = models.CharField(max_length=10, choices=Electrode)
    share = models.FloatField(help_text=gettext_lazy("Of the copper that Faraday's law expects."))
    half_width = models.FloatField(help_text=gettext_lazy("Half of the range it lies in, 95 times in 100."))
    reason = models.CharField(max_length=200)

    class Meta:
        verbose_name_plural = "own efficiencies"
        constraints = [
            models.CheckConstraint(name="a_share_and_its_range", condition=Q(share__gt=0, half_width__gt=0)),
        ]

    def __str__(self):
        return f"{digits(100 * self.share, 4)}{NO_BREAK}±{NO_BREAK}{digits(100 * self.half_width, 2)}{NO_BREAK}%"

    def changes(self) -> Iterator[Change]:
        yield Change(_("What the current moves"), reverse("bites:bites"), f"{self.get_electrode_display()}: {self}")
