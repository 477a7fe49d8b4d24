"""What the tests of safety put on the shelf."""

from dataclasses import asdict
from datetime import date

from chemistry import units
from inventory import book, ledger
from inventory.models import Constituent, Container, Material, Place
from studio.hazards.models import SupplierClasses
from studio.safety import labels, operations
from studio.safety.models import PrintedLabel
from studio.workshop.models import Workshop
from tests.factories import MaterialFactory, signed


def made_of(*parts: tuple, **material) -> Material:
    """A material of (substance, low percent, high percent) parts; a name that is no substance of ours is unknown."""
    return MaterialFactory(composition=[constituent(*part) for part in parts], **material)


def constituent(substance: str, low_percent: float, high_percent: float) -> dict:
    known = Constituent(substance=substance, name=substance, low_percent=low_percent, high_percent=high_percent)
    return asdict(known)


def copied(material: Material, *hazards: tuple[str, str], at: float = 1, **sheet) -> SupplierClasses:
    """Section 2 of a supplier's sheet, copied so many days into the book."""
    with book.entry("supplier’s classes", f"Copied the classes of {material}", signed(at)) as entry:
        return SupplierClasses.objects.create(
            entry=entry,
            material=material,
            sheet_on=sheet.pop("sheet_on", date(2025, 3, 3)),
            hazards=[list(pair) for pair in hazards],
            **{"signal_word": "", "pictograms": [], "precautions": []} | sheet,
        )


def label_printed(material: Material, at: float = 1) -> PrintedLabel:
    """A label as it went to the printer so many days into the book."""
    content = labels.label_of_material(material, Workshop(), elements=labels.SHORT)
    label = PrintedLabel(material=material, size="a8", classes=content["classes"], content=content)
    return operations.print_label(label, by=signed(at)).printed_labels.get()


def put(material: Material, amount: str, place: Place, at: float = 0) -> Container:
    """A container of it, received in a place so many days into the book."""
    with book.entry("received", f"Received {material}", signed(at)) as entry:
        return ledger.receive(material, units.parse(amount, material.dimension), entry=entry, place=place)
