"""What is written down at the shelf before it becomes an entry: counts on their way, and lists brought along."""

from django.db import models
from django.db.models import F, OuterRef, Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.models import Container, Entry, Person, Place
from inventory.past import with_amount_at
from studio.shelf import hydrates


class CountSheet(models.Model):
    """One walk along a place, counting blind. A note pad: the book changes when its differences are decided."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="count_sheets")
    begun_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    begun_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-begun_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["place"], condition=Q(finished_at=None), name="one_open_count_of_a_place")
        ]

    def __str__(self):
        return _("Count: %(place)s") % {"place": self.place}

    def get_absolute_url(self):
        name = "count_differences" if self.finished_at else "count_sheet"
        return reverse(f"shelf:{name}", args=[self.pk])

    @property
    def minutes(self) -> int | None:
        """How long the walk took."""
        return round((self.finished_at - self.begun_at).total_seconds() / 60) if self.finished_at else None

    def left(self):
        """Containers that stand here by the book and were not counted yet, as they stand on the paper."""
        standing = self.place.containers.on_the_shelf().exclude(count_lines__sheet=self)
        return standing.select_related("material").order_by("material__name", "pk")


class CountLineQuerySet(models.QuerySet):
    def with_book(self):
        """Each line with `book`: what the book has for the moment it was counted, without the line's own entry."""
        # the line would otherwise be compared with the count that it has itself written
        own = Coalesce(OuterRef("entry_id"), 0, output_field=models.BigIntegerField())
        return with_amount_at(self, name="book", container="container", at=OuterRef("counted_at"), apart_from=own)

    def differing(self):
        return self.with_book().exclude(amount=F("book"))

    def undecided(self):
        """Lines that no standing entry took into the book; a struck one may be decided anew."""
        return self.filter(Q(entry=None) | Q(entry__struck_at__isnull=False))


class CountLine(models.Model):
    """So much was in a container when somebody looked."""

    sheet = models.ForeignKey(CountSheet, on_delete=models.CASCADE, related_name="lines")
    container = models.ForeignKey(Container, on_delete=models.PROTECT, related_name="count_lines")
    amount = models.BigIntegerField(help_text="In the base unit of its dimension.")
    counted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    counted_at = models.DateTimeField()
    entry = models.ForeignKey(Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="count_lines")

    book: int  # of `with_book`

    objects = CountLineQuerySet.as_manager()

    class Meta:
        ordering = ["counted_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "container"], name="one_line_a_container"),
            models.CheckConstraint(name="a_line_is_not_negative", condition=Q(amount__gte=0)),
        ]

    def __str__(self):
        return f"{self.container.code}: {self.amount}"

    @property
    def is_decided(self) -> bool:
        return self.entry is not None and not self.entry.is_struck

    @property
    def counts_as(self) -> str:
        """What the difference of `with_book` counts for in a bath; empty where that is what it weighs."""
        container = self.container
        return hydrates.counted(abs(self.amount - self.book), container.material.bath_use, container.assay)


class ImportedFile(models.Model):
    """
    A list somebody kept elsewhere, as it was read; nothing of it is in the book until its entry stands.

    What was picked and typed beside it stays here, whatever becomes of the entry.
    """

    name = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64)
    sheets = models.JSONField(help_text="Each with its name, its rows and the cells that reach over several.")
    choices = models.JSONField(default=dict, help_text="What somebody said of it: see `importing.Choices`.")
    picked = models.JSONField(default=dict, help_text="The field that was picked for each heading.")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    brought_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    brought_at = models.DateTimeField()
    entry = models.ForeignKey(Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="imported_files")

    class Meta:
        ordering = ["-brought_at", "-pk"]
        indexes = [models.Index(fields=["sha256"], name="imported_before")]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("shelf:import_preview", args=[self.pk])

    @property
    def is_in_the_book(self) -> bool:
        return self.entry is not None and not self.entry.is_struck


class Ticked(models.Model):
    """A line of a closing list that somebody has done; the list is cleared when it is begun anew."""

    which = models.CharField(max_length=20)
    line = models.CharField(max_length=60)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["which", "line"], name="a_line_is_ticked_once")]

    def __str__(self):
        return f"{self.which}: {self.line}"
