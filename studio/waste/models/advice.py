"""What a studio was told where it stands: by whom, when, and about what."""

from collections.abc import Iterator
from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.waste import streams, treatment
from inventory.models import Change, EntryLine, EntryLineQuerySet
from inventory.wording import translated
from studio.pages.documents import document_name


class LocalAdviceQuerySet(EntryLineQuerySet["LocalAdvice"]):
    def in_force(self, day: date) -> "QuerySet[LocalAdvice]":
        """What stands, was said by then and has not run out, the latest first."""
        said = self.standing().filter(Q(until_on=None) | Q(until_on__gte=day), said_on__lte=day)
        # of two said on one day, the one written down later holds
        return said.select_related("entry").order_by("-said_on", "-entry__happened_at", "-pk")


class LocalAdvice(EntryLine):
    """
    Somebody was asked, and this is what they said.

    kind: what their answer settles. stream: a key of chemistry.streams it is about; empty for all of them.
    """

    touches = ("disposals",)
    exported_as = "local advice"
    columns = {
        "what": "get_kind_display",
        "who said so": "asked",
        "asked": "question",
        "answer": "answer",
        "about": "about",
        "copper mg/L": "cu_mg_per_l",
        "treatment": "how",
        "said on": "said_on",
        "until": "until_on",
        "in writing": "is_written",
    }

    class Kind(models.TextChoices):
        ANSWER = "answer", gettext_lazy("an answer to a question")
        SEWER_LIMIT = "sewer-limit", gettext_lazy("how much copper the sewer takes")
        SEWER = "sewer", gettext_lazy("permission for the sewer")
        TREATMENT = "treatment", gettext_lazy("permission to treat it here")
        COLLECTION = "collection", gettext_lazy("when and where waste is taken in")
        HAZARDOUS = "hazardous", gettext_lazy("it counts as hazardous waste")
        NOT_HAZARDOUS = "not-hazardous", gettext_lazy("it does not count as hazardous waste")

    class Repeats(models.TextChoices):
        WEEKLY = "weekly", gettext_lazy("every week")
        FORTNIGHTLY = "fortnightly", gettext_lazy("every two weeks")
        MONTHLY = "monthly", gettext_lazy("every month, on that weekday of it")
        YEARLY = "yearly", gettext_lazy("every year")

    PERMISSIONS = (Kind.SEWER, Kind.TREATMENT)
    ABOUT_ONE_KIND = (*PERMISSIONS, Kind.HAZARDOUS, Kind.NOT_HAZARDOUS)

    kind = models.CharField(max_length=20, choices=Kind, default=Kind.ANSWER)
    asked = models.CharField(
        max_length=100, help_text=gettext_lazy("Who said so: the office, not a private person's number.")
    )
    question = models.CharField(max_length=300, blank=True)
    answer = models.TextField(max_length=1000)
    stream = models.CharField(max_length=30, blank=True)
    said_on = models.DateField()
    until_on = models.DateField(null=True, help_text=gettext_lazy("The last day on which it holds."))
    is_written = models.BooleanField(default=False)
    cu_mg_per_l = models.FloatField(null=True, help_text=gettext_lazy("Of a sewer limit."))
    method = models.CharField(
        max_length=20, blank=True, help_text=gettext_lazy("Of a treatment; a key of chemistry.treatment.")
    )
    next_on = models.DateField(null=True, help_text=gettext_lazy("Of a collection."))
    repeats = models.CharField(max_length=12, choices=Repeats, blank=True)
    file = models.FileField(upload_to=document_name, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)

    objects: ClassVar = LocalAdviceQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "advice"
        constraints = [
            models.CheckConstraint(
                name="advice_ends_after_it_was_given", condition=Q(until_on=None) | Q(until_on__gte=F("said_on"))
            ),
            models.CheckConstraint(
                name="a_permission_is_written",
                # spelled out: a class inside this one cannot see its names
                condition=~Q(kind__in=("sewer", "treatment")) | Q(is_written=True),
            ),
            models.CheckConstraint(
                name="a_sewer_limit_has_a_figure",
                condition=~Q(kind="sewer-limit") | Q(cu_mg_per_l__gt=0),
            ),
            models.CheckConstraint(
                name="what_was_said_comes_with_its_digest",
                condition=Q(file="", sha256="") | (~Q(file="") & ~Q(sha256="")),
            ),
        ]

    def __str__(self):
        return f"{self.asked}: {self.get_kind_display()}"

    def get_absolute_url(self):
        return reverse("waste:one_advice", args=[self.pk])

    @property
    def about(self) -> str:
        """
        >>> LocalAdvice(stream="rinse").about, LocalAdvice().about
        ('Plate rinse water', 'all kinds of waste')
        """
        return translated(streams.STREAMS[self.stream].title) if self.stream else _("all kinds of waste")

    @property
    def how(self) -> str:
        """The treatment that was allowed."""
        return treatment.METHODS.get(self.method, "")

    def is_in_force_on(self, day: date) -> bool:
        return self.said_on <= day and (self.until_on is None or self.until_on >= day)

    def changes(self) -> Iterator[Change]:
        yield Change(self.asked, self.get_absolute_url(), f"{self.get_kind_display()}, {self.about}")
