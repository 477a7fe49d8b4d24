"""The part of the invented year that is about buying: who sells what, what was ordered, and what came of it."""

from chemistry import units
from studio.orders import operations
from studio.orders.models import Pack, Supplier


def add_supplier(year, line) -> None:
    known = {name: line[name] for name in ("name", "contact", "phone", "address", "link")}
    days = {name: int(line[name]) for name in ("usual_days", "worst_days") if line[name]}
    operations.add_supplier(Supplier(**known, **days, note=line["about"]), by=year.signed(line))


def add_pack(year, line) -> None:
    material = year.materials[line["material"]]
    pack = Pack(
        material=material,
        supplier=Supplier.objects.get(name=line["supplier"]),
        amount=units.parse(line["amount"], material.dimension),
        price_cents=round(float(line["price"]) * 100),
        code=line["code"],
    )
    operations.add_pack(pack, by=year.signed(line))


def order(year, line) -> None:
    """The pack of each material that was always bought: the first one written down."""
    supplier = Supplier.objects.get(name=line["supplier"])
    asked = dict(pair.split("=") for pair in line["packs"].split())
    packs = {
        supplier.packs.filter(material=year.materials[name]).order_by("pk")[0]: int(number)
        for name, number in asked.items()
    }
    operations.order(supplier, packs=packs, by=year.signed(line))


def come(year, line) -> None:
    """A pack of what was ordered, as the line of the shelf has it."""
    [awaited] = operations.awaited_of(year.materials[line["material"]].pk)
    place = year.stands_in[line["material"]]
    operations.receive(awaited, packs=1, place=place, use_by_on=year.day(line, "use_by_on"), by=year.signed(line))


def mark_low(year, line) -> None:
    operations.mark_low(year.materials[line["material"]], by=year.signed(line))


FILES = ("suppliers", "packs", "orders")
WRITERS = {"supplier": add_supplier, "pack": add_pack, "ordered": order, "came": come, "marked low": mark_low}
