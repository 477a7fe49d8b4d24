"""
Labels for jars, bottles and tanks: what goes on one, on which size, and which must be printed anew.

A workplace label follows 29 CFR 1910.1200(f)(6): (i) identifier, signal word, statements, signs and precautions, or
(ii) the identifier with words and pictures of the hazards. A full one follows CLP Article 17, supplier and quantity
among them. Sizes: CLP Annex I, Table 1.3, read; a sign is measured along its sides (the German CLP helpdesk, read).
The smallest label is for a workplace alone: its signs are below that table.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from chemistry.hazards.classes import CLASSES
from chemistry.hazards.regimes import CLP, regime_of
from inventory.dates import short_day
from inventory.models import Container, Material
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath
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
class LabelSize:
    """
    A label's measures stand in paper.css under its id.

    most_l: what it is stuck on holds no more, or its signs are too small; CLP Annex I, Table 1.3, where that holds. [L]
    """

    id: str
    name: str
    most_l: float


SIZES = {
    size.id: size
    for size in (
        LabelSize(id="a5", name="210 × 148 mm: tanks and drums, up to 500 L", most_l=500),
        LabelSize(id="a6", name="148 × 105 mm: tanks and cans, up to 50 L", most_l=50),
        LabelSize(id="a7", name="105 × 74 mm: bottles and jars with many words, up to 3 L", most_l=3),
        LabelSize(id="a8", name="74 × 52 mm: bottles and jars, up to 3 L", most_l=3),
        LabelSize(id="jar", name="60 × 36 mm: small jars, the short form only", most_l=3),
    )
}
SMALL = "jar"
USUAL = ("a8", "a6", "a5")


def litres_of(thing: Container | Bath) -> float:
    """
    What a vessel holds, as its label is sized by it.

    Of a jar what is in it, a kilogram counted as a litre; what is neither poured nor weighed takes the smallest.
    """
    if isinstance(thing, Bath):
        return thing.rim_l
    return thing.on_hand / 1e6 if thing.material.dimension in ("mass", "volume") else 0.0


def usual_size(thing: Container | Bath) -> str:
    """The smallest that is large enough; past the largest, that one."""
    return next((size for size in USUAL if litres_of(thing) <= SIZES[size].most_l), USUAL[-1])


def is_too_small(label: PrintedLabel, region: str) -> bool:
    """Whether its size is below that of its vessel; American rules set none."""
    thing = label.container or label.bath
    if thing is None or regime_of(region) not in CLP or label.size == usual_size(thing):
        return False
    return label.size not in SIZES or litres_of(thing) > SIZES[label.size].most_l


def label_of_material(
    material: Material, workshop: Workshop, *, elements: str, container: Container | None = None, quantity: str = ""
) -> dict:
    """What goes on the label of a material, or of one container of it: every word and sign."""
    summary = summaries.summary_of(container or material, workshop)
    # what the label carries is what the page behind its code says: both are made of one summary
    content = label_content(summary.hazards, summary.path, elements)
    content |= {"name": str(material), "what": "", "warning": "", "code": container.code if container else ""}
    if elements == FULL:
        supplier = Supplier.objects.filter(packs__material=material, packs__is_sold=True).first()
        content |= {"supplier": str(supplier or ""), "phone": supplier.phone if supplier else "", "quantity": quantity}
    return content


def label_of_bath(status: BathStatus, workshop: Workshop, *, elements: str) -> dict:
    """What goes on the vessel of a bath: the classes it has once a fifth of its water has dried off."""
    # nobody prints a new label each time a bath dries, so it carries what drying brings
    found = classification.classify_bath(status, workshop.region).dried
    described, begun = BathDescription(status, workshop.units), status.begun
    what = f"{described.made_of}."
    if elements != SHORT and described.strength and begun:
        # a strength without its day would be believed for ever
        on, since = (short_day(moment) for moment in (status.at, begun.entry.happened_at))
        what = (
            f"{described.made_of}, {described.strength.shown} of blue crystals on {on}; "
            f"{begun.get_kind_display()} {since} by {begun.entry.done_by}."
        )
    content = label_content(found, reverse("safety:open_bath", args=[status.bath.pk]), elements)
    content |= {"name": str(status.bath), "code": "", "what": what, "warning": NO_DRINK}
    content |= {"holds_acid": described.holds_acid}
    if elements == FULL:
        content |= {"supplier": workshop.name, "phone": workshop.keyholder_line, "quantity": ""}
    return content


def label_content(found: Hazards, path: str, elements: str) -> dict:
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
        # a jar has room for how much, its summary says by which way
        "unknown": [each.partition(" (")[0] if elements == SHORT else each for each in found.unknown_toxicity],
        "needs_info": found.needs_classes,
        "is_unknown": found.is_unknown,
        "is_article": found.is_article,
        "is_classified": found.is_classified,
        "basis": found.basis,
        "classes": found.every_class,
    }


@dataclass(frozen=True, kw_only=True)
class OutdatedLabel:
    """A label that says less than what it is stuck on has become, or is too small; raised: what it does not say."""

    label: PrintedLabel
    raised: Sequence[str]
    is_too_small: bool = False

    @property
    def words(self) -> str:
        return "; ".join(self.raised)


def outdated_labels(statuses: Iterable[BathStatus], workshop: Workshop) -> list[OutdatedLabel]:
    """Labels in use that no longer say what stands there, or are too small for it; three queries."""
    labels, statuses = PrintedLabel.objects.in_use(), list(statuses)
    of_baths = classification.classify_baths(statuses, workshop.region)
    sour = {each.bath.pk for each in statuses if each.state and each.state.has_acid}
    materials = list({label.material.pk: label.material for label in labels if label.material}.values())
    # the bench asks on every visit, and many studios print labels of tanks alone
    of_materials = classification.classify_materials(materials, workshop.region) if materials else {}
    compared = [(each, of_materials[each.material.pk]) for each in labels if each.material]
    compared += [(each, of_baths[each.bath.pk].dried) for each in labels if each.bath and each.bath.pk in of_baths]
    found = (
        OutdatedLabel(
            label=label,
            raised=missing_on(label, now, holds_acid=label.bath_id in sour),
            is_too_small=is_too_small(label, workshop.region),
        )
        for label, now in compared
    )
    return [each for each in found if each.raised or each.is_too_small]


def missing_on(label: PrintedLabel, now: Hazards, *, holds_acid: bool = False) -> list[str]:
    """Classes that the label does not carry, statements that belong to no class of ours, and what nobody knows."""
    # a milder class asks for no new label: what is stuck on warns of more than enough
    classes = classification.raised(now.every_class, over=label.classes)
    # codes that follow from a class are answered by it: a more severe one would be told twice
    statements = [each.words for each in now.hazards if each.code not in {*CLASS_OF_CODE, *label.codes}]
    unsaid = now.is_unknown and not (label.content.get("is_unknown") or label.content.get("needs_info"))
    acid = [_("Sulfuric acid is in it.")] if holds_acid and not label.content.get("holds_acid") else []
    anything = ["Some of it may be anything."] if unsaid else []
    return [*(str(CLASSES[id]) for id in classes), *statements, *acid, *anything]
