"""
Labels for jars, bottles and tanks: what goes on one, on which size, and which must be printed anew.

A workplace label follows 29 CFR 1910.1200(f)(6): (i) identifier, signal word, statements, signs and precautions, or
(ii) the identifier with words and pictures of the hazards. A full one follows CLP Article 17, supplier and quantity
among them. Sizes: CLP Annex I, Table 1.3, from memory.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from chemistry.hazards.classes import CLASSES
from inventory.models import Container, Material
from studio.baths.descriptions import BathDescription
from studio.baths.status import BathStatus
from studio.hazards import classification
from studio.hazards.classification import Hazards
from studio.hazards.models import CLASS_OF_CODE
from studio.orders.models import Supplier
from studio.safety import summaries
from studio.safety.models import PrintedLabel
from studio.workshop.models import Workshop

NO_DRINK = "Not a drink. Never into a sink, a drain or the ground."
SHORT, WORKPLACE, FULL = "short", "workplace", "full"
ELEMENTS = {
    FULL: "everything CLP Article 17 names, supplier and quantity too",
    WORKPLACE: "name, signal word, signs, statements and precautions (29 CFR 1910.1200(f)(6)(i))",
    SHORT: "name, signal word, signs and the hazards in words (29 CFR 1910.1200(f)(6)(ii))",
}


@dataclass(frozen=True, kw_only=True)
class Size:
    """A label's measures stand in paper.css under its id."""

    id: str
    name: str


SIZES = {
    size.id: size
    for size in (
        Size(id="a6", name="148 × 105 mm: tanks and drums, up to 500 L"),
        Size(id="a7", name="105 × 74 mm: tanks and cans, up to 50 L"),
        Size(id="a8", name="74 × 52 mm: bottles and jars, up to 3 L"),
        Size(id="jar", name="60 × 36 mm: small jars, the short form only"),
    )
}
SMALL = "jar"
HOLDS_L = (("a8", 3), ("a7", 50), ("a6", float("inf")))


def usual_size(jar: Container) -> str:
    """By what is in a jar, a kilogram counted as a litre; what is neither poured nor weighed takes the smallest."""
    litres = jar.on_hand / 1e6 if jar.material.dimension in ("mass", "volume") else 0.0
    return next(size for size, most_l in HOLDS_L if litres <= most_l)


def of_material(
    material: Material, workshop: Workshop, *, elements: str, container: Container | None = None, quantity: str = ""
) -> dict:
    """What goes on the label of a material, or of one container of it: every word and sign."""
    summary = summaries.summary_of(container or material, workshop)
    content = _content(summary.hazards, summary.path, elements) | {"name": str(material), "what": "", "warning": ""}
    content["code"] = container.code if container else ""
    if elements == FULL:
        supplier = Supplier.objects.filter(packs__material=material, packs__is_sold=True).first()
        content |= {"supplier": str(supplier or ""), "phone": supplier.phone if supplier else "", "quantity": quantity}
    return content


def of_bath(status: BathStatus, workshop: Workshop, *, elements: str) -> dict:
    """What goes on the vessel of a bath: the classes it has once a fifth of its water has dried off."""
    found = classification.classify_bath(status, workshop.region).dried
    path = reverse("safety:open_bath", args=[status.bath.pk])
    content = _content(found, path, elements) | {"name": str(status.bath), "code": ""}
    what = "Copper sulfate in water." if elements == SHORT else _in_the_tank(status, workshop)
    content |= {"what": what, "warning": NO_DRINK}
    if elements == FULL:
        content |= {"supplier": workshop.name, "phone": workshop.keyholder_line, "quantity": ""}
    return content


def _in_the_tank(status: BathStatus, workshop: Workshop) -> str:
    """How strong it was when the label was printed, and who is to be asked about it."""
    described, begun = BathDescription(status, workshop.units), status.begun
    if described.strength is None or begun is None:
        return "Copper sulfate in water."
    return (
        f"Copper sulfate in water, {described.strength.shown} of blue crystals on {_day(status.at)}; "
        f"{begun.get_kind_display()} {_day(begun.entry.happened_at)} by {begun.entry.done_by}."
    )


def _day(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "j M Y")


def _content(found: Hazards, path: str, elements: str) -> dict:
    return {
        "elements": elements,
        "path": path,
        "signal_word": found.signal_word,
        "signs": found.signs,
        "hazards": found.hazards,
        "environment": found.for_environment,
        "left_out": found.left_out if found.for_environment else "",
        "precautions": () if elements == SHORT else found.precautions,
        "supplemental": found.supplemental,
        "unknown": () if elements == SHORT else found.unknown_toxicity,
        "needs_info": found.needs_classes,
        "is_classified": found.is_classified,
        "basis": found.basis,
        "classes": found.every_class,
    }


@dataclass(frozen=True, kw_only=True)
class Outgrown:
    """A label that says less than what it is stuck on has become."""

    label: PrintedLabel
    raised: Sequence[str]

    @property
    def words(self) -> str:
        return "; ".join(self.raised)


def outgrown(statuses: Iterable[BathStatus], workshop: Workshop) -> list[Outgrown]:
    """Labels in use whose thing has since got a class that is new or more severe; four queries."""
    labels = PrintedLabel.objects.in_use()
    of_baths = classification.classify_baths(statuses, workshop.region)
    materials = list({label.material.pk: label.material for label in labels if label.material}.values())
    of_materials = classification.classify_materials(materials, workshop.region) if materials else {}
    compared = [(each, of_materials[each.material.pk]) for each in labels if each.material]
    compared += [(each, of_baths[each.bath.pk].dried) for each in labels if each.bath and each.bath.pk in of_baths]
    found = (Outgrown(label=label, raised=_raised(label, now)) for label, now in compared)
    return [each for each in found if each.raised]


def _raised(label: PrintedLabel, now: Hazards) -> list[str]:
    """Classes that the label does not carry, and statements that belong to no class of ours."""
    classes = classification.raised(now.every_class, over=label.classes)
    statements = [line.words for line in now.hazards if line.code not in CLASS_OF_CODE and line.code not in label.codes]
    return [*(str(CLASSES[id]) for id in classes), *statements]
