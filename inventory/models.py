"""What is on the shelf and what was written in the book."""

import uuid
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, ClassVar, Self

from django.apps import apps
from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Lower
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from chemistry import units
from chemistry.hazards.storage import CHOSEN
from chemistry.hazards.substances import SUBSTANCES
from chemistry.measured import digits
from chemistry.sentences import Sentence
from inventory.append_only import (
    AppendOnly,
    AppendOnlyModel,
    AppendOnlyQuerySet,
    AuditedModel,
    AuditedQuerySet,
    Listed,
    ListedQuerySet,
    as_json,
)
from inventory.dates import long_day, months_after, short_day
from inventory.entries import (
    Change,
    Entry,
    EntryKind,
    EntryLine,
    EntryLineQuerySet,
    EntryQuerySet,
    Lockable,
    Person,
    SoleEntryLine,
)
from inventory.refusals import Refused
from inventory.wording import translated

# what the book is made of is asked for here too
__all__ = [
    "AppendOnly",
    "AppendOnlyModel",
    "AppendOnlyQuerySet",
    "AuditedModel",
    "AuditedQuerySet",
    "Change",
    "Entry",
    "EntryKind",
    "EntryLine",
    "EntryLineQuerySet",
    "EntryQuerySet",
    "Listed",
    "ListedQuerySet",
    "Lockable",
    "Person",
    "SoleEntryLine",
    "as_json",
]

MOST_SHOWN = 200


class Place(Listed):
    NOT_WRITTEN = gettext_lazy("the default")
    MADE_AT = (gettext_lazy("A new place"), "shelf:new_place", False)

    class Kind(models.TextChoices):
        SHELF = gettext_noop("shelf"), gettext_lazy("Shelf")
        FLAMMABLES = gettext_noop("flammables cabinet"), gettext_lazy("Flammables")
        BENCH = gettext_noop("bench"), gettext_lazy("Bench")
        TANK = gettext_noop("tank"), gettext_lazy("Tank")
        AWAY = gettext_noop("away"), gettext_lazy("away with a partner studio")

    name = models.CharField(gettext_lazy("name"), max_length=80, unique=True)
    kind = models.CharField(gettext_lazy("kind"), max_length=20, choices=Kind, default=Kind.SHELF)
    flammables_limit_ul = models.BigIntegerField(
        gettext_lazy("limit of flammable liquid"),
        null=True,
        blank=True,
        help_text="The studio's own, in µL.",
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("safety:place", args=[self.pk])

    @property
    def kind_unsaid(self) -> str:
        """What kind of place it is, where its name does not say so."""
        return "" if _(self.kind).casefold() in self.name.casefold() else _(self.kind)

    def check_facts(self) -> None:
        super().check_facts()
        if there := Place.objects.filter(name__iexact=self.name).exclude(pk=self.pk).first():
            said = _("There is a place called %(name)s already.") % {"name": self.name}
            raise Refused("name", said, ways=[(str(there), there.get_absolute_url())])

    def shown_fact(self, name: str, value: Any) -> str:
        if name == "flammables_limit_ul" and value is not None:
            return str(translated(units.show(value, "volume", "L")))
        return super().shown_fact(name, value)


@dataclass(frozen=True, kw_only=True)
class Constituent:
    """A substance in a material and how much of it, as the supplier's sheet tells it: percent by mass."""

    name: str
    low_percent: float
    high_percent: float
    substance: str = ""  # a key of chemistry.hazards.substances, where there is one
    of_part: bool = False  # percent of what is dissolved in that as it is sold

    def __post_init__(self) -> None:
        if not 0 <= self.low_percent <= self.high_percent <= 100:
            raise ValueError(f"{digits(self.low_percent)} to {digits(self.high_percent)} % is no range from 0 to 100 %")

    def __str__(self) -> str:
        low, high = digits(self.low_percent), digits(self.high_percent)
        return f"{self.name} {low}–{high} %" if low != high else f"{self.name} {high} %"

    @property
    def is_known(self) -> bool:
        return self.substance in SUBSTANCES


class MaterialQuerySet(ListedQuerySet["Material"]):
    def listed(self) -> Self:
        """And whatever else still stands here."""
        standing = Container.objects.on_the_shelf().filter(material=OuterRef("pk"))
        return self.filter(Q(is_listed=True) | Exists(standing))

    def with_on_hand(self) -> Self:
        # an index leads to what stands; added up by a join, every jar that was ever finished would be read
        standing = Container.objects.on_the_shelf().filter(material=OuterRef("pk")).order_by().values("material")
        return self.annotate(on_hand=Coalesce(Subquery(standing.annotate(sum=Sum("on_hand")).values("sum")), 0))

    def with_sheet(self) -> Self:
        return self.annotate(has_sheet=Exists(SafetySheet.objects.standing().filter(material=OuterRef("pk"))))

    def needing_sheet(self) -> Self:
        """What is weighed or poured, and what stands among chemicals: whoever sells it has a safety sheet for it."""
        poured = Q(dimension__in=(Material.Dimension.MASS, Material.Dimension.VOLUME))
        chemicals = self.filter(poured | Q(category__in=Material.CHEMICALS)).exclude(category=Material.Category.COPPER)
        return chemicals.listed()

    def standing_here(self) -> Self:
        """Each with what stands of it, read past its finished containers; whether it is low, and a sheet missed."""
        missed = Material.objects.without_sheet().filter(pk=OuterRef("pk"))
        return self.with_on_hand().annotate(
            is_without_sheet=Exists(missed),
            is_low=Exists(Material.objects.to_reorder().filter(pk=OuterRef("pk"))),
        )

    def without_sheet(self) -> Self:
        """Whose sheet is missed; of water and of what is inert, none is."""
        asked = self.needing_sheet().exclude(Material.IS_WATER).exclude(Material.IS_INERT)
        return asked.with_sheet().filter(has_sheet=False)

    def to_reorder(self) -> Self:
        """What is low: all that is left is the level somebody set, or less. Without a level nothing is ever low."""
        return self.listed().filter(reorder_level__gt=0).with_on_hand().filter(on_hand__lte=F("reorder_level"))


class Material(Listed):
    MADE_AT = (gettext_lazy("A new material"), "shelf:new_material", False)

    class Category(models.TextChoices):
        COPPER = gettext_noop("Copper sheet and plates")
        BATH = gettext_noop("Bath salts and water")
        GROUNDS = gettext_noop("Grounds")
        STOP_OUT = gettext_noop("Stop-out and block-out")
        TAPES = gettext_noop("Tapes and edge protection")
        SOLVENTS = gettext_noop("Solvents and thinners")
        CLEANERS = gettext_noop("Plate cleaners and degreasers")
        SPILL = gettext_noop("Neutralising and spill")
        ABRASIVES = gettext_noop("Abrasives and scrubbing")
        STRAINING = gettext_noop("Straining and containers")
        PROTECTION = gettext_noop("Gloves, eyes and lungs")
        INK = gettext_noop("Ink, wiping and post")

    CHEMICALS = (Category.BATH, Category.GROUNDS, Category.STOP_OUT, Category.SOLVENTS)
    THINGS = (Category.COPPER, Category.TAPES, Category.ABRASIVES, Category.STRAINING, Category.PROTECTION)
    BOXED = (Category.TAPES, Category.PROTECTION)
    UNITS: ClassVar = {
        **dict.fromkeys(("density_g_per_ml", "density_low_g_per_ml", "density_high_g_per_ml"), "g/mL"),
        **dict.fromkeys(("bulk_density_g_per_ml", "bulk_density_low_g_per_ml", "bulk_density_high_g_per_ml"), "g/mL"),
        "flash_point_c": "°C",
        "thickness_um": "µm",
    }
    FLAT_UNITS = ("sheet", "roll", "strip", "label")
    # nothing is sold as such that a supplier would have to warn of; ours, after Reg. (EC) 1907/2006 Art. 31(1)
    IS_WATER = Q(bath_use="water")
    IS_INERT = Q(category=Category.SPILL, storage_group="general", composition=[], flash_point_c=None)
    SHEETS_TOO = (Category.INK, Category.SPILL)  # paper and muslin stand among the inks

    class Dimension(models.TextChoices):
        MASS = "mass", gettext_lazy("Mass")
        VOLUME = "volume", gettext_lazy("Volume")
        AREA = "area", gettext_lazy("Area")
        LENGTH = "length", gettext_lazy("Length")
        COUNT = "count", gettext_lazy("Count")

    class BathUse(models.TextChoices):
        """What the substance does in a bath; which hydrate it is cannot be told from a name."""

        NONE = "", gettext_lazy("not a bath salt")
        BLUE_CRYSTALS = "copper_sulfate_pentahydrate", gettext_lazy("copper sulfate, blue crystals (pentahydrate)")
        PALE_POWDER = "copper_sulfate_anhydrous", gettext_lazy("copper sulfate, pale grey-white powder (anhydrous)")
        MONOHYDRATE = "copper_sulfate_monohydrate", gettext_lazy("copper sulfate, pale blue-grey powder (monohydrate)")
        WATER = "water", gettext_lazy("water for the bath")

    BATH_SALTS = (BathUse.BLUE_CRYSTALS, BathUse.PALE_POWDER, BathUse.MONOHYDRATE)

    name = models.CharField(gettext_lazy("name"), max_length=120, unique=True)
    category = models.CharField(
        gettext_lazy("category"), max_length=60, choices=[(name, gettext_lazy(name)) for name in Category.values]
    )
    dimension = models.CharField(gettext_lazy("dimension"), max_length=10, choices=Dimension)
    shown_unit = models.CharField(
        gettext_lazy("shown unit"), max_length=12, help_text="The unit its amounts are shown in."
    )
    bath_use = models.CharField(
        gettext_lazy("bath use"), max_length=40, choices=BathUse, default=BathUse.NONE, blank=True
    )
    purity = models.FloatField(
        gettext_lazy("purity"), default=1.0, help_text="Share of the named substance in the pack (assay)."
    )
    density_g_per_ml = models.FloatField(gettext_lazy("density"), null=True, blank=True)
    density_low_g_per_ml = models.FloatField(
        gettext_lazy("density, at the lowest"),
        null=True,
        blank=True,
        help_text="The ends of its 95 % range.",
    )
    density_high_g_per_ml = models.FloatField(gettext_lazy("density, at the highest"), null=True, blank=True)
    bulk_density_g_per_ml = models.FloatField(
        gettext_lazy("bulk density"), null=True, blank=True, help_text="Weigh one cup once."
    )
    bulk_density_low_g_per_ml = models.FloatField(
        gettext_lazy("bulk density, at the lowest"),
        null=True,
        blank=True,
        help_text="The ends of its 95 % range.",
    )
    bulk_density_high_g_per_ml = models.FloatField(gettext_lazy("bulk density, at the highest"), null=True, blank=True)
    sealed_months = models.PositiveSmallIntegerField(
        gettext_lazy("months it keeps sealed"),
        null=True,
        blank=True,
        help_text="How long it keeps sealed.",
    )
    opened_months = models.PositiveSmallIntegerField(
        gettext_lazy("months it keeps once open"),
        null=True,
        blank=True,
        help_text="How long it keeps once open.",
    )
    storage_group = models.CharField(
        gettext_lazy("storage group"), max_length=40, choices=[(group.id, group.name) for group in CHOSEN], blank=True
    )
    flash_point_c = models.FloatField(
        gettext_lazy("flash point"),
        null=True,
        blank=True,
        help_text="As the supplier's sheet gives it.",
    )
    composition = models.JSONField(
        gettext_lazy("made of"), default=list, blank=True, help_text="Constituents, as dictionaries."
    )
    thickness_um = models.PositiveIntegerField(
        gettext_lazy("thickness"), null=True, blank=True, help_text="Of sheet copper."
    )
    reorder_level = models.BigIntegerField(
        gettext_lazy("reorder level"), default=0, help_text="In the base unit of its dimension."
    )
    order_up_to = models.BigIntegerField(
        gettext_lazy("order up to"), null=True, blank=True, help_text="In the base unit of its dimension."
    )
    lead_time_days = models.PositiveSmallIntegerField(
        gettext_lazy("days from order to delivery"),
        null=True,
        blank=True,
        help_text="From order to delivery.",
    )
    note = models.TextField(gettext_lazy("note"), blank=True)

    objects: ClassVar = MaterialQuerySet.as_manager()

    class Meta:
        ordering = ["category", "name"]
        constraints = [
            models.CheckConstraint(name="purity_is_a_share", condition=Q(purity__gt=0, purity__lte=1)),
            models.CheckConstraint(
                name="bulk_density_is_positive",
                condition=Q(bulk_density_g_per_ml=None) | Q(bulk_density_g_per_ml__gt=0),
            ),
            models.CheckConstraint(
                name="density_is_positive", condition=Q(density_g_per_ml=None) | Q(density_g_per_ml__gt=0)
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("shelf:material", args=[self.pk])

    @property
    def is_shaped(self) -> bool:
        """Filed and measured as a thing that keeps its shape: nothing of it is poured, weighed out or spread."""
        flat = self.dimension in (self.Dimension.AREA, self.Dimension.LENGTH) or self.shown_unit in self.FLAT_UNITS
        # a bottle is counted for what is in it, and of powder there are boxes too
        boxed = self.category in self.BOXED and self.shown_unit in ("box", "pack")
        return (
            self.category == self.Category.COPPER
            or (self.category in self.THINGS and (flat or boxed or self.shown_unit in ("piece", "pair", "pad")))
            or (self.category in self.SHEETS_TOO and flat)
        )

    @property
    def needs_sheet(self) -> bool:
        """As `MaterialQuerySet.needing_sheet` has it, of a material as it was on some day."""
        is_poured = self.dimension in (self.Dimension.MASS, self.Dimension.VOLUME)
        return (is_poured or self.category in self.CHEMICALS) and self.category != self.Category.COPPER

    @property
    def no_sheet_needed(self) -> str:
        """Why nobody misses a sheet of it, by the same rule as `without_sheet`; empty where somebody does."""
        if self.bath_use == self.BathUse.WATER:
            return _("no sheet needed for water")
        is_inert = self.category == self.Category.SPILL and self.storage_group == "general"
        known = bool(self.composition) or self.flash_point_c is not None
        return _("no sheet needed: inert") if is_inert and not known else ""

    @property
    def constituents(self) -> list[Constituent]:
        """What there is most of comes first."""
        return sorted((Constituent(**each) for each in self.composition), key=lambda each: -each.high_percent)

    def show(self, amount: int) -> str:
        return str(translated(units.show(amount, self.dimension, self.shown_unit)))

    def use_by(self, sealed: date | None, opened_on: date | None) -> date | None:
        """As long as a jar of it keeps sealed, or less where it stands open."""
        once_open = months_after(opened_on, self.opened_months) if opened_on and self.opened_months else None
        return min(filter(None, (sealed, once_open)), default=None)

    def signed(self, amount: int) -> str:
        """What came with a plus, what went with a minus."""
        return ("+" if amount > 0 else "−") + self.show(abs(amount))

    def check_facts(self) -> None:
        super().check_facts()
        if there := Material.objects.filter(name__iexact=self.name).exclude(pk=self.pk).first():
            said = _("%(self)s is written down already; receive it under that name.") % {"self": self}
            ways = [
                (_("Receive it"), reverse("shelf:receive", args=[there.pk])),
                (str(there), there.get_absolute_url()),
            ]
            raise Refused("name", said, ways=ways)

    def shown_fact(self, name: str, value: Any) -> str:
        if name in ("reorder_level", "order_up_to") and value:
            return self.show(value)
        if name == "purity":
            return f"{digits(100 * value)} %"
        if name == "composition" and value:
            return ", ".join(str(Constituent(**each)) for each in value)
        return super().shown_fact(name, value)


def _own_name(sheet: "SafetySheet", typed_name: str) -> str:
    """A name nobody chose: what was typed elsewhere may be anything."""
    return f"sheets/{uuid.uuid4().hex}.pdf"


class SafetySheetQuerySet(EntryLineQuerySet["SafetySheet"]):
    def latest_of(self, materials: "Iterable[Material]", at: datetime | None = None) -> "dict[int, SafetySheet]":
        """The newest that was on file of each material, now or at a moment, by the material's key."""
        filed = self.standing_at(at).filter(material__in=[material.pk for material in materials])
        return {sheet.material_id: sheet for sheet in filed[::-1]}


class SafetySheet(EntryLine):
    """The supplier's safety sheet as a file; a newer one stands beside the older ones."""

    tells_of = "material"
    columns = {"Of": "thing", "What": "how", "File": "file"}

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="safety_sheets")
    file = models.FileField(upload_to=_own_name)
    sha256 = models.CharField(max_length=64)
    dated_on = models.DateField(help_text="The date on the sheet.")

    objects: ClassVar = SafetySheetQuerySet.as_manager()

    class Meta:
        ordering = ["-dated_on", "-pk"]

    def __str__(self) -> str:
        return _("Safety sheet of %(material)s, %(dated_on)s") % {
            "material": self.material,
            "dated_on": short_day(self.dated_on),
        }

    def get_absolute_url(self) -> str:
        return reverse("shelf:safety_sheet", args=[self.pk])


class ContainerQuerySet(AuditedQuerySet["Container"]):
    # an index on the code as it is typed leads there; `iexact` would read every jar
    def with_code(self, code: str | Value) -> Self:
        """The one with this code, however it was typed."""
        typed = code if isinstance(code, Value) else Value(code)
        return self.annotate(code_as_typed=Lower("code")).filter(code_as_typed=Lower(typed))

    def on_the_shelf(self) -> Self:
        return self.filter(on_hand__gt=0)

    def at_hand(self) -> Self:
        """On the shelf here, and not away with a partner studio."""
        return self.on_the_shelf().exclude(place__kind=Place.Kind.AWAY)

    def oldest_open_first(self) -> Self:
        """The order in which a careful shop uses its jars."""
        return self.order_by(F("opened_on").asc(nulls_last=True), "received_on", "pk")

    def for_bath(self, *uses: str) -> Self:
        return self.at_hand().filter(material__bath_use__in=uses).select_related("material").oldest_open_first()


class Container(AuditedModel):
    """One physical jar, roll or sheet. `on_hand` is the running sum of its movements, kept by `ledger` alone."""

    UNITS: ClassVar = {"bulk_density_g_per_ml": "g/mL"}
    MADE_AT = (gettext_lazy("Receive more first"), "shelf:receive", False)
    # what the ledger works out from the lines of the book, and what is printed on the label
    KEPT_BY_CODE = (
        "code",
        "material",
        "place",
        "batch",
        "received_on",
        "opened_on",
        "use_by_on",
        "sealed_use_by_on",
        "on_hand",
    )

    code = models.CharField(gettext_lazy("code"), max_length=12, help_text="Printed on its label.")
    material = models.ForeignKey(
        Material, verbose_name=gettext_lazy("material"), on_delete=models.PROTECT, related_name="containers"
    )
    place = models.ForeignKey(
        Place, verbose_name=gettext_lazy("place"), on_delete=models.PROTECT, related_name="containers"
    )
    batch = models.CharField(gettext_lazy("batch"), max_length=60, blank=True)
    received_on = models.DateField(gettext_lazy("received on"))
    opened_on = models.DateField(gettext_lazy("opened on"), null=True, blank=True)
    use_by_on = models.DateField(gettext_lazy("use by on"), null=True, blank=True)
    sealed_use_by_on = models.DateField(
        gettext_lazy("sealed use by on"), null=True, blank=True, help_text="As long as nobody opens it."
    )
    bulk_density_g_per_ml = models.FloatField(
        gettext_lazy("bulk density"),
        null=True,
        blank=True,
        help_text="Of its own, from one weighed cup.",
    )
    purity = models.FloatField(
        gettext_lazy("assay"),
        null=True,
        blank=True,
        help_text="Share of the named substance, where this lot's is another.",
    )
    on_hand = models.BigIntegerField(default=0, editable=False, help_text="In the base unit of its dimension.")

    objects: ClassVar = ContainerQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(name="nothing_below_zero", condition=Q(on_hand__gte=0)),
            models.CheckConstraint(name="assay_is_a_share", condition=Q(purity=None) | Q(purity__gt=0, purity__lte=1)),
            # a label is read aloud and typed on a phone: c1 and C1 are the same jar to whoever looks for it
            models.UniqueConstraint(Lower("code"), name="a_code_is_on_one_container"),
        ]
        # finished jars only grow more: what stands of a material or in a place is found without passing them
        indexes = [
            models.Index(fields=["material", "on_hand"], name="container_standing"),
            models.Index(fields=["place", "on_hand"], name="container_standing_in_place"),
            models.Index(fields=["material", "id"], name="container_newest"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.material}"

    def get_absolute_url(self) -> str:
        return reverse("shelf:container", args=[self.code])

    def state_on(self, day: date) -> str:
        """sealed / open / past use-by / finished, as a label would say on that day."""
        if self.on_hand == 0:
            return Sentence("finished")
        if self.use_by_on and self.use_by_on < day:
            return Sentence("past use-by")
        return Sentence("open") if self.opened_on else Sentence("sealed")

    @property
    def assay(self) -> float:
        """The share of the named substance in it: its lot's own, else its material's."""
        return self.material.purity if self.purity is None else self.purity

    @property
    def is_away(self) -> bool:
        return self.place.kind == Place.Kind.AWAY

    @property
    def scoop_density_g_per_ml(self) -> float | None:
        """Of what is weighed, so that it can be measured by the cup: its own, else its material's."""
        return self.bulk_density_g_per_ml or self.material.bulk_density_g_per_ml

    def shown_on_hand(self) -> str:
        return self.material.show(self.on_hand)


class ContainerLine(EntryLine):
    """A line about what is in a container, where it stands or whether it is open."""

    tells_of = "container"
    joined: ClassVar[tuple[str, ...]] = ("container__material",)
    found_by = ("container__code",)

    container = models.ForeignKey(Container, on_delete=models.PROTECT, related_name="%(class)ss")

    class Meta:
        abstract = True


class MovementQuerySet(EntryLineQuerySet["Movement"]):
    def breaking_the_seal(self) -> Self:
        """Of what was sealed until then: used, or put into another container."""
        return self.filter(Q(kind=Movement.Kind.USED) | Q(kind=Movement.Kind.SPLIT, amount__lt=0))


class Movement(ContainerLine):
    columns = {
        "Container": "container__code",
        "Material": "container__material",
        "In or out": "direction",
        "Amount": "shown_amount",
        "Kind": "kind",
    }

    class Kind(models.TextChoices):
        RECEIVED = gettext_noop("received"), gettext_lazy("Received")
        USED = gettext_noop("used"), gettext_lazy("Used")
        COUNTED = gettext_noop("counted"), gettext_lazy("Counted")
        SPLIT = gettext_noop("from jar to jar"), gettext_lazy("Split")
        KEPT = gettext_noop("kept in line with counts"), gettext_lazy("Kept")

    REAL = (Kind.RECEIVED, Kind.USED, Kind.SPLIT)  # what came and went; the rest follows from counts

    happened_at = models.DateTimeField(editable=False, help_text="The entry's own, kept here for its index.")
    amount = models.BigIntegerField(help_text="In the base unit, negative when something leaves.")
    kind = models.CharField(max_length=24, choices=Kind)

    objects: ClassVar = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["happened_at", "pk"]
        indexes = [models.Index(fields=["container", "happened_at", "id"], name="movement_of_container")]

    def __str__(self) -> str:
        return f"{self.kind} {self.amount:+d}"

    @property
    def how(self) -> str:
        return f"{self.container.material.signed(self.amount)}, {self.kind}"

    @classmethod
    def changes_by(cls, entry: Entry) -> Iterator[Change]:
        # a list that was brought in has thousands
        # one more than is shown tells whether there are more, without counting them
        first = list(cls.written_by(entry)[: MOST_SHOWN + 1])
        for movement in first[:MOST_SHOWN]:
            yield from movement.changes()
        if len(first) > MOST_SHOWN:
            more = cls.written_by(entry).count() - MOST_SHOWN
            yield Change(
                "And", reverse("shelf:shelf"), _("%(more)s more, each on the page of its container") % {"more": more}
            )

    @property
    def direction(self) -> str:
        return "in" if self.amount > 0 else "out"

    @property
    def shown_amount(self) -> str:
        return self.container.material.show(abs(self.amount))


class MonthSumQuerySet(models.QuerySet["MonthSum"]):
    def consumed(self) -> Self:
        """What left other than by a receipt taken back: used, and found missing when somebody counted."""
        return self.exclude(kind__in=(Movement.Kind.RECEIVED, Movement.Kind.SPLIT))


class MonthSum(models.Model):
    """What the standing movements of a month add up to: kept by `ledger` through `months` alone."""

    month = models.DateField(help_text="Its first day, by universal time.")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="month_sums")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24, choices=Movement.Kind)
    amount = models.BigIntegerField(default=0, help_text="In the base unit, negative when something left.")
    lines = models.PositiveIntegerField(default=0, help_text="How many movements these are.")

    objects = MonthSumQuerySet.as_manager()

    class Meta:
        ordering = ["month", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["material", "month", "person", "kind"], name="one_sum_of_a_month_by_person_and_kind"
            )
        ]
        indexes = [models.Index(fields=["month"], name="sums_of_a_month")]

    def __str__(self) -> str:
        return _("%(kind)s %(amount)s in %(month)s") % {
            "kind": self.kind,
            "amount": f"{self.amount:+d}",
            "month": f"{self.month:%Y-%m}",
        }


class Count(ContainerLine):
    """Somebody looked: at this moment the container held this much."""

    amount = models.BigIntegerField()

    class Meta:
        constraints = [models.CheckConstraint(name="a_count_is_not_negative", condition=Q(amount__gte=0))]

    def __str__(self) -> str:
        return _("%(code)s counted: %(amount)s") % {"code": self.container.code, "amount": self.amount}

    @property
    def how(self) -> str:
        return _("%(show)s were there") % {"show": self.container.material.show(self.amount)}


class Move(ContainerLine):
    joined = ("container__material", "from_place", "to_place")

    from_place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    to_place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.container.code}: {self.from_place} → {self.to_place}"

    @property
    def how(self) -> str:
        return f"{self.from_place} → {self.to_place}"


class Opening(ContainerLine):
    """Somebody opened a container; a use opens it too."""

    opened_on = models.DateField()

    def __str__(self) -> str:
        return _("%(code)s opened on %(opened_on)s") % {
            "code": self.container.code,
            "opened_on": short_day(self.opened_on),
        }

    @property
    def how(self) -> str:
        return _("opened on %(opened_on)s") % {"opened_on": long_day(self.opened_on)}


class FactChangeQuerySet(EntryLineQuerySet["FactChange"]):
    def about(self, model: type[AuditedModel], keys: Collection[int]) -> Self:
        return self.filter(thing_kind=model._meta.label_lower, thing_id__in=keys)

    def in_order(self) -> Self:
        """In the order of the book."""
        return self.order_by("entry__happened_at", "entry_id", "pk")


class FactChange(EntryLine):
    """One fact of a thing as it was in the book for that moment, and as it is from then on."""

    joined = ("entry",)  # the thing is any model
    exported_as = "changes of facts"
    columns = {
        "By": "entry__done_by",
        "Kind": "thing_kind",
        "Number": "thing_id",
        "Fact": "field",
        "Before": "old",
        "Since": "new",
        "Why": "entry__note",
    }

    thing_kind = models.CharField(max_length=40, help_text="Its model, as Django labels it.")
    thing_id = models.BigIntegerField()
    field = models.CharField(max_length=40)
    old = models.JSONField(null=True)
    new = models.JSONField(null=True)

    objects: ClassVar = FactChangeQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["thing_kind", "thing_id"], name="change_of_thing")]

    def __str__(self) -> str:
        return f"{self.label}: {self.thing.shown_fact(self.field, self.old)} → {self.shown_new}"

    @property
    def model(self) -> type[AuditedModel]:
        return apps.get_model(self.thing_kind)

    @property
    def fact(self) -> tuple[str, int, str]:
        """Which fact of which thing it is."""
        return self.thing_kind, self.thing_id, self.field

    @property
    def label(self) -> str:
        return str(self.model.fact_fields()[self.field].verbose_name)

    @cached_property
    def thing(self) -> AuditedModel:
        return self.model._base_manager.get(pk=self.thing_id)

    @property
    def shown_new(self) -> str:
        return self.thing.shown_fact(self.field, self.new)

    @classmethod
    def touched_by(cls, entry: Entry) -> dict[type[Lockable], set[int]]:
        """What it follows from is worked out anew where that is more than a fact, as of a bath."""
        touched: dict[type[Lockable], set[int]] = {}
        for line in cls.objects.filter(entry=entry):
            if issubclass(line.model, Lockable):
                touched.setdefault(line.model, set()).add(line.thing_id)
        return touched


class Seal(AppendOnlyModel):
    """What the book held up to some entry, as one number; `inventory.seals` makes it and looks it over."""

    sealed_at = models.DateTimeField()
    last_entry = models.BigIntegerField(help_text="It covers every entry up to this one that no seal before covers.")
    strikes = models.JSONField(help_text="Keys of the entries that were struck since the seal before.")
    things = models.JSONField(help_text="By model the last key of what the book speaks of.")
    marks = models.JSONField(help_text="The beginning of the digest of each part, to name what is wrong.")
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        places = {"pk": self.pk, "day": long_day(self.sealed_at), "code": self.code}
        return _("Seal %(pk)s of %(day)s: %(code)s") % places

    @property
    def code(self) -> str:
        """As it is printed: eighty bits, more than anybody could find another book for."""
        return " ".join(self.digest[at : at + 4] for at in range(0, 20, 4))


class Forgotten(AppendOnlyModel):
    """Stands in a sealed row's stead for words that were taken out of it, with the name of somebody who left."""

    kind = models.CharField(max_length=40, help_text="The row's model, as Django labels it.")
    row = models.BigIntegerField()
    digest = models.CharField(max_length=64, help_text="Of the words as they were sealed.")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "row"], name="forgotten_once")]

    def __str__(self) -> str:
        return _("the words of %(kind)s %(row)s") % {"kind": self.kind, "row": self.row}
