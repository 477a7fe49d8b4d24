"""What a supplier's sheet says of a material, and what was printed on labels. Every row hangs on its entry."""

from collections.abc import Iterable

from django.db import models
from django.db.models import Q
from django.urls import reverse

from chemistry.hazard_classes import CLASSES, most_severe
from inventory.models import AppendOnlyModel, Container, Entry, Material, MovementQuerySet
from studio.baths.models import Bath

BATH_SALTS = (Material.BathUse.BLUE_CRYSTALS, Material.BathUse.PALE_POWDER)
CLASS_OF_CODE = {known.h_code: known.id for known in reversed(tuple(CLASSES.values()))}


def classes_of(codes: Iterable[str]) -> tuple[str, ...]:
    """
    The classes that hazard statements stand for; where two categories share one (H300), the more severe.

    >>> classes_of(["H225", "H319", "EUH066"])
    ('flam_liq_2', 'eye_irrit_2')
    """
    return most_severe(CLASS_OF_CODE[code] for code in codes if code in CLASS_OF_CODE)


class SupplierClassesQuerySet(MovementQuerySet):
    def latest_of(self, materials: Iterable[Material]) -> "dict[int, SupplierClasses]":
        """What counts for each material: the latest standing one."""
        return self.filter(material__in=[material.pk for material in materials])._latest()

    def of_bath_salts(self) -> "list[SupplierClasses]":
        """What counts for blue crystals and pale powder, whoever sold them."""
        return list(self.filter(material__bath_use__in=BATH_SALTS)._latest().values())

    def _latest(self) -> "dict[int, SupplierClasses]":
        in_order = self.standing().select_related("entry__done_by").order_by("entry__happened_at", "entry_id")
        return {row.material_id: row for row in in_order}


class SupplierClasses(AppendOnlyModel):
    """Section 2 of the supplier's safety sheet as a keyholder copied it; it goes before every computed class."""

    class SignalWord(models.TextChoices):
        DANGER = "Danger"
        WARNING = "Warning"
        NONE = "", "none"

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="supplier_classes")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="supplier_classes")
    sheet_on = models.DateField(help_text="The date on the sheet.")
    signal_word = models.CharField(max_length=7, choices=SignalWord, blank=True)
    pictograms = models.JSONField(help_text="Codes GHS01 to GHS09.")
    hazards = models.JSONField(help_text="Pairs of code and words; none says that the sheet gives no class.")
    precautions = models.JSONField(help_text="Pairs of code and words.")

    objects = SupplierClassesQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "supplier classes"

    def __str__(self):
        codes = ", ".join(code for code, _ in self.hazards) or "not classified"
        return f"{self.signal_word}: {codes}" if self.signal_word else codes

    @property
    def classes(self) -> tuple[str, ...]:
        return classes_of(code for code, _ in self.hazards)


class PrintedLabelQuerySet(MovementQuerySet):
    def in_use(self) -> "list[PrintedLabel]":
        """The label printed last for each bath, material and jar; an empty jar's is of no use any more."""
        rows = self.standing().select_related("entry", "material", "bath", "container")
        last = {(row.bath_id, row.material_id, row.container_id): row for row in rows.in_order()}
        return [row for row in last.values() if row.container is None or row.container.on_hand]

    def in_order(self):
        """In the order of the book."""
        return self.order_by("entry__happened_at", "entry_id")


class PrintedLabel(AppendOnlyModel):
    """A label that went to the printer: what it was for, and the classes it carried."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="printed_labels")
    material = models.ForeignKey(Material, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    container = models.ForeignKey(Container, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    bath = models.ForeignKey(Bath, null=True, on_delete=models.PROTECT, related_name="printed_labels")
    size = models.CharField(max_length=12)
    classes = models.JSONField(help_text="Ids of chemistry.hazard_classes.")
    content = models.JSONField(help_text="Every word and sign on it.")

    objects = PrintedLabelQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_label_is_of_one_thing",
                condition=Q(material__isnull=False, bath=None) | Q(material=None, container=None, bath__isnull=False),
            )
        ]

    def __str__(self):
        return f"label of {self.thing}"

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
