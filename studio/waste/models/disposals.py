"""What left: handed over, come back, papers of theirs. Figures are copied at handover and never worked out again."""

from collections.abc import Iterator, Sequence
from datetime import tzinfo
from typing import ClassVar

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import Measured, kept
from chemistry.waste import streams
from chemistry.waste.streams import Stream
from inventory.entries import exported_value, value_of
from inventory.models import (
    AppendOnlyModel,
    Change,
    Entry,
    EntryLineQuerySet,
    Lockable,
    Person,
    SoleEntryLine,
)
from inventory.refusals import Refused
from studio.pages.documents import document_name
from studio.waste.models.advice import LocalAdvice
from studio.waste.models.drums import Deposit, Drum, DrumLine, half_width


class DisposalQuerySet(EntryLineQuerySet["Disposal"]):
    def in_force(self):
        """The last record of each handover: no further one corrects it."""
        return self.standing().filter(corrected_by=None)

    def awaiting(self):
        """Those whose signed copy has not come back."""
        # papers hang on the record that began the chain, which the one in force need not be
        first = Coalesce(OuterRef("first"), OuterRef("pk"))
        signed = ReceiverPaper.objects.standing().filter(is_signed_copy=True, disposal=first)
        return self.in_force().filter(~Exists(signed), awaits_copy=True)


class Disposal(SoleEntryLine, Lockable):
    """
    One handover of drums. Its number is never used again; it is not struck, a further record corrects it.

    first: of a correction, the record that began the chain; their papers hang on that one.
    """

    touches = ("id",)
    rests_on = ("handed__drum",)
    joined = ("corrects",)
    columns = {
        "record": "disposal",
        "corrects": "disposal__corrects",
        "handed over at": "disposal__handed_over_at",
        "drum": "drum",
        "kinds": "stream_titles",
        "route": "disposal__get_route_display",
        "receiver": "disposal__receiver",
        "licence": "disposal__licence",
        "document": "disposal__document",
        "codes": "disposal__codes",
        "net g": "net_g",
        "± g": "net_half_width_g",
        "how": "get_how_display",
        "litres": "litres",
        "± L": "litres_half_width",
        "copper g": "copper_g",
        "± g copper": "copper_half_width_g",
        "replay": "model_version",
        "counted to": "disposal__counted_to_month",
        "keep until": "disposal__keep_until",
    }

    class Route(models.TextChoices):
        COLLECTION = "collection", gettext_lazy("a collection for small amounts of hazardous waste")
        COLLECTOR = "collector", gettext_lazy("a licensed collector or carrier")
        RECYCLER = "recycler", gettext_lazy("a recycler who takes it in writing")
        SCRAP = "scrap", gettext_lazy("a scrap metal dealer: solid, dry copper only")
        REUSE = "reuse", gettext_lazy("into use again, here or elsewhere")
        SEWER = "sewer", gettext_lazy("the sewer, with its operator’s permission in writing")

    # beside the day of its entry: a correction is written later than the drums left
    handed_over_at = models.DateTimeField()
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")
    first = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="corrections")
    why = models.CharField(max_length=200, blank=True, help_text=gettext_lazy("Of a correction."))
    route = models.CharField(max_length=12, choices=Route)
    permission = models.ForeignKey(LocalAdvice, null=True, on_delete=models.PROTECT, related_name="disposals")
    receiver = models.CharField(max_length=100, blank=True)
    address = models.CharField(max_length=200, blank=True)
    licence = models.CharField(
        max_length=100, blank=True, help_text=gettext_lazy("Licence, permit or site number, as text.")
    )
    document_kind = models.CharField(max_length=40, blank=True)
    document_number = models.CharField(max_length=60, blank=True)
    codes = models.CharField(max_length=200, blank=True, help_text=gettext_lazy("As the receiver wrote them."))
    jurisdiction = models.CharField(max_length=60, blank=True, help_text=gettext_lazy("Whose codes they are."))
    cost_cents = models.IntegerField(null=True, help_text=gettext_lazy("Below nought when they paid."))
    currency = models.CharField(max_length=3, blank=True)
    checked_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    counted_to = models.DateField(help_text=gettext_lazy("The first day of the month it counts to."))
    keep_until = models.DateField()
    awaits_copy = models.BooleanField(default=True)

    objects: ClassVar = DisposalQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_correction_says_why",
                condition=Q(corrects=None, first=None, why="")
                | (Q(corrects__isnull=False, first__isnull=False) & ~Q(why="")),
            ),
            models.CheckConstraint(
                name="the_sewer_needs_a_permission", condition=~Q(route="sewer") | Q(permission__isnull=False)
            ),
        ]

    def __str__(self):
        return _("Disposal %(pk)s") % {"pk": self.pk}

    def get_absolute_url(self):
        return reverse("waste:disposal", args=[self.pk])

    @property
    def began_with(self) -> "Disposal":
        """The record that began the chain of corrections."""
        return self.first or self

    @property
    def correction_url(self) -> str:
        """Where a further record puts it right: it is not struck."""
        return reverse("waste:correct", args=[self.pk])

    def changes(self) -> Iterator[Change]:
        for item in self.handed.select_related("drum"):
            yield Change(str(self), self.get_absolute_url(), _("%(drum)s went") % {"drum": item.drum})

    @classmethod
    def refuse_strike(cls, rows: "Sequence[Disposal]", struck: Entry) -> None:
        """What was handed over is not struck, nor a record that put it right, nor the permission it went by."""
        for disposal in rows:
            if disposal.entry_id == struck.pk:
                said = _(
                    "%(disposal)s stays as it was written at handover. Write a further record that corrects it."
                ) % {"disposal": disposal}
            else:
                said = _("%(disposal)s went by this permission; it stays with it.") % {"disposal": disposal}
            raise Refused(None, said, kept_by=disposal)

    @property
    def document(self) -> str:
        return f"{self.document_kind} {self.document_number}".strip()

    @property
    def counted_to_month(self) -> str:
        return f"{self.counted_to:%Y-%m}"

    @classmethod
    def exported(cls, lines: "Sequence[Disposal]", zone: tzinfo) -> Iterator[list]:
        """Every drum of every record, those that a further one corrects among them, as it was frozen."""
        items = DisposalItem.objects.filter(disposal__in=lines).order_by("pk")
        for item in items.select_related("drum", "disposal__corrects", "disposal__entry"):
            entry = item.disposal.entry
            told = [exported_value(value_of(item, way), zone) for way in cls.columns.values()]
            yield [entry.pk, exported_value(entry.happened_at, zone), *told, entry.strike_reason]


class DisposalItemQuerySet(EntryLineQuerySet["DisposalItem"]):
    ENTRY = "disposal__entry"

    def gone(self):
        """Drums of records in force that nobody brought back."""
        back = Refusal.objects.standing().filter(handed=OuterRef("pk"))
        return self.standing().filter(~Exists(back), disposal__corrected_by=None)


class DisposalItem(AppendOnlyModel):
    """
    One drum of a disposal, its figures as they were at handover.

    net_g: what left, by `how`; mass_g: what the book added up. book_revisions: of every bath, as the replay stood.
    """

    class KnownBy(models.TextChoices):
        SCALE = "scale", gettext_lazy("on our scale, before and after")
        TARE = "tare", gettext_lazy("on our scale, less the empty vessel")
        BOOK = "book", gettext_lazy("as the book adds it up")
        UNKNOWN = "unknown", gettext_lazy("not weighed")

    BY_SCALE = (KnownBy.SCALE, KnownBy.TARE)

    disposal = models.ForeignKey(Disposal, on_delete=models.PROTECT, related_name="handed")
    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="handed")
    kinds = models.JSONField(help_text=gettext_lazy("Keys of chemistry.streams, its own first."))
    how = models.CharField(max_length=10, choices=KnownBy)
    before_g = models.FloatField(null=True)
    after_g = models.FloatField(null=True)
    half_width_g = models.FloatField(null=True, help_text=gettext_lazy("What the scale is good to."))
    net_g = models.FloatField(null=True)
    net_sd_g = models.FloatField(null=True)
    litres = models.FloatField(null=True)
    litres_sd = models.FloatField(null=True)
    mass_g = models.FloatField(null=True)
    mass_sd_g = models.FloatField(null=True)
    copper_g = models.FloatField(null=True)
    copper_sd_g = models.FloatField(null=True)
    copper_at_least_g = models.FloatField(null=True, help_text=gettext_lazy("What was known of it, where not all was."))
    model_version = models.PositiveIntegerField()
    book_revisions = models.JSONField()

    objects = DisposalItemQuerySet.as_manager()

    class Meta:
        ordering = ["drum__name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["disposal", "drum"], name="a_drum_is_handed_over_once"),
            models.CheckConstraint(
                name="what_was_weighed_was_weighed_before",
                condition=Q(before_g=None, after_g=None)
                | (Q(before_g__gt=0) & (Q(after_g=None) | Q(after_g__lte=F("before_g")))),
            ),
        ]

    def __str__(self):
        return _("%(drum)s with %(disposal)s") % {"drum": self.drum, "disposal": self.disposal}

    @property
    def weighed(self) -> Measured | None:
        """What left, where a scale told it."""
        return self.net if self.how in self.BY_SCALE else None

    @property
    def net(self) -> Measured | None:
        return kept(self.net_g, self.net_sd_g, "g")

    @property
    def volume(self) -> Measured | None:
        return kept(self.litres, self.litres_sd, "L")

    @property
    def mass(self) -> Measured | None:
        return kept(self.mass_g, self.mass_sd_g, "g")

    @property
    def copper(self) -> Measured | None:
        return kept(self.copper_g, self.copper_sd_g, "g")

    @property
    def streams(self) -> list[Stream]:
        return [streams.STREAMS[kind] for kind in self.kinds]

    @property
    def stream_titles(self) -> list[str]:
        return [stream.title for stream in self.streams]

    @property
    def net_half_width_g(self) -> float | None:
        return half_width(self.net_sd_g)

    @property
    def litres_half_width(self) -> float | None:
        return half_width(self.litres_sd)

    @property
    def copper_half_width_g(self) -> float | None:
        return half_width(self.copper_sd_g)


class Refusal(DrumLine):
    """A drum that they did not take, or brought back; it stays here, or is here again."""

    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, related_name="refusals")
    handed = models.ForeignKey(DisposalItem, null=True, on_delete=models.PROTECT, related_name="refusals")
    by_whom = models.CharField(max_length=100)
    why = models.CharField(max_length=200)

    def __str__(self):
        words = _("brought back by %(by_whom)s: %(why)s") if self.handed_id else _("refused by %(by_whom)s: %(why)s")
        return words % {"by_whom": self.by_whom, "why": self.why}

    @classmethod
    def resting_on(cls, struck: Entry) -> Q:
        """What came back is filled further: that rests on its coming back."""
        back = cls.objects.filter(entry=struck, handed__isnull=False).values("drum")
        filled = Deposit.objects.filter(drum__in=back, entry__happened_at__gte=struck.happened_at)
        return super().resting_on(struck) | Q(pk__in=filled.values("entry"))


class ReceiverPaper(SoleEntryLine):
    """A paper of theirs: the signed copy, a weight ticket, or both. Their weight stands beside ours."""

    tells_of = "disposal"
    exported_as = "receivers' papers"
    columns = {
        "record": "disposal",
        "signed copy": "is_signed_copy",
        "number": "number",
        "weight g": "weight_g",
        "± g": "half_width_g",
        "with vessels": "with_vessels",
    }

    disposal = models.ForeignKey(Disposal, on_delete=models.PROTECT, related_name="papers")
    is_signed_copy = models.BooleanField()
    number = models.CharField(max_length=60, blank=True)
    weight_g = models.FloatField(null=True)
    half_width_g = models.FloatField(null=True, help_text=gettext_lazy("What their scale is good to."))
    with_vessels = models.BooleanField(default=False)
    file = models.FileField(upload_to=document_name, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="a_paper_says_something", condition=Q(is_signed_copy=True) | Q(weight_g__gt=0) | ~Q(file="")
            ),
            models.CheckConstraint(
                name="a_scan_comes_with_its_digest",
                condition=Q(file="", sha256="") | (~Q(file="") & ~Q(sha256="")),
            ),
        ]

    def __str__(self):
        return _("their signed copy") if self.is_signed_copy else _("a paper of theirs")

    @property
    def how(self) -> str:
        return _("%(self)s came") % {"self": self}
