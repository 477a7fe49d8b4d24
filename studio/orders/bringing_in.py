"""What a list that is brought in tells of suppliers, their packs and prices."""

from collections.abc import Mapping, Sequence

from inventory import facts
from inventory.importing import RowPlan, list_new
from inventory.models import Entry, FactChange, Material
from studio.orders.models import Pack, Supplier
from studio.shelf.bringing_in import also_writes


@also_writes
def suppliers_and_packs(lines: Sequence[RowPlan], materials: Mapping[str, Material], entry: Entry) -> None:
    """
    Who sells it, and each pack with its price, if one is told; a pack that is known already changes its price.

    A pack that is new is written down as not sold and put on sale by the entry, so that a strike takes it off again.
    """
    suppliers = {supplier.name.casefold(): supplier for supplier in Supplier.objects.all()}
    named: dict[str, str] = {}
    for line in lines:
        if line.supplier:
            named.setdefault(line.supplier.casefold(), line.supplier)
    new = {key: Supplier(name=name) for key, name in named.items() if key not in suppliers}
    list_new(new.values(), entry)
    for key in named.keys() - new.keys():
        if not suppliers[key].is_listed:
            facts.change(suppliers[key], {"is_listed": True}, entry=entry)
    suppliers |= new
    known = {
        (pack.supplier_id, pack.material_id, pack.amount, pack.code): pack
        for pack in Pack.objects.filter(supplier__in=[suppliers[key] for key in named])
    }
    priced: dict[tuple[int, int, int, str], int | None] = {}
    for line in lines:
        if line.supplier and line.pack:
            key_of_pack = (
                suppliers[line.supplier.casefold()].pk,
                materials[line.name.casefold()].pk,
                line.pack,
                line.order_code,
            )
            # a row without a price takes none away
            priced[key_of_pack] = priced.get(key_of_pack) if line.price_cents is None else line.price_cents
    fresh = [
        Pack(supplier_id=seller, material_id=material, amount=amount, code=code, price_cents=price, is_sold=True)
        for (seller, material, amount, code), price in priced.items()
        if (seller, material, amount, code) not in known
    ]
    Pack.objects.bulk_create(fresh)
    FactChange.objects.bulk_create(
        FactChange(
            entry=entry, thing_kind=Pack._meta.label_lower, thing_id=pack.pk, field="is_sold", old=False, new=True
        )
        for pack in fresh
    )
    for key_of_pack in priced.keys() & known.keys():
        pack, price = known[key_of_pack], priced[key_of_pack]
        now = {"is_sold": True, "price_cents": pack.price_cents if price is None else price}
        if any(pack.fact(name) != value for name, value in now.items()):
            facts.change(pack, now, entry=entry)
