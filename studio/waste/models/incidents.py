"""What went wrong in the shop: a spill, a splash, a power fault; and what was done about it since."""

from collections.abc import Iterator
from typing import ClassVar

from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Change, EntryLineQuerySet, Person, SoleEntryLine


class IncidentQuerySet(EntryLineQuerySet["Incident"]):
    def with_ending(self):
        """Whether somebody has closed it."""
        return self.annotate(is_closed=Exists(FollowUp.objects.standing().filter(incident=OuterRef("pk"), closes=True)))

    def still_open(self):
        return self.standing().with_ending().filter(is_closed=False)


class Incident(SoleEntryLine):
    """
    One report. What it took from baths and shelf and put into drums hangs on the same entry.

    hurt, injury: for keyholders and that person only; everything else is read by everybody.
    """

    joined = ("hurt",)
    columns = {
        "kind": "get_kind_display",
        "what happened": "what_happened",
        "what was done": "what_was_done",
        "in no drum": "gathered",
        "hurt": "hurt",  # the whole book is a keyholder's to take
        "how": "injury",
    }

    class Kind(models.TextChoices):
        SPILL = "spill", gettext_lazy("Something was spilled")
        HURT = "hurt", gettext_lazy("Somebody was splashed or hurt")
        POWER = "power", gettext_lazy("Power, the supply or a machine failed")
        FIRE = "fire", gettext_lazy("Fire or smoke")
        NEARLY = "nearly", gettext_lazy("It nearly went wrong")
        OTHER = "other", gettext_lazy("Something else")

    kind = models.CharField(max_length=10, choices=Kind)
    what_happened = models.CharField(max_length=500)
    what_was_done = models.CharField(max_length=500, blank=True)
    gathered = models.CharField(max_length=300, blank=True, help_text="What was taken up and went into no drum then.")
    gathered_l = models.FloatField(null=True, help_text="A guess.")
    gathered_kind = models.CharField(max_length=40, blank=True, help_text="Of chemistry.streams, where that is plain.")
    waits_for_drum = models.BooleanField(default=False)
    hurt = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    injury = models.CharField(max_length=300, blank=True)

    is_closed: bool  # of those from with_ending

    objects: ClassVar = IncidentQuerySet.as_manager()

    def __str__(self):
        return f"{self.get_kind_display()}: {self.what_happened}"

    def get_absolute_url(self):
        return reverse("waste:incident", args=[self.pk])

    @property
    def is_about_somebody(self) -> bool:
        return bool(self.hurt_id or self.injury)

    def may_read_who(self, person: Person, *, is_keyholder: bool) -> bool:
        """Who was hurt is between that person and the keyholders."""
        return is_keyholder or person.pk == self.hurt_id

    def changes(self) -> Iterator[Change]:
        yield Change(_("Report"), self.get_absolute_url(), self.what_happened)


class FollowUp(SoleEntryLine):
    """What was done about an incident later on; the last one closes it."""

    rests_on = ("incident",)
    joined = ("incident",)
    exported_as = "what followed incidents"
    columns = {"report": "incident__what_happened", "what was done": "words", "closes": "closes"}

    incident = models.ForeignKey(Incident, on_delete=models.PROTECT, related_name="follow_ups")
    words = models.CharField(max_length=500)
    closes = models.BooleanField(default=False)

    class Meta:
        constraints = [models.CheckConstraint(name="a_follow_up_says_something", condition=~Q(words=""))]

    def __str__(self):
        return self.words

    def changes(self) -> Iterator[Change]:
        yield Change(_("Report"), self.incident.get_absolute_url(), self.words)
