"""The press's queue: the one table that belongs to no feature of the book."""

from datetime import timedelta
from typing import Self
from uuid import uuid4

from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone

STALLED = timedelta(minutes=2)  # a slow machine takes seconds for a page
PATIENCE = timedelta(minutes=10)  # for the papers that are printed before it
KEPT = timedelta(days=1)


class PrintJobQuerySet(models.QuerySet["PrintJob"]):
    def light(self) -> Self:
        """Without what is printed."""
        return self.defer("html", "paper")

    def to_print(self) -> Self:
        """What nobody has taken yet, and what was taken by a node that has gone."""
        now = timezone.now()
        left = Q(state=PrintJob.State.TAKEN, moved_at__lt=now - STALLED)
        return self.filter(Q(state=PrintJob.State.WAITS, asked_at__gt=now - PATIENCE) | left).order_by("asked_at")

    @transaction.atomic
    def take(self) -> "PrintJob | None":
        """The next one, which no other worker of any node then takes."""
        job = self.to_print().select_for_update(skip_locked=True).first()
        if job:
            job.state, job.moved_at, job.printed = PrintJob.State.TAKEN, timezone.now(), 0
            job.save(update_fields=["state", "moved_at", "printed"])
        return job


class PrintJob(models.Model):
    """A long paper that was asked for. Any node prints it, and all can hand it out; it goes after a day."""

    class State(models.TextChoices):
        WAITS = "waits"
        TAKEN = "taken"
        PRINTED = "printed"
        FAILED = "failed"

    key = models.UUIDField(primary_key=True, default=uuid4)
    title = models.CharField(max_length=160)
    page = models.CharField(max_length=20)
    html = models.JSONField(default=list, help_text="The front, then each part; empty once it is printed.")
    parts = models.PositiveIntegerField()
    printed = models.PositiveIntegerField(default=0)
    state = models.CharField(max_length=10, choices=State, default=State.WAITS)
    asked_at = models.DateTimeField(default=timezone.now)
    moved_at = models.DateTimeField(default=timezone.now)
    paper = models.BinaryField(null=True)

    objects = PrintJobQuerySet.as_manager()

    def __str__(self) -> str:
        return self.title

    @property
    def is_done(self) -> bool:
        return self.state == self.State.PRINTED

    @property
    def has_failed(self) -> bool:
        """Whether its process ended without a paper, or nobody has printed of it for long."""
        waited = timezone.now() - self.moved_at
        too_long = {self.State.WAITS: PATIENCE, self.State.TAKEN: 2 * STALLED}
        return self.state == self.State.FAILED or waited > too_long.get(self.State(self.state), waited)

    @property
    def is_underway(self) -> bool:
        return not self.is_done and not self.has_failed
