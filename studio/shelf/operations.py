"""What is done at the shelf. Each is one entry in one transaction."""

from collections.abc import Sequence
from datetime import date

from inventory import book, ledger
from inventory.book import Signed
from inventory.models import Container, Entry, Material, Part, Place
from inventory.refusals import Refused


def receive(
    material: Material,
    *,
    amount: int,
    place: Place,
    by: Signed,
    code: str = "",
    batch: str = "",
    use_by_on: date | None = None,
) -> Entry:
    """A new container comes onto the shelf; `entry.movements` knows which."""
    with book.entry("received", f"Received {material.show(amount)} of {material}", by) as entry:
        ledger.receive(material, amount, entry=entry, place=place, code=code, batch=batch, use_by_on=use_by_on)
    return entry


def use(container: Container, *, amount: int, by: Signed) -> Entry:
    material = container.material
    with book.entry("used", f"Used {material.show(amount)} of {material} from {container.code}", by) as entry:
        ledger.use(container, amount, entry=entry)
    return entry


def count(container: Container, *, amount: int, by: Signed) -> Entry:
    """Somebody looked: so much is there, whatever the book thought."""
    material = container.material
    with book.entry("counted", f"Counted {material.show(amount)} of {material} in {container.code}", by) as entry:
        ledger.count(container, amount, entry=entry)
    return entry


def move(container: Container, *, place: Place, by: Signed) -> Entry:
    with book.entry("moved", f"Moved {container} to {place}", by) as entry:
        ledger.move(container, place, entry=entry)
    return entry


def add_material(material: Material, *, by: Signed, parts: Sequence[Part] = ()) -> Entry:
    with book.entry("material added", f"Wrote down the material {material}", by) as entry:
        _refuse_a_second(material)
        material.save()
        _make_of(material, parts)
    return entry


def change_material(material: Material, *, by: Signed, parts: Sequence[Part] | None = None) -> Entry:
    """What is known of a material is put right; what it is measured in stays, or its containers would lose theirs."""
    with book.entry("material changed", f"Changed what is known of {material}", by) as entry:
        _refuse_a_second(material)
        material.save()
        if parts is not None:
            material.parts.all().delete()
            _make_of(material, parts)
    return entry


def add_place(*, name: str, kind: str, by: Signed) -> Entry:
    with book.entry("place added", f"Wrote down the place {name}", by) as entry:
        if Place.objects.filter(name__iexact=name).exists():
            raise Refused("name", f"There is a place called {name} already.")
        Place.objects.create(name=name, kind=kind)
    return entry


def _make_of(material: Material, parts: Sequence[Part]) -> None:
    for part in parts:
        part.material = material
    Part.objects.bulk_create(parts)


def _refuse_a_second(material: Material) -> None:
    if Material.objects.filter(name__iexact=material.name).exclude(pk=material.pk).exists():
        raise Refused("name", f"{material} is written down already; receive it under that name.")
