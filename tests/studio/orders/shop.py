"""Suppliers, what they sell, and what was ordered of it."""

from hashlib import sha256

import factory
from django.core.files.base import ContentFile

from chemistry import units
from inventory import book, ledger
from inventory.models import Container, Material
from studio.orders import operations
from studio.orders.models import Invoice, OrderLine, Pack, Supplier
from tests.factories import MaterialFactory, day, signed


class SupplierFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Supplier

    name = factory.Sequence(lambda n: f"Supplier {n}")


class PackFactory(factory.django.DjangoModelFactory):
    """2.5 kg at 31.00."""

    class Meta:
        model = Pack

    material = factory.SubFactory(MaterialFactory)
    supplier = factory.SubFactory(SupplierFactory)
    amount = 2_500_000
    price_cents = 3_100


def ordered(packs: int = 1, at: float = 0, pack: Pack | None = None, **by) -> OrderLine:
    """A line of an order that somebody placed so many days into the book."""
    pack = pack or PackFactory()
    entry = operations.order(pack.supplier, packs={pack: packs}, more=[pack.material], by=signed(at, **by))
    return again(entry.order.lines.get())


def invoiced(supplier: Supplier, at: float = 1, *, content: bytes = b"%PDF-", **facts) -> Invoice:
    """An invoice of theirs on file."""
    usual = {"dated_on": day(at).date(), "sha256": sha256(content).hexdigest()}
    one = Invoice(file=ContentFile(content, "invoice.pdf"), **usual | facts)
    return operations.file_invoice(supplier, invoice=one, by=signed(at)).invoices.get()


def again(line: OrderLine) -> OrderLine:
    """The line as it stands now."""
    return OrderLine.objects.with_received().with_names().get(pk=line.pk)


def used_by_month(jar: Container, *amounts: str, first_day: float = 31) -> Material:
    """So much used in each month from April 2026 on, by one person."""
    by = signed().done_by
    for number, amount in enumerate(amounts):
        with book.entry("used", "used", signed(first_day + 30.5 * number, done_by=by)) as entry:
            ledger.use(jar, units.parse(amount, jar.material.dimension), entry=entry)
    return jar.material
