"""
Labels for jars, bottles and tanks: what goes on one, on which size, and which must be printed anew.

A workplace label follows 29 CFR 1910.1200(f)(6): (i) identifier, signal word, statements, signs and precautions, or
(ii) the identifier with words and pictures of the hazards. A full one follows CLP Article 17, supplier and quantity
among them. Up to 125 mL CLP Annex I 1.5.2.1.1 lets the statements of milder classes be left out (read, in German).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.classes import CLASSES
from chemistry.hazards.labels import may_be_left_out
from chemistry.hazards.regimes import CLP, regime_of
from inventory.dates import short_day
from inventory.models import Container, Material
from inventory.wording import translated
from studio.baths.descriptions import BathDescription
from studio.baths.models import Bath
from studio.baths.status import BathStatus
from studio.hazards import classification
from studio.hazards.classification import Hazards
from studio.hazards.models import CLASS_OF_CODE, SupplierClasses
from studio.orders.models import Supplier
from studio.pages.fields import with_quantities
from studio.printing.label_sizes import SIZES, size_for
from studio.safety import summaries
from studio.safety.models import PrintedLabel
from studio.workshop.models import Workshop

NO_DRINK = gettext_lazy("Not a drink. Never into a sink, a drain or the ground.")
SHORT, WORKPLACE, FULL = "short", "workplace", "full"
ELEMENTS = {
    SHORT: gettext_lazy("for a small jar: name, signs and the hazards in words"),
    WORKPLACE: gettext_lazy("for working with it: what to take care of, too"),
    FULL: gettext_lazy("for handing over: supplier, address and quantity, too"),
}
SMALLEST = "bottle"
SMALL = (SMALLEST, "jar")


@dataclass(frozen=True, kw_only=True)
class LabelSheet:
    """A sheet of sticky labels as paper shops sell it, told by its measures; the gap is between its columns."""

    name: Promise
    page: str
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float = 0.0
    top_mm: float = 0.0
    gap_mm: float = 0.0
    is_across: bool = False

    @property
    def on_a_sheet(self) -> int:
        return self.columns * self.rows


def sheet_for(size: str, paper: str) -> LabelSheet:
    return SHEETS[paper][size]


MM_PER_INCH = 25.4
LETTER_10 = LabelSheet(
    name=gettext_lazy("Letter, 2 × 5 of 4 × 2 in"),
    page="Letter",
    columns=2,
    rows=5,
    width_mm=4 * MM_PER_INCH,
    height_mm=2 * MM_PER_INCH,
    left_mm=0.15625 * MM_PER_INCH,
    top_mm=0.5 * MM_PER_INCH,
    gap_mm=0.1875 * MM_PER_INCH,
)
LETTER_30 = LabelSheet(
    name=gettext_lazy("Letter, 3 × 10 of 2⅝ × 1 in"),
    page="Letter",
    columns=3,
    rows=10,
    width_mm=2.625 * MM_PER_INCH,
    height_mm=1 * MM_PER_INCH,
    left_mm=0.1875 * MM_PER_INCH,
    top_mm=0.5 * MM_PER_INCH,
    gap_mm=0.125 * MM_PER_INCH,
)
SHEETS = {
    "A4": {
        "bottle": LabelSheet(
            name=with_quantities(gettext_lazy("A4, 4 × 10 of %(sides)s"), of=(52.5, 29.7)),
            page="A4",
            columns=4,
            rows=10,
            width_mm=52.5,
            height_mm=29.69,
        ),
        "jar": LabelSheet(
            name=with_quantities(gettext_lazy("A4, 3 × 8 of %(sides)s"), of=(70, 37)),
            page="A4",
            columns=3,
            rows=8,
            width_mm=70,
            height_mm=37,
            top_mm=0.5,
        ),
        "a8": LabelSheet(
            name=with_quantities(
                gettext_lazy("A4 across, 4 × 4 of %(sides)s"),
                of=(74, 52),
            ),
            page="A4",
            columns=4,
            rows=4,
            width_mm=74.25,
            height_mm=52.5,
            is_across=True,
        ),
        "a7": LabelSheet(
            name=with_quantities(gettext_lazy("A4, 2 × 4 of %(sides)s"), of=(105, 74)),
            page="A4",
            columns=2,
            rows=4,
            width_mm=105,
            height_mm=74.25,
        ),
        "a6": LabelSheet(
            name=with_quantities(
                gettext_lazy("A4 across, 2 × 2 of %(sides)s"),
                of=(148, 105),
            ),
            page="A4",
            columns=2,
            rows=2,
            width_mm=148.5,
            height_mm=105,
            is_across=True,
        ),
        "a5": LabelSheet(
            name=with_quantities(gettext_lazy("A4, 2 of %(sides)s"), of=(210, 148)),
            page="A4",
            columns=1,
            rows=2,
            width_mm=210,
            height_mm=148.5,
        ),
    },
    "Letter": {
        "bottle": LETTER_30,
        "jar": LETTER_10,
        "a8": LETTER_10,
        "a7": LabelSheet(
            name=gettext_lazy("Letter, 2 × 3 of 4 × 3⅓ in"),
            page="Letter",
            columns=2,
            rows=3,
            width_mm=4 * MM_PER_INCH,
            height_mm=10 / 3 * MM_PER_INCH,
            left_mm=0.15625 * MM_PER_INCH,
            top_mm=0.5 * MM_PER_INCH,
            gap_mm=0.1875 * MM_PER_INCH,
        ),
        "a6": LabelSheet(
            name=gettext_lazy("Letter across, 2 × 2 of 5½ × 4¼ in"),
            page="Letter",
            columns=2,
            rows=2,
            width_mm=5.5 * MM_PER_INCH,
            height_mm=4.25 * MM_PER_INCH,
            is_across=True,
        ),
        "a5": LabelSheet(
            name=gettext_lazy("Letter, 2 of 8½ × 5½ in"),
            page="Letter",
            columns=1,
            rows=2,
            width_mm=8.5 * MM_PER_INCH,
            height_mm=5.5 * MM_PER_INCH,
        ),
    },
}


def litres_of(thing: Container | Bath) -> float:
    """
    What a vessel holds, as its label is sized by it.

    Of a jar what is in it, a kilogram counted as a litre; what is neither poured nor weighed takes the smallest.
    """
    if isinstance(thing, Bath):
        return thing.rim_l
    return thing.on_hand / 1e6 if thing.material.dimension in ("mass", "volume") else 0.0


def usual_size(thing: Container | Bath) -> str:
    return size_for(litres_of(thing))


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
    content["quantity"] = quantity
    if elements == FULL:
        supplier = Supplier.objects.filter(packs__material=material, packs__is_sold=True).first()
        content |= {"supplier": str(supplier or ""), "phone": supplier.phone if supplier else ""}
        content |= {"address": supplier.address if supplier else "", "studio": studio_of(workshop)}
    return content


def label_of_bath(status: BathStatus, workshop: Workshop, *, elements: str, quantity: str = "") -> dict:
    """What goes on the vessel of a bath: the classes it has once a fifth of its water has dried off."""
    # nobody prints a new label each time a bath dries, so it carries what drying brings
    found = classification.classify_bath(status, workshop.region).dried
    described, begun = BathDescription(status, workshop.units), status.begun
    what = f"{described.made_of}."
    if elements != SHORT and described.strength and begun:
        # a strength without its day would be believed for ever
        on, since = (short_day(moment) for moment in (status.at, begun.entry.happened_at))
        what = _(
            "%(made_of)s, %(shown)s of blue crystals on %(on)s; %(get_kind_display)s %(since)s by %(done_by)s."
        ) % {
            "made_of": described.made_of,
            "shown": described.strength.shown,
            "on": on,
            "get_kind_display": begun.get_kind_display(),
            "since": since,
            "done_by": begun.entry.done_by,
        }
    content = label_content(found, reverse("safety:open_bath", args=[status.bath.pk]), elements)
    content |= {"name": str(status.bath), "code": "", "what": what, "warning": str(NO_DRINK)}
    content["quantity"] = quantity
    content |= {"holds_acid": described.holds_acid}
    if elements == FULL:
        content |= {"supplier": workshop.name, "phone": workshop.keyholder_line, "address": workshop.address}
        content["studio"] = ""
    return content


def studio_of(workshop: Workshop) -> str:
    """Who handed it over, and where they are found."""
    return ", ".join(filter(None, (workshop.name, workshop.address, workshop.keyholder_line)))


def label_content(found: Hazards, path: str, elements: str) -> dict:
    unknown = [str(translated(each)) for each in found.unknown_toxicity]
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
        # as it is read here: a label keeps its words. A jar has room for how much, its summary says by which way
        "unknown": [said.partition(" (")[0] if elements == SHORT else said for said in unknown],
        "needs_info": found.needs_classes,
        "is_unknown": found.is_unknown,
        "is_article": found.is_article,
        "is_classified": found.is_classified,
        "basis": found.basis,
        "classes": found.every_class,
    }


def on_size(content: dict, size: str, region: str) -> dict:
    """What of it stands on a label of that size: on the smallest the milder hazards are told by its code alone."""
    if size != SMALLEST:
        return content
    told = {
        name: [each for each in content[name] if not may_be_left_out(each[0], regime_of(region))]
        for name in ("hazards", "environment")
    }
    by_code = content.get("by_code") or any(len(said) < len(content[name]) for name, said in told.items())
    return content | told | {"by_code": by_code}


@dataclass(frozen=True, kw_only=True)
class OutdatedLabel:
    """A label that says less than what it is stuck on has become, or is too small; raised: what it does not say."""

    label: PrintedLabel
    raised: Sequence[str]
    is_too_small: bool = False

    @property
    def words(self) -> str:
        return "; ".join(self.raised)


def outdated_labels(
    statuses: Iterable[BathStatus], workshop: Workshop, said: Mapping[int, SupplierClasses] | None = None
) -> list[OutdatedLabel]:
    """Labels in use that no longer say what stands there, or are too small for it; said: by suppliers' sheets."""
    labels, statuses = PrintedLabel.objects.in_use(), list(statuses)
    said = SupplierClasses.latest_until() if said is None else said
    of_baths = classification.classify_baths(statuses, workshop.region, sheets=said)
    sour = {each.bath.pk for each in statuses if each.state and each.state.has_acid}
    materials = list({label.material.pk: label.material for label in labels if label.material}.values())
    of_materials = classification.classify_materials(materials, workshop.region, sheets=said)
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
    anything = [_("Some of it may be anything.")] if unsaid else []
    return [*(str(CLASSES[id]) for id in classes), *statements, *acid, *anything]
