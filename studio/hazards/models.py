"""What a supplier's sheet says of a material. Every row hangs on its entry."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from django.db import models
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.classes import CLASSES, most_severe
from inventory import facts
from inventory.asked_often import asked_often
from inventory.dates import END_OF_TIME
from inventory.models import EntryLine, Material

# the last one of a dict stays, so the more severe of two categories with one code is put in last
CLASS_OF_CODE = {known.h_code: known.id for known in reversed(tuple(CLASSES.values()))}


def classes_of(codes: Iterable[str]) -> tuple[str, ...]:
    """
    The classes that hazard statements stand for; where two categories share one (H300), the more severe.

    >>> classes_of(["H225", "H319", "EUH066"])
    ('flam_liq_2', 'eye_irrit_2')
    """
    return most_severe(CLASS_OF_CODE[code] for code in codes if code in CLASS_OF_CODE)


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

    @classmethod
    def latest_until(cls, at: datetime | None = None) -> "dict[int, SupplierClasses]":
        """What counts now or at a moment for every material, by its key: the latest standing one."""
        return {row.material_id: row for row in told_until(at or END_OF_TIME)}

    @classmethod
    def latest_of(cls, materials: Iterable[Material], at: datetime | None = None) -> "dict[int, SupplierClasses]":
        keys = [material.pk for material in materials]
        return {row.material_id: row for row in told_of_materials(keys, at or END_OF_TIME)}

    @classmethod
    def of_bath_salts(
        cls, at: datetime | None = None, said: "Mapping[int, SupplierClasses] | None" = None
    ) -> "list[SupplierClasses]":
        """What counts for copper sulfate of any hydrate, whoever sold it; said: what counts for every material."""
        if at is None:
            rows = {row.material_id: row for row in told_of_salts()} if said is None else said
            return [row for row in rows.values() if row.material.bath_use in Material.BATH_SALTS]
        said = cls.latest_until(at) if said is None else said
        then = facts.as_they_were(Material.objects.filter(pk__in=said), at)
        return [said[each.pk] for each in then if each.bath_use in Material.BATH_SALTS]


@asked_often
def told_until(at: datetime) -> QuerySet[SupplierClasses]:
    told = SupplierClasses.objects.standing_at(at).select_related("entry__done_by", "material")
    return told.order_by("entry__happened_at", "entry_id")


@asked_often
def told_of_materials(materials: Collection[int], at: datetime) -> QuerySet[SupplierClasses]:
    told = SupplierClasses.objects.standing_at(at).select_related("entry__done_by", "material")
    return told.filter(material__in=materials).order_by("entry__happened_at", "entry_id")


@asked_often
def told_of_salts() -> QuerySet[SupplierClasses]:
    told = SupplierClasses.objects.standing().select_related("entry__done_by", "material")
    return told.filter(material__bath_use__in=Material.BATH_SALTS).order_by("entry__happened_at", "entry_id")
