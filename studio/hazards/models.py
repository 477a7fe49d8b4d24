"""What a supplier's sheet says of a material. Every row hangs on its entry."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import ClassVar

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.classes import CLASSES, most_severe
from inventory import facts
from inventory.models import EntryLine, EntryLineQuerySet, Material

# the last one of a dict stays, so the more severe of two categories with one code is put in last
CLASS_OF_CODE = {known.h_code: known.id for known in reversed(tuple(CLASSES.values()))}


def classes_of(codes: Iterable[str]) -> tuple[str, ...]:
    """
    The classes that hazard statements stand for; where two categories share one (H300), the more severe.

    >>> classes_of(["H225", "H319", "EUH066"])
    ('flam_liq_2', 'eye_irrit_2')
    """
    return most_severe(CLASS_OF_CODE[code] for code in codes if code in CLASS_OF_CODE)


class SupplierClassesQuerySet(EntryLineQuerySet["SupplierClasses"]):
    def latest_of(self, materials: Iterable[Material], at: datetime | None = None) -> "dict[int, SupplierClasses]":
        """What counts for each material, now or at a moment: the latest standing one."""
        return self.filter(material__in=[material.pk for material in materials]).latest_until(at)

    def of_bath_salts(
        self, at: datetime | None = None, said: "Mapping[int, SupplierClasses] | None" = None
    ) -> "list[SupplierClasses]":
        """What counts for copper sulfate of any hydrate, whoever sold it; said: what counts for every material."""
        if at is None:
            of_salts = self.filter(material__bath_use__in=Material.BATH_SALTS)
            rows = of_salts.latest_until(at) if said is None else said
            return [row for row in rows.values() if row.material.bath_use in Material.BATH_SALTS]
        said = self.latest_until(at) if said is None else said
        then = facts.as_they_were(Material.objects.filter(pk__in=said), at)
        return [said[each.pk] for each in then if each.bath_use in Material.BATH_SALTS]

    def latest_until(self, at: datetime | None) -> "dict[int, SupplierClasses]":
        """By the material's key."""
        told = self.standing_at(at).select_related("entry__done_by", "material")
        in_order = told.order_by("entry__happened_at", "entry_id")
        return {row.material_id: row for row in in_order}


class SupplierClasses(EntryLine):
    """Section 2 of the supplier's safety sheet as a keyholder copied it; it goes before every computed class."""

    tells_of = "material"
    columns = {
        "Material": "material",
        "Sheet of": "sheet_on",
        "Signal word": "signal_word",
        "Signs": "pictograms",
        "Hazards": "hazards",
        "Precautions": "precautions",
    }

    class SignalWord(models.TextChoices):
        DANGER = "Danger", gettext_lazy("Danger")
        WARNING = "Warning", gettext_lazy("Warning")
        NONE = "", gettext_lazy("none")

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="supplier_classes")
    sheet_on = models.DateField(help_text="The date on the sheet.")
    signal_word = models.CharField(max_length=7, choices=SignalWord, blank=True)
    pictograms = models.JSONField(help_text="Codes GHS01 to GHS09.")
    hazards = models.JSONField(help_text="Pairs of code and words; none says that the sheet gives no class.")
    precautions = models.JSONField(help_text="Pairs of code and words.")

    objects: ClassVar = SupplierClassesQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "supplier classes"

    def __str__(self):
        codes = ", ".join(code for code, _ in self.hazards) or _("not classified")
        return f"{self.signal_word}: {codes}" if self.signal_word else codes

    @property
    def classes(self) -> tuple[str, ...]:
        return classes_of(code for code, _ in self.hazards)

    @property
    def how(self) -> str:
        return _("its supplier’s sheet says %(self)s") % {"self": self}
