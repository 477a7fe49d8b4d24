"""What was printed on labels. Every row hangs on its entry."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Container, EntryLine, EntryLineQuerySet, Material
from studio.baths.models import Bath


class PrintedLabelQuerySet(EntryLineQuerySet["PrintedLabel"]):
    def in_use(self) -> "list[PrintedLabel]":
        """The label printed last for each bath, material and jar; an empty jar's is of no use any more."""
        rows = self.standing().select_related("entry", "material", "bath", "container")
        # by the book's order, so that of each thing the label printed last stays in the dictionary
        last = {(row.bath_id, row.material_id, row.container_id): row for row in rows.in_order()}
        return [row for row in last.values() if row.container is None or row.container.on_hand]

    def in_order(self):
        """In the order of the book."""
        return self.order_by("entry__happened_at", "entry_id")


class PrintedLabel(EntryLine):
    """A label that went to the printer: what it was for, and the classes it carried."""

    joined = ("material", "container__material", "bath")
    how = gettext_lazy("a label was printed")
    columns = {"Of": "thing", "Size": "size", "Statements": "statements"}

    material = models.ForeignKey(Material, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    container = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    bath = models.ForeignKey(Bath, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    size = models.CharField(max_length=12)
    classes = models.JSONField(help_text=gettext_lazy("Ids of chemistry.hazard_classes."))
    content = models.JSONField(help_text=gettext_lazy("Every word and sign on it."))

    objects: ClassVar = PrintedLabelQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_label_is_of_one_thing",
                condition=Q(material__isnull=False, bath=None) | Q(material=None, container=None, bath__isnull=False),
            )
        ]

    def __str__(self):
        return _("label of %(thing)s") % {"thing": self.thing}

    def get_absolute_url(self):
        return reverse("safety:label_paper", args=[self.pk])

    @property
    def thing(self) -> Container | Material | Bath:
        """What it is stuck on."""
        thing = self.container or self.material or self.bath
        assert thing  # the table sees to it
        return thing

    @property
    def codes(self) -> set[str]:
        """The hazard statements it carried."""
        return {code for code, _ in self.content["hazards"]}

    @property
    def statements(self) -> list[str]:
        return sorted(self.codes)
