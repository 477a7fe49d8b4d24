from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from typing import ClassVar, Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import bath as bath_model
from chemistry.bath import BathState, Bitten, DryingRate, Event, TakenOut
from chemistry.bath.events import STANDARD_C
from chemistry.measured import Measured, digits
from chemistry.quantity import quantity
from chemistry.solution import sulfate
from inventory.models import AuditedModel, Entry, EntryLine, EntryLineQuerySet, Lockable, Place
from inventory.refusals import Refused
from studio.baths import event_log
from studio.workshop.models import units_of_the_book

WATER_G_PER_L = 1000 * sulfate.water_density_g_per_ml(STANDARD_C)  # of a bath that nobody has read


def between(low, high):
    return [MinValueValidator(low), MaxValueValidator(high)]


def check_marks(marks: Sequence[tuple[float, float]]) -> None:
    """Refuse marks of which a higher one holds no more."""
    for (below_cm, below_l), (above_cm, above_l) in pairwise(marks):
        if above_cm == below_cm:
            raise Refused(
                "marks",
                _("Two marks stand at %(above_cm)s; keep one of them.") % {"above_cm": quantity(above_cm, "cm", 3)},
            )
        if above_l <= below_l:
            raise Refused(
                "marks",
                _("The mark at %(above_cm)s holds no more than the one at %(below_cm)s.")
                % {"above_cm": quantity(above_cm, "cm", 3), "below_cm": quantity(below_cm, "cm", 3)},
            )


class Bath(AuditedModel, Lockable):
    """One tank and what is known of it. What is in it now is never stored as truth: it is replayed from its events."""

    UNITS: ClassVar = {"rim_l": "L", "fill_l": "L", "surface_cm2": "cm²", "relative_humidity_percent": "%"}
    KEPT_BY_CODE = ("revision", "estimated_revision", "estimated_model", "forgotten")
    MADE_AT = (gettext_lazy("Set up a tank"), "baths:set_up", True)
    USUAL_FILL_SHARE = 0.9  # of the rim, while empty: room for what plates displace; common practice, no source

    name = models.CharField(max_length=60, unique=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="baths")
    rim_l = models.FloatField(gettext_lazy("volume to the rim"), validators=between(0.1, 2000))
    fill_l = models.FloatField(gettext_lazy("usual fill"), validators=between(0.1, 2000))
    fill_is_given = models.BooleanField(
        gettext_lazy("usual fill was given"),
        default=True,
        editable=False,
        help_text=gettext_lazy("Else the bath that was begun in it last tells how full it stands."),
    )
    surface_cm2 = models.FloatField(gettext_lazy("open surface"), validators=between(5, 100_000))
    range_low_g_per_l = models.FloatField(gettext_lazy("working range from"), default=200, validators=between(1, 400))
    range_high_g_per_l = models.FloatField(gettext_lazy("working range to"), default=260, validators=between(1, 400))
    coldest_c = models.FloatField(gettext_lazy("coldest the room gets"), default=12, validators=between(-20, 45))
    air_c = models.FloatField(gettext_lazy("usual room temperature"), default=18, validators=between(-10, 45))
    relative_humidity_percent = models.FloatField(
        gettext_lazy("usual relative humidity"), default=55, validators=between(5, 100)
    )
    marks = models.JSONField(
        gettext_lazy("marks on the dipstick"),
        default=list,
        blank=True,
        help_text=gettext_lazy("Pairs of centimetres and litres, in order."),
    )
    revision = models.PositiveIntegerField(default=0, editable=False)
    estimated_revision = models.IntegerField(default=-1, editable=False)
    estimated_model = models.IntegerField(default=0, editable=False)
    forgotten = models.JSONField(
        null=True,
        editable=False,
        help_text=gettext_lazy("What the last readings look like that nobody wrote down, by the estimate."),
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(name="filled_below_the_rim", condition=Q(fill_l__lte=F("rim_l"))),
            models.CheckConstraint(
                name="range_has_a_width", condition=Q(range_low_g_per_l__lt=F("range_high_g_per_l"))
            ),
        ]

    def __str__(self):
        return self.name

    @classmethod
    def only_one(cls) -> "Bath | None":
        """Where there is no other to be mistaken for it."""
        some = list(cls.objects.all()[:2])
        return some[0] if len(some) == 1 else None

    def get_absolute_url(self):
        return reverse("baths:bath", args=[self.pk])

    def check_facts(self) -> None:
        if there := Bath.objects.filter(name__iexact=self.name).exclude(pk=self.pk).first():
            said = _("There is a tank called %(name)s already.") % {"name": self.name}
            raise Refused("name", said, ways=[(str(there), there.get_absolute_url())])
        if self.fill_l > self.rim_l:
            raise Refused(
                "fill_l",
                _("The tank runs over at %(rim_l)s; fill it to less than that.")
                % {"rim_l": quantity(self.rim_l, "L", 3)},
            )
        if self.range_low_g_per_l >= self.range_high_g_per_l:
            raise Refused("range_high_g_per_l", _("The working range ends above where it begins."))
        if self.coldest_c > self.air_c:
            raise Refused("coldest_c", _("The coldest the room gets lies below its usual temperature."))
        check_marks(self.marks)
        if self.marks and self.marks[-1][1] > self.rim_l:
            depth_cm, litres = self.marks[-1]
            raise Refused(
                "marks",
                _("At %(depth_cm)s the mark says %(litres)s; the tank holds %(rim_l)s.")
                % {
                    "depth_cm": quantity(depth_cm, "cm", 3),
                    "litres": quantity(litres, "L", 3),
                    "rim_l": quantity(self.rim_l, "L", 3),
                },
            )

    def shown_fact(self, name, value):
        if name == "marks" and value:
            return ", ".join(
                _("%(depth_cm)s is %(litres)s")
                % {"depth_cm": quantity(depth_cm, "cm"), "litres": quantity(litres, "L")}
                for depth_cm, litres in value
            )
        if name.endswith("_g_per_l"):
            units = units_of_the_book()
            return f"{digits(units.strength_number(value), 4)} {units.strength_unit}"
        if name.endswith("_c"):
            units = units_of_the_book()
            return f"{digits(units.degrees(value), 4)} {units.temperature_unit}"
        # a volume that the book worked out has digits without end
        return quantity(value, "L", 4) if name.endswith("_l") and value else super().shown_fact(name, value)

    @property
    def estimate_is_current(self):
        return (self.estimated_revision, self.estimated_model) == (self.revision, bath_model.MODEL_VERSION)

    @classmethod
    def after_strike(cls, rows: "Sequence[Bath]", struck: Entry) -> None:
        """Its log changed: what is in it is replayed."""
        # imported late: it replays what is written here
        from studio.baths import estimate

        # fetched anew: its facts may have changed
        Estimate.objects.filter(event__entry=struck).delete()
        estimate.refresh(cls.objects.filter(pk__in=[bath.pk for bath in rows]), estimate.changed_from(struck))


def with_poured_on(touched: dict[type[Lockable], set[int]], entry: Entry) -> dict[type[Lockable], set[int]]:
    """And the baths into which those were poured since: what is in them follows."""
    # imported late: it replays what is written here
    from studio.baths import estimate

    place = estimate.changed_from(entry)
    return touched | {Bath: set(estimate.reached_from(dict.fromkeys(touched[Bath], place)))}


class BathEventQuerySet(EntryLineQuerySet["BathEvent"]):
    def in_order(self) -> Self:
        """In the order of the book."""
        return self.order_by("happened_at", "entry_id", "pk")


class BathEvent(EntryLine):
    """One line of a bath's log: an event of `chemistry.bath` as it was written, with the words of whoever wrote it."""

    tells_of = "bath"
    touches = ("bath",)
    found_by = ("bath__name",)
    columns = {"Bath": "bath", "Kind": "kind", "What": "words", "Figures": "figures"}

    class Kind(models.TextChoices):
        MIXED = "Mixed", gettext_lazy("mixed")
        ADOPTED = "Adopted", gettext_lazy("adopted")
        WATER_ADDED = "WaterAdded", gettext_lazy("water added")
        CRYSTALS_ADDED = "CrystalsAdded", gettext_lazy("crystals added")
        SOLUTION_ADDED = "SolutionAdded", gettext_lazy("solution added")
        POURED_IN = "PouredIn", gettext_lazy("poured in from another bath")
        ACID_ADDED = "AcidAdded", gettext_lazy("acid added")
        REMOVED = "Removed", gettext_lazy("taken out")
        REMOVED_BY_WEIGHT = "RemovedByWeight", gettext_lazy("taken out by weight")
        REMOVED_BY_LEVEL = "RemovedByLevel", gettext_lazy("taken out by level")
        LEVEL_READ = "LevelRead", gettext_lazy("level read")
        DENSITY_READ = "DensityRead", gettext_lazy("hydrometer read")
        TITRATED = "Titrated", gettext_lazy("titrated")
        ACID_TITRATED = "AcidTitrated", gettext_lazy("acid titrated")
        PH_READ = "PhRead", gettext_lazy("pH read")
        BITTEN = "Bitten", gettext_lazy("plate bitten")
        DRYING_RATE = "DryingRate", gettext_lazy("lid or room changed")

    TAKING = (Kind.REMOVED, Kind.REMOVED_BY_WEIGHT, Kind.REMOVED_BY_LEVEL)
    READINGS = (Kind.LEVEL_READ, Kind.DENSITY_READ, Kind.TITRATED, Kind.ACID_TITRATED, Kind.PH_READ)

    bath = models.ForeignKey(Bath, on_delete=models.PROTECT, related_name="events")
    happened_at = models.DateTimeField(
        editable=False, help_text=gettext_lazy("The entry's own, kept here for its index.")
    )
    kind = models.CharField(max_length=16, choices=Kind)
    values = models.JSONField(help_text=gettext_lazy("The figures of the event, without its day."))
    schema = models.PositiveSmallIntegerField(
        editable=False, help_text=gettext_lazy("The form its figures are written in.")
    )
    words = models.CharField(max_length=160, help_text=gettext_lazy("What was measured or done, as it was typed."))

    objects: ClassVar = BathEventQuerySet.as_manager()

    class Meta:
        # every page reads a log in this order; without it each visit sorts the whole book
        indexes = [models.Index(fields=["bath", "happened_at", "entry", "id"], name="event_of_bath")]

    def __str__(self):
        return self.words

    @classmethod
    def touched_by(cls, entry: Entry) -> dict[type[Lockable], set[int]]:
        return with_poured_on(super().touched_by(entry), entry)

    @cached_property
    def brought(self) -> Event | None:
        """Of a pour out of another bath what it brought, by that bath as it is known now; None where it was unread."""
        kept = self.estimate.brought if hasattr(self, "estimate") else None
        return event_log.event_of(**kept) if kept else None

    def on_day(self, day: float) -> Event | None:
        """The event as `chemistry.bath` takes it; None where something unknown was poured in."""
        if self.kind == self.Kind.POURED_IN:
            return self.brought and replace(self.brought, day=day)
        return event_log.event_of(self.kind, self.values, schema=self.schema, day=day)

    @property
    def event(self) -> Event | None:
        """What was done or read, whatever the day."""
        return self.on_day(event_log.UNDATED)

    @property
    def is_held_out(self) -> bool:
        return hasattr(self, "estimate") and self.estimate.far_off_sd is not None

    @property
    def taken_out(self) -> Measured:
        """The litres that left the bath by it, as its own log takes them: poured, weighed or told by the level."""
        event, after = self.event, self.estimate.bath_state if hasattr(self, "estimate") else None
        if not isinstance(event, TakenOut):
            return Measured(0.0, unit="L")
        return Measured(*event.litres_at(after.liquid_g_per_l if after else WATER_G_PER_L), "L")

    @property
    def charge_ah(self) -> float:
        event = self.event
        return event.charge_ah if isinstance(event, Bitten) else 0.0

    @property
    def begins(self) -> bool:
        """Whether nothing was known of the bath before it, or what was there is gone."""
        return self.event is not None and self.event.begins

    @property
    def covers_the_bath(self) -> bool:
        """Whether nothing dries off after it."""
        event = self.event
        return isinstance(event, DryingRate) and event.g_per_day == 0

    @property
    def figures(self) -> str:
        told = event_log.figures_of(self.brought) if self.brought else self.values
        return "; ".join(f"{name} {value}" for name, value in told.items())


class Answer(EntryLine):
    """What somebody said to a reading that the book did not believe."""

    tells_of = "reading__bath"
    touches = ("reading__bath",)
    found_by = ("reading__bath__name",)

    class Choice(models.TextChoices):
        TRUST_READING = "reading", gettext_lazy("Trust the reading")
        TRUST_BOOK = "book", gettext_lazy("Trust the book")
        READ_AGAIN = "again", gettext_lazy("Read again")

    reading = models.ForeignKey(BathEvent, on_delete=models.PROTECT, related_name="answers")
    choice = models.CharField(max_length=8, choices=Choice)

    def __str__(self):
        return self.get_choice_display()

    @classmethod
    def touched_by(cls, entry: Entry) -> dict[type[Lockable], set[int]]:
        return with_poured_on(super().touched_by(entry), entry)

    @property
    def how(self) -> str:
        return f"{self}: {self.reading.words}"


class Estimate(models.Model):
    """The replay's state after one event: a cache that `estimate.refresh` rewrites, never the truth."""

    event = models.OneToOneField(BathEvent, primary_key=True, on_delete=models.CASCADE, related_name="estimate")
    bath = models.ForeignKey(Bath, on_delete=models.CASCADE, related_name="estimates")
    state = models.JSONField(null=True, help_text=gettext_lazy("Null while the bath is unread."))
    far_off_sd = models.FloatField(null=True, help_text=gettext_lazy("How far a held-out reading stood from the book."))
    brought = models.JSONField(
        null=True, help_text=gettext_lazy("What a pour out of another bath brought, by that bath.")
    )

    def __str__(self):
        return _("after %(event)s") % {"event": self.event}

    @property
    def bath_state(self) -> BathState | None:
        return event_log.state_from_json(self.state) if self.state else None
