"""What is done about buying. Each is one entry in one transaction."""

from collections.abc import Collection, Mapping
from datetime import date

from django.db.models import QuerySet
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
            raise Refused(None, _("Marked already, by %(who_and_when)s.") % {"who_and_when": marked.entry.who_and_when})
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


def receive(
    line: OrderLine,
    *,
    packs: int,
    by: Signed,
    place: Place | None = None,
    is_last: bool = False,
    batch: str = "",
    use_by_on: date | None = None,
    purity: float | None = None,
) -> Entry:
    """
    Packs of a line came, each as a container of its own; or nothing more of it will.

    `entry.movements` knows which containers they are.
    """
    material = line.pack.material
    came = (
        _("Received %(packs)s × %(size)s of %(material)s") % {"packs": packs, "size": line.size, "material": material}
        if packs
        else _("No more %(material)s will come") % {"material": material}
    )
    with book.entry(
        RECEIVED, _("%(came)s from %(supplier)s") % {"came": came, "supplier": line.order.supplier}, by
    ) as entry:
        # of two people with one box in their hands the second is told
        lines_locked(line.pk)
        refuse_what_is_not_awaited(line, packs, entry, is_last=is_last)
        for _each in range(packs):
            # asked only of packs that came: a line that is closed puts nothing anywhere
            if place is None:
                raise Refused("place", _("Say where it was put."))
            ledger.receive(
                material,
                line.amount,
                entry=entry,
                place=place,
                batch=batch,
                use_by_on=use_by_on,
                purity=purity,
            )
        Receipt.objects.create(entry=entry, line=line, packs=packs, is_last=is_last)
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


def refuse_what_is_not_awaited(line: OrderLine, packs: int, entry: Entry, *, is_last: bool) -> None:
    [now] = lines_now(line.pk)
    ordered = now.order.entry
    if ordered.is_struck:
        raise Refused(
            None,
            _("This order was cancelled: %(strike_reason)s. Receive it on the shelf’s own page.")
            % {"strike_reason": ordered.strike_reason},
        )
    if not packs and not is_last:
        raise Refused("packs", _("Say how many packs came, or tick that no more will."))
    if packs > now.rest:
        # the rest of a parcel that was booked already is as often a slip as a gift
        raise Refused("packs", too_many(now))
    if not now.rest:
        raise Refused(None, too_many(now))
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
