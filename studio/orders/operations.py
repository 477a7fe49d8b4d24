"""What is done about buying. Each is one entry in one transaction."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory import book, ledger
from inventory.asked_often import asked_often
from inventory.book import Signed
from inventory.dates import day_of_year
from inventory.models import Entry, Material, Place
from inventory.refusals import Refused
from studio.orders import kinds
from studio.orders.models import Invoice, Order, OrderLine, Pack, Receipt, Shortage, Supplier
from studio.people import outbox
from studio.people.models import Mail
from studio.shelf.kinds import RECEIVED


def add_supplier(supplier: Supplier, *, by: Signed) -> Entry:
    return book.add(
        supplier,
        kind=kinds.SUPPLIER_ADDED,
        subject=_("Wrote down the supplier %(supplier)s") % {"supplier": supplier},
        by=by,
    )


def change_supplier(supplier: Supplier, *, by: Signed) -> Entry:
    said = _("Changed what is known of %(supplier)s") % {"supplier": supplier}
    return book.change(supplier, supplier.facts(), kind=kinds.SUPPLIER_CHANGED, subject=said, by=by)


def add_pack(pack: Pack, *, by: Signed) -> Entry:
    return book.add(
        pack,
        kind=kinds.PACK_ADDED,
        subject=_("Wrote down a pack: %(pack)s from %(supplier)s") % {"pack": pack, "supplier": pack.supplier},
        by=by,
    )


def change_pack(pack: Pack, *, by: Signed) -> Entry:
    """What a pack costs or holds now; lines ordered before keep what they were ordered at."""
    said = _("Changed a pack: %(pack)s from %(supplier)s") % {"pack": pack, "supplier": pack.supplier}
    return book.change(pack, pack.facts(), kind=kinds.PACK_CHANGED, subject=said, by=by)


def file_invoice(supplier: Supplier, *, invoice: Invoice, by: Signed) -> Entry:
    invoice.supplier = supplier
    said = _("Filed from %(supplier)s: %(invoice)s") % {"supplier": supplier, "invoice": invoice}
    with book.entry(kinds.INVOICED, said, by) as entry:
        if invoice.dated_on > timezone.localdate():
            raise Refused("dated_on", _("That day has not come yet."))
        there = Invoice.objects.standing().filter(supplier=supplier, sha256=invoice.sha256).first()
        if there:
            raise Refused(
                "file", _("This very invoice is on file already."), ways=[(str(there), there.get_absolute_url())]
            )
        # written last: a refusal leaves no file behind
        invoice.entry = entry
        invoice.save()
    return entry


def mark_low(material: Material, *, by: Signed) -> Entry:
    """Somebody at the shelf saw that it is running out; it stays marked until it is ordered or some comes."""
    with book.entry(kinds.MARKED_LOW, _("Low on %(material)s") % {"material": material}, by) as entry:
        marked = Shortage.objects.unanswered().filter(material=material).select_related("entry__done_by").first()
        if marked:
            said = _("Marked already, by %(who_and_when)s.") % {"who_and_when": marked.entry.who_and_when}
            raise Refused(None, said, ways=[(_("What is to be ordered"), reverse("orders:orders"))])
        Shortage.objects.create(entry=entry, material=material)
    return entry


def order(supplier: Supplier, *, packs: Mapping[Pack, int], by: Signed, more: Collection[Material] = ()) -> Entry:
    """
    Packs are asked for. What somebody has ordered and nobody has received is questioned, whoever sells it.

    more: materials of which more is wanted all the same.
    """
    if not packs:
        raise Refused(None, _("Say how many packs of something."))
    said = "; ".join(f"{number} × {pack}" for pack, number in packs.items())
    with book.entry(
        kinds.ORDERED, _("Ordered from %(supplier)s: %(said)s") % {"supplier": supplier, "said": said}, by
    ) as entry:
        materials = {pack.material_id for pack in packs}
        # two people who order the same at the same moment take their turns here, in one order for everybody
        # without their keys: what is used meanwhile only points at a material and need not wait
        list(Material.objects.select_for_update(no_key=True).filter(pk__in=materials).order_by("pk"))
        question_a_second_order(packs, more)
        placed = Order.objects.create(entry=entry, supplier=supplier)
        for pack, number in packs.items():
            OrderLine.objects.create(
                order=placed, pack=pack, packs=number, amount=pack.amount, price_cents=pack.price_cents
            )
        outbox.put(Mail.ORDER, outbox.who_wants(Mail.ORDER), about=placed.pk)
    return entry


@dataclass(frozen=True, kw_only=True)
class Came:
    """
    What a delivery brought of one line.

    packs: whole ones, each of which becomes a container. pack_amount: of one, where it is another pack than ordered.
    damaged: packs that are not put on the shelf, so they are still to come unless `is_last`.
    """

    line: OrderLine
    packs: int
    pack_amount: int | None = None
    damaged: int = 0
    place: Place | None = None
    is_last: bool = False
    batch: str = ""
    use_by_on: date | None = None
    purity: float | None = None

    @property
    def is_nothing(self) -> bool:
        return not (self.packs or self.damaged or self.is_last)

    def __str__(self) -> str:
        material = self.line.pack.material
        size = material.show(self.pack_amount or self.line.amount)
        words = _("%(packs)s × %(size)s of %(material)s") if self.packs else _("no more %(material)s will come")
        if not self.packs and not self.is_last:
            words = _("%(damaged)s × %(size)s of %(material)s, damaged")
        return words % {"packs": self.packs, "size": size, "material": material, "damaged": self.damaged}


class LineRefused(Refused):
    """What the book will not write of one line of a delivery."""

    def __init__(self, line: OrderLine, refusal: Refused):
        super().__init__(refusal.field, refusal.message, ways=refusal.ways)
        self.line = line


def receive(line: OrderLine, *, by: Signed, **came: Any) -> Entry:
    """Packs of one line came, or nothing more of it will."""
    return deliver(line.order, came=[Came(line=line, **came)], by=by)


def deliver(order: Order, *, came: Sequence[Came], by: Signed) -> Entry:
    """
    A delivery note is checked off: each pack becomes a container of its own, and what did not come stays open.

    `entry.movements` knows which containers they are.
    """
    told = [each for each in came if not each.is_nothing]
    if not told:
        raise Refused("packs", _("Say how many packs came, or tick that no more will."))
    words = "; ".join(map(str, told))
    places = {"came": words, "supplier": order.supplier}
    is_more = any(each.packs or each.damaged for each in told)
    said = _("Received from %(supplier)s: %(came)s") if is_more else _("From %(supplier)s: %(came)s")
    with book.entry(RECEIVED, said % places, by) as entry:
        # in one order for everybody; of two people with one box in their hands the second is told
        for each in sorted(told, key=lambda each: each.line.pk):
            try:
                take_in(each, entry)
            except LineRefused:
                raise
            except Refused as refusal:
                raise LineRefused(each.line, refusal) from refusal
    return entry


def take_in(came: Came, entry: Entry) -> None:
    line = came.line
    lines_locked(line.pk)
    refuse_what_is_not_awaited(came, entry)
    for _each in range(came.packs):
        # asked only of packs that came: a line that is closed puts nothing anywhere
        if came.place is None:
            raise Refused("place", _("Say where it was put."))
        ledger.receive(
            line.pack.material,
            came.pack_amount or line.amount,
            entry=entry,
            place=came.place,
            batch=came.batch,
            use_by_on=came.use_by_on,
            purity=came.purity,
        )
    Receipt.objects.create(
        entry=entry,
        line=line,
        packs=came.packs,
        pack_amount=came.pack_amount,
        damaged=came.damaged,
        is_last=came.is_last,
    )


def cancel_line(line: OrderLine, *, reason: str, by: Signed) -> Entry:
    """What is still to come of one line is wanted no more; what came of it stays."""
    said = _("Cancelled %(line)s from %(supplier)s") % {"line": line, "supplier": line.order.supplier}
    told = replace(by, note="\n".join(filter(None, (reason, by.note))))
    with book.entry(kinds.LINE_CANCELLED, said, told) as entry:
        lines_locked(line.pk)
        refuse_what_is_not_awaited(Came(line=line, packs=0, is_last=True), entry)
        Receipt.objects.create(entry=entry, line=line, packs=0, is_last=True)
    return entry


def question_a_second_order(packs: Mapping[Pack, int], more: Collection[Material]) -> None:
    unasked = [pack for pack in packs if pack.material not in more]
    for pack in unasked:
        # by material, not by pack: half a kilo from another shop is the same order twice
        for line in awaited_of(pack.material_id)[-1:]:
            words = line.ordered_words
            raise Refused(
                _("packs_%(pk)s") % {"pk": pack.pk},
                _("%(upper)s%(words)s. Tick below to order more.") % {"upper": words[0].upper(), "words": words[1:]},
            )


@asked_often
def awaited_of(material: int) -> QuerySet[OrderLine]:
    lines: QuerySet[OrderLine] = OrderLine.objects.awaited().with_names()
    return lines.filter(pack__material=material)


@asked_often
def lines_locked(line: int) -> QuerySet[OrderLine]:
    return OrderLine.objects.select_for_update().filter(pk=line)


@asked_often
def lines_now(line: int) -> QuerySet[OrderLine]:
    return OrderLine.objects.with_received().select_related("order__entry", "pack__material").filter(pk=line)


def refuse_what_is_not_awaited(came: Came, entry: Entry) -> None:
    [now] = lines_now(came.line.pk)
    ordered = now.order.entry
    if ordered.is_struck:
        raise Refused(
            None,
            _("This order was cancelled: %(strike_reason)s. Receive it on the shelf’s own page.")
            % {"strike_reason": ordered.strike_reason},
            ways=[(_("Receive it"), reverse("shelf:receive", args=[now.pack.material_id]))],
        )
    without = (_("Receive it without an order"), reverse("shelf:receive", args=[now.pack.material_id]))
    # of other packs than ordered more may be as much
    if came.packs > now.rest and not came.pack_amount:
        # the rest of a parcel that was booked already is as often a slip as a gift
        raise Refused("packs", too_many(now), ways=[without])
    if not now.rest:
        raise Refused(None, too_many(now), ways=[without])
    if entry.happened_at < ordered.happened_at:
        raise Refused(
            "happened_at",
            _("It was ordered on %(happened_at)s only; it cannot have come before.")
            % {"happened_at": day_of_year(ordered.happened_at)},
        )


def too_many(line: OrderLine) -> str:
    receipts = Receipt.objects.standing().filter(line=line).select_related("entry__done_by")
    before = ", ".join(f"{receipt} ({receipt.entry.who_and_when})" for receipt in receipts)
    rest = (
        _("%(rest)s of %(packs)s still to come") % {"rest": line.rest, "packs": line.packs}
        if line.rest
        else _("Nothing of it is still to come")
    )
    return _("%(rest)s%(value)s. What came beyond the order has the shelf’s own page.") % {
        "rest": rest,
        "value": ": " + before if before else "",
    }
