"""Cathodes and what came off them. Every row hangs on the entry that wrote it and counts as long as it stands."""

from collections.abc import Iterable
from datetime import datetime
from functools import cached_property
from typing import Any, ClassVar, Self

from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.copper.deposition import in_powder, in_wet_metal
from chemistry.measured import Measured, by_scale
from chemistry.quantity import quantity
from chemistry.working import Figure
from inventory.models import Change, EntryLine, EntryLineQuerySet, Lockable, Material
from studio.baths.models import Bath


class Cathode(EntryLine, Lockable):
    """The sheet opposite the plate, on which the copper gathers. Two sheets on one rail are one cathode."""

    MADE_AT = (gettext_lazy("Hang a new one"), "cathodes:hang_new", False)
    touches = ("id",)

    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self):
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("cathodes:cathode", args=[self.pk])

    def changes(self) -> Iterable[Change]:
        return ()  # its sheet and where it was hung tell of it


class Sheet(EntryLine):
    """What was measured of a cathode's sheet, and when it is to be stripped; the latest standing one counts."""

    tells_of = "cathode"
    rests_on = ("cathode",)

    cathode = models.ForeignKey(Cathode, on_delete=models.PROTECT, related_name="sheets")
    facing_cm2 = models.FloatField(help_text=gettext_lazy("Immersed and facing the plate."))
    bare_g = models.FloatField(help_text=gettext_lazy("Without any copper gathered on it."))
    bare_half_width_g = models.FloatField(help_text=gettext_lazy("What the scale it was weighed on is good to."))
    strip_at_um = models.FloatField(help_text=gettext_lazy("Mean thickness at which it is to be stripped."))
    gap_mm = models.FloatField(null=True, help_text=gettext_lazy("From its face to the plate."))
    most_loss_percent = models.FloatField(null=True, help_text=gettext_lazy("Share of the gap that lumps may take."))

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_sheet_has_a_face_and_a_mass",
                condition=Q(facing_cm2__gt=0, bare_g__gt=0, bare_half_width_g__gt=0, strip_at_um__gt=0),
            ),
            models.CheckConstraint(
                name="a_gap_comes_with_its_loss",
                condition=Q(gap_mm=None, most_loss_percent=None) | Q(gap_mm__gt=0, most_loss_percent__gt=0),
            ),
        ]

    def __str__(self):
        return _("%(facing_cm2)s, %(bare_g)s bare") % {
            "facing_cm2": quantity(self.facing_cm2, "cm²", 4),
            "bare_g": quantity(self.bare_g, "g"),
        }

    @cached_property
    def bare(self) -> Measured:
        """Weighed once, it is wrong alike in everything that is weighed with it."""
        return by_scale(self.bare_g, self.bare_half_width_g)


class HangingQuerySet(EntryLineQuerySet["Hanging"]):
    def until(self, moment: datetime) -> Self:
        """The last one first."""
        # a cathode that was struck never hung there, whatever was written of it
        standing = self.standing().filter(entry__happened_at__lte=moment, cathode__entry__struck_at=None)
        return standing.order_by("-entry__happened_at", "-entry_id", "-pk")

    def hung_at(self, moment: datetime) -> "Hanging | None":
        """Of the hangings in one bath: the one by which a cathode hangs there at a moment."""
        of_cathode = Hanging.objects.until(moment).filter(cathode=OuterRef("cathode"))
        known = self.until(moment).annotate(last_of_cathode=Subquery(of_cathode.values("pk")[:1]))
        hung: Any = known.select_related("cathode").first()
        # a cathode that was taken out, or hung elsewhere since, made room without another in its place
        return hung if hung and hung.last_of_cathode == hung.pk else None

    def sheet_at(self, moment: datetime) -> Sheet | None:
        """Of the hangings in one bath: the sheet that hangs there at a moment, as it was measured last."""
        hung = self.hung_at(moment)
        if hung is None:
            return None
        measured = hung.cathode.sheets.standing().select_related("cathode")
        return measured.order_by("entry__happened_at", "entry_id").last()


class Hanging(EntryLine):
    """A cathode hung in a bath, in the place of any other that hung there; without a bath, taken out."""

    tells_of = "cathode"
    joined = ("cathode", "bath")
    rests_on = ("cathode",)
    found_by = ("bath__name",)

    cathode = models.ForeignKey(Cathode, on_delete=models.PROTECT, related_name="hangings")
    bath = models.ForeignKey(Bath, null=True, on_delete=models.PROTECT, related_name="hangings")

    objects: ClassVar = HangingQuerySet.as_manager()

    def __str__(self):
        return _("hung in %(bath)s") % {"bath": self.bath} if self.bath else _("taken out")


class CathodeWeighing(EntryLine):
    """A cathode on a scale with all that is on it. Wet, it carries water too and tells nothing of its copper."""

    tells_of = "cathode"
    rests_on = ("cathode",)

    cathode = models.ForeignKey(Cathode, on_delete=models.PROTECT, related_name="weighings")
    mass_g = models.FloatField()
    half_width_g = models.FloatField(help_text=gettext_lazy("What the scale is good to."))
    is_dry = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.CheckConstraint(name="a_cathode_weighs_something", condition=Q(mass_g__gt=0, half_width_g__gt=0))
        ]

    def __str__(self):
        return f"{quantity(self.mass_g, 'g')}{'' if self.is_dry else ', wet'}"

    @cached_property
    def mass(self) -> Measured:
        return by_scale(self.mass_g, self.half_width_g)

    @property
    def how(self) -> str:
        return _("weighed %(self)s") % {"self": self}


class Strip(EntryLine):
    """
    Copper taken off a cathode, which is bare again afterwards.

    mass_g: solid metal; powder_g: loose powder, weighed and kept wet, for itself and never among the metal.
    """

    tells_of = "cathode"
    rests_on = ("cathode",)

    cathode = models.ForeignKey(Cathode, on_delete=models.PROTECT, related_name="strips")
    mass_g = models.FloatField()
    half_width_g = models.FloatField(help_text=gettext_lazy("What the scale is good to."))
    is_dry = models.BooleanField(default=True)
    powder_g = models.FloatField(default=0.0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="something_came_off",
                condition=Q(mass_g__gte=0, powder_g__gte=0, half_width_g__gt=0) & (Q(mass_g__gt=0) | Q(powder_g__gt=0)),
            )
        ]

    def __str__(self):
        metal = f"{quantity(self.mass_g, 'g')}{'' if self.is_dry else ' wet'}"
        return (
            _("%(metal)s and %(powder_g)s of wet powder") % {"metal": metal, "powder_g": quantity(self.powder_g, "g")}
            if self.powder_g
            else metal
        )

    @cached_property
    def mass(self) -> Measured:
        return by_scale(self.mass_g, self.half_width_g)

    @cached_property
    def copper_in_powder(self) -> Figure:
        return in_powder(self.powder_g)

    @property
    def copper_in_metal(self) -> Measured:
        """As it was weighed; wet, less the water that solid metal carries."""
        if self.is_dry:
            return self.mass
        # the second part is nought with the scale's error: water and scale are wrong each in its own way
        return in_wet_metal(self.mass_g) + (self.mass - Measured(self.mass_g, unit="g"))

    @property
    def how(self) -> str:
        return _("%(self)s came off") % {"self": self}


class CopperContent(EntryLine):
    """How much copper is in one base unit of a material: a piece, mm², mm or mg. The latest standing one counts."""

    tells_of = "material"

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="copper_contents")
    grams = models.FloatField()
    sd_g = models.FloatField()
    words = models.CharField(max_length=120, help_text=gettext_lazy("As it was said."))

    class Meta:
        constraints = [
            models.CheckConstraint(name="some_copper_is_in_it", condition=Q(grams__gt=0, sd_g__gte=0)),
        ]

    def __str__(self):
        return self.words
