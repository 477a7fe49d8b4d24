from collections.abc import Iterator
from datetime import datetime
from typing import ClassVar, Self

from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import plain
from inventory.dates import long_day
from inventory.models import (
    AppendOnlyModel,
    AuditedModel,
    AuditedQuerySet,
    Change,
    Container,
    Entry,
    EntryLine,
    EntryLineQuerySet,
    Listed,
    Material,
    Movement,
    SoleEntryLine,
)
from inventory.refusals import Refused
from studio.orders import prices
from studio.pages.documents import document_name


class Supplier(Listed):
    """Somebody who sells to the studio, and how long that takes."""

    MADE_AT = (gettext_lazy("A new supplier"), "orders:new_supplier", True)

    name = models.CharField(gettext_lazy("name"), max_length=80, unique=True)
    contact = models.CharField(gettext_lazy("contact"), max_length=120, blank=True)
    phone = models.CharField(gettext_lazy("phone"), max_length=60, blank=True)
    address = models.CharField(gettext_lazy("address"), max_length=160, blank=True)
    email = models.EmailField(gettext_lazy("mail"), blank=True)
    link = models.CharField(
        gettext_lazy("link"), max_length=200, blank=True, help_text="Shown as text: nobody is led away by a tap."
    )
    usual_days = models.PositiveSmallIntegerField(gettext_lazy("days as a rule"), null=True, blank=True)
    worst_days = models.PositiveSmallIntegerField(
        gettext_lazy("days at the worst"),
        null=True,
        blank=True,
        help_text="95 in 100 deliveries keep to it.",
    )
    note = models.TextField(gettext_lazy("note"), blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="both_days_or_none",
                condition=Q(usual_days=None, worst_days=None) | Q(usual_days__gte=1, worst_days__gte=F("usual_days")),
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("orders:supplier", args=[self.pk])

    def told_on_its_page(self):
        return [self, *self.packs.all()]

    def check_facts(self) -> None:
        super().check_facts()
        # the database tells capitals apart, nobody who looks for a shop does
        if there := Supplier.objects.filter(name__iexact=self.name).exclude(pk=self.pk).first():
            said = _("%(self)s is written down already.") % {"self": self}
            raise Refused("name", said, ways=[(str(there), there.get_absolute_url())])

    @property
    def reached_at(self) -> str:
        """Whom to ask for, and how."""
        return ", ".join(filter(None, (self.contact, self.phone, self.email, self.link)))

    @property
    def said_days(self) -> tuple[float, float] | None:
        """As a rule and at the worst, as the supplier says."""
        return (self.usual_days, self.worst_days) if self.usual_days and self.worst_days else None


class PackQuerySet(AuditedQuerySet["Pack"]):
    def sold(self):
        return self.filter(is_sold=True)


class Pack(AuditedModel):
    """What a supplier sells of a material: so much at such a price."""

    GO_WITH_ALL = ("is_sold",)

    material = models.ForeignKey(
        Material, verbose_name=gettext_lazy("material"), on_delete=models.PROTECT, related_name="packs"
    )
    supplier = models.ForeignKey(
        Supplier, verbose_name=gettext_lazy("supplier"), on_delete=models.PROTECT, related_name="packs"
    )
    amount = models.BigIntegerField(gettext_lazy("amount"), help_text="In the base unit of the material's dimension.")
    price_cents = models.PositiveIntegerField(
        gettext_lazy("price"),
        null=True,
        blank=True,
        help_text="In hundredths of the studio's currency; empty where nobody knows it.",
    )
    code = models.CharField(gettext_lazy("code"), max_length=40, blank=True, help_text="The supplier's own.")
    link = models.CharField(gettext_lazy("link"), max_length=200, blank=True)
    is_sold = models.BooleanField(gettext_lazy("is sold"), default=True)

    objects: ClassVar = PackQuerySet.as_manager()

    class Meta:
        ordering = ["material__category", "material__name", "amount", "pk"]
        constraints = [
            models.CheckConstraint(name="a_pack_holds_something", condition=Q(amount__gt=0)),
            models.UniqueConstraint(fields=["supplier", "material", "amount", "code"], name="a_pack_once"),
        ]

    def __str__(self):
        return f"{self.size} {self.material}"

    def get_absolute_url(self):
        return self.supplier.get_absolute_url()

    def check_facts(self) -> None:
        # asked before the constraint is, whose error would stand beside no field
        twins = Pack.objects.filter(supplier=self.supplier, material=self.material, amount=self.amount, code=self.code)
        if twins.exclude(pk=self.pk).exists():
            raise Refused(
                "amount",
                _("%(supplier)s’s pack of %(size)s is written down already.")
                % {"supplier": self.supplier, "size": self.size},
                ways=[(_("What they sell"), self.supplier.get_absolute_url())],
            )
        super().check_facts()

    def shown_fact(self, name, value):
        if name == "amount":
            return self.material.show(value)
        if name == "price_cents" and value is not None:
            return plain(value / 100, 2)
        return super().shown_fact(name, value)

    @property
    def size(self) -> str:
        return self.material.show(self.amount)

    def price(self, currency: str) -> str:
        return prices.show(self.price_cents, currency)

    def unit_price(self, currency: str) -> str:
        """Its price per 100 g, 100 mL, piece or metre."""
        return prices.per_unit(self.price_cents, self.amount, self.material.dimension, currency)


class WrittenQuerySet(EntryLineQuerySet):
    """Rows that hang on an entry of the book."""

    def standing(self, *, since: datetime | None = None) -> Self:
        """Those whose entry has not been struck, and did not happen before a moment."""
        # looked up for each row, because a join lets a database begin with a million entries to find a few orders
        entries = Entry.objects.standing().filter(pk=OuterRef(self.ENTRY))
        return self.filter(Exists(entries.filter(happened_at__gte=since) if since else entries))


class Order(SoleEntryLine):
    """What was asked of one supplier at once; cancelled by striking its entry."""

    joined = ("supplier",)
    columns = {"Of": "supplier", "What": "how"}

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")

    objects: ClassVar = WrittenQuerySet.as_manager()

    def __str__(self):
        return _("order from %(supplier)s") % {"supplier": self.supplier}

    def get_absolute_url(self) -> str:
        return reverse("orders:placed", args=[self.pk])

    def changes(self) -> Iterator[Change]:
        for line in self.lines.select_related("pack__material"):
            yield Change(str(self.supplier), self.get_absolute_url(), _("%(line)s ordered") % {"line": line})


class OrderLineQuerySet(WrittenQuerySet):
    """Lines stand as long as their order was not cancelled."""

    ENTRY = "order__entry"

    def with_received(self) -> Self:
        """Each line with the packs that came, how much that was, and whether the rest is still to come."""
        receipts = Receipt.objects.standing().filter(line=OuterRef("pk")).order_by()
        came = receipts.values("line").annotate(sum=Sum("packs")).values("sum")
        each = Coalesce("pack_amount", "line__amount")
        summed = Sum(F("packs") * each, output_field=models.BigIntegerField())
        amount = receipts.values("line").annotate(sum=summed).values("sum")
        return self.annotate(
            received=Coalesce(Subquery(came), 0),
            received_amount=Coalesce(Subquery(amount), 0, output_field=models.BigIntegerField()),
            is_closed=Exists(receipts.filter(is_last=True)),
        )

    def awaited(self, *, since: datetime | None = None):
        """Lines of which something is still to come."""
        return (
            self.standing(since=since)
            .with_received()
            .filter(is_closed=False, received_amount__lt=F("packs") * F("amount"))
        )

    def with_names(self):
        return self.select_related("order__entry__done_by", "order__supplier", "pack__material")


class OrderLine(AppendOnlyModel):
    """So many packs of one kind; what one held and cost that day is written here, whatever becomes of the pack."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="lines")
    pack = models.ForeignKey(Pack, on_delete=models.PROTECT, related_name="lines")
    packs = models.PositiveSmallIntegerField()
    amount = models.BigIntegerField(help_text="Of one pack.")
    price_cents = models.PositiveIntegerField(null=True, blank=True, help_text="Of one pack.")
    received: int  # of `with_received`, like the next two
    received_amount: int
    is_closed: bool

    objects = OrderLineQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(name="one_pack_or_more", condition=Q(packs__gt=0))]

    def __str__(self):
        return f"{self.packs} × {self.size} {self.pack.material}"

    @property
    def size(self) -> str:
        return self.pack.material.show(self.amount)

    @property
    def cost_cents(self) -> int | None:
        """Of all its packs; None where the price was missing."""
        return prices.times(self.packs, self.price_cents)

    @property
    def ordered_words(self) -> str:
        """Who ordered it, and when: "ordered by Tobi, 3 May: 2 × 500 g"."""
        return _("ordered by %(who_and_when)s: %(packs)s × %(size)s") % {
            "who_and_when": self.order.entry.who_and_when,
            "packs": self.packs,
            "size": self.size,
        }

    @property
    def awaited_words(self) -> str:
        """And how much of it has come; wants `with_received`."""
        if not self.received:
            return self.ordered_words
        places = {"ordered": self.ordered_words, "received": self.received, "rest": self.rest}
        return _("%(ordered)s; %(received)s came, %(rest)s to come") % places

    @property
    def rest(self) -> int:
        """Packs still to come; wants `with_received`."""
        # by their amount, for other packs may have come than were ordered, and more of them
        missing = self.packs * self.amount - self.received_amount
        return 0 if self.is_closed else max(-(-missing // self.amount), 0)


class Invoice(EntryLine):
    """What a supplier wants to be paid for, as a file: a PDF, or photographs of its pages."""

    tells_of = "supplier"
    columns = {"Supplier": "supplier", "Number": "number", "Dated": "dated_on", "File": "file"}

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="invoices")
    number = models.CharField(max_length=60, blank=True)
    dated_on = models.DateField()
    file = models.FileField(upload_to=document_name)
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["-dated_on", "-pk"]

    def __str__(self):
        said = _("invoice %(number)s of %(day)s") if self.number else _("invoice of %(day)s")
        return said % {"number": self.number, "day": long_day(self.dated_on)}

    def get_absolute_url(self) -> str:
        return reverse("orders:invoice", args=[self.pk])

    @property
    def how(self) -> str:
        return str(self)


class Receipt(EntryLine):
    """Packs of a line that came, or the word that no more will; their containers hang on the same entry."""

    tells_of = "line__order__supplier"
    joined = ("line__order__supplier", "line__pack__material")

    line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="receipts")
    packs = models.PositiveSmallIntegerField()
    pack_amount = models.BigIntegerField(null=True, blank=True, help_text="Of one, where it is no pack as ordered.")
    damaged = models.PositiveSmallIntegerField(default=0, help_text="Packs that came and were not put on the shelf.")
    is_last = models.BooleanField(default=False)

    objects: ClassVar = WrittenQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="a_receipt_says_something", condition=Q(packs__gt=0) | Q(damaged__gt=0) | Q(is_last=True)
            ),
            models.CheckConstraint(
                name="what_came_holds_something", condition=Q(pack_amount=None) | Q(pack_amount__gt=0)
            ),
        ]

    def __str__(self):
        size = self.pack_amount and self.line.pack.material.show(self.pack_amount)
        came = _("%(packs)s × %(size)s came") if size else _("%(packs)s came")
        return ", ".join(
            words % {"packs": self.packs, "size": size, "damaged": self.damaged}
            for words, is_so in (
                (came, self.packs),
                (_("%(damaged)s damaged"), self.damaged),
                (_("no more to come"), self.is_last),
            )
            if is_so
        )

    @property
    def how(self) -> str:
        return _("of %(line)s, %(self)s") % {"line": self.line, "self": self}


class ShortageQuerySet(WrittenQuerySet):
    def unanswered(self) -> Self:
        """Marks after which nothing of the material was ordered and nothing came."""
        # in the order of writing: an order that was dated back answers a mark if it was written after it
        ordered = OrderLine.objects.standing().filter(
            pack__material=OuterRef("material"), order__entry__gt=OuterRef("entry")
        )
        # told by the newest container: looking through every receipt takes seconds in an old book
        # a jar filled from another one brings nothing
        received = Movement.objects.filter(kind=Movement.Kind.RECEIVED)
        newest = (
            Container.objects.filter(Exists(received.filter(container=OuterRef("pk"))), material=OuterRef("material"))
            .order_by("-pk")
            .values("pk")[:1]
        )
        receipt = received.filter(container=OuterRef("newest")).order_by("pk").values("entry")[:1]
        came = Entry.objects.standing().filter(pk=OuterRef("receipt"), pk__gt=OuterRef("entry"))
        marked = self.standing().annotate(newest=Subquery(newest)).annotate(receipt=Subquery(receipt))
        return marked.filter(~Exists(ordered), ~Exists(came))


class Shortage(SoleEntryLine):
    """Somebody said that the studio is low on something."""

    tells_of = "material"

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="shortages")

    objects: ClassVar = ShortageQuerySet.as_manager()

    def __str__(self):
        return _("low on %(material)s") % {"material": self.material}

    @property
    def how(self) -> str:
        return _("running low")
