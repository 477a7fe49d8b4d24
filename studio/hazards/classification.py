"""
The classified label of a material, of a bath, of what is in a drum, by the rules of the workshop's region.

What the supplier's sheet says goes before what is worked out here. A fact that is missing is handed on as needs_info.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from typing import NamedTuple

from django.utils.formats import date_format

from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.hazards import composition, mixture
from chemistry.hazards.classes import CLASSES, most_severe
from chemistry.hazards.ingredients import Ingredient
from chemistry.hazards.labels import PICTOGRAMS
from chemistry.hazards.mixture import Classification
from chemistry.hazards.regimes import REGIMES, left_out, regime_of
from chemistry.hazards.steps import Step
from chemistry.hazards.substances import SUBSTANCES
from inventory.models import Constituent, Material
from studio.baths.status import BathStatus
from studio.hazards.models import SupplierClasses

HUNDREDTHS = Decimal("0.01")
UNKNOWN_TOXICITY = "acute toxicity if"  # as chemistry.mixture begins these sentences


class Line(NamedTuple):
    """A statement: its code and the standard's words."""

    code: str
    words: str


@dataclass(frozen=True, kw_only=True)
class Hazards:
    """
    What a label says of something under one regime, and how that was found.

    classes: ids of chemistry.hazard_classes that the regime knows. environment: aquatic ones that it leaves out.
    hazards, precautions: the statements to print, those of the environment not among them.
    needs_info: what is not known; only an empty one together with no class says "known not to be classified".
    basis: by which rules, or by whose sheet.
    """

    regime: str
    classes: tuple[str, ...] = ()
    environment: tuple[str, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    hazards: tuple[Line, ...] = ()
    precautions: tuple[Line, ...] = ()
    needs_info: tuple[str, ...] = ()
    working: tuple[Step, ...] = ()
    supplemental: tuple[str, ...] = ()
    defaults: tuple[str, ...] = ()
    basis: str = ""
    supplier: SupplierClasses | None = None

    @property
    def every_class(self) -> tuple[str, ...]:
        return most_severe((*self.classes, *self.environment))

    @property
    def codes(self) -> tuple[str, ...]:
        """Of the statements printed, those of the environment among them."""
        return tuple(line.code for line in (*self.hazards, *self.for_environment))

    @property
    def for_environment(self) -> tuple[Line, ...]:
        """Statements of UN GHS where the regime has none of its own."""
        return _lines(mixture.label(self.environment, "UN").h_codes, self.regime)

    @property
    def signs(self) -> tuple[Line, ...]:
        """The pictograms with their names, that of the environment among them."""
        codes = (*self.pictograms, *mixture.label(self.environment, "UN").pictograms)
        return tuple(Line(code, PICTOGRAMS[code]) for code in dict.fromkeys(codes))

    @property
    def left_out(self) -> str:
        """What to say where the regime has no aquatic hazards; empty where it has them."""
        return left_out(self.regime)

    @property
    def is_classified(self) -> bool:
        return bool(self.hazards or self.every_class)

    @property
    def needs_classes(self) -> bool:
        """Whether so little is known that no class could be given; never to be shown as clear."""
        return not self.is_classified and bool(self.needs_info)

    @property
    def unknown_toxicity(self) -> tuple[str, ...]:
        """How much of it nobody has tested; a label has to say so from 1 % on (29 CFR 1910.1200 C.3.3, from memory)."""
        return tuple(each.partition(":")[0] for each in self.needs_info if each.startswith(UNKNOWN_TOXICITY))

    @property
    def word(self) -> str:
        """How it stands in a list: its signal word before anything else."""
        if self.signal_word:
            return self.signal_word
        if self.is_classified:
            return "no signal word"
        return "needs info" if self.needs_info else "not classified"

    @property
    def level(self) -> str:
        """The hatch beside the word: act, look or fine."""
        return {"Danger": "act", "not classified": "fine"}.get(self.word, "look")

    @property
    def rank(self) -> tuple[int, int]:
        """The most severe first, what needs info before what is known not to be classified."""
        words = ("Danger", "Warning", "no signal word", "needs info", "not classified")
        first = min((list(CLASSES).index(id) for id in self.every_class), default=len(CLASSES))
        return words.index(self.word), first


@dataclass(frozen=True, kw_only=True)
class BathHazards:
    """
    A bath at the strong end of what is known of it: as it stands, and once a fifth of its water has dried off.

    blue_percent, dried_percent: blue crystals by mass in each case, rounded up; None while nobody knows. [%]
    """

    now: Hazards
    dried: Hazards
    blue_percent: Decimal | None = None
    dried_percent: Decimal | None = None


def of_material(material: Material, region: str) -> Hazards:
    """The label of a material as it is sold: by its supplier's sheet, else by what it is made of."""
    return of_materials([material], region)[material.pk]


def of_materials(materials: Sequence[Material], region: str) -> dict[int, Hazards]:
    """Labels of many materials, in two queries."""
    regime = regime_of(region)
    said = SupplierClasses.objects.latest_of(materials)
    computed = {material.pk: by_parts(material, regime) for material in materials}
    return computed | {pk: _by_supplier(sheet, computed[pk]) for pk, sheet in said.items()}


def of_bath(status: BathStatus, region: str) -> BathHazards:
    return of_baths([status], region)[status.bath.pk]


def of_baths(statuses: Iterable[BathStatus], region: str) -> dict[int, BathHazards]:
    """
    Labels of baths at the strong end of their ±, all their salt counted, dissolved or on the floor.

    What a salt's own sheet knows besides, of an impurity for instance, goes into the sum; it takes nothing out of it.
    """
    more = most_severe(id for sheet in SupplierClasses.objects.of_bath_salts() for id in sheet.classes)
    return {each.bath.pk: _of_bath(each, region, more) for each in statuses}


def _of_bath(status: BathStatus, region: str, more: tuple[str, ...]) -> BathHazards:
    if status.state is None:
        missing = f"how strong {status.bath} is: mix it, adopt it or read it"
        unread = Hazards(regime=regime_of(region), needs_info=(missing,))
        return BathHazards(now=unread, dried=unread)
    strongest = min(status.state.strength_g_per_l + status.half_width_g_per_l, STRONGEST_G_PER_L)
    percent = rounded_up(composition.blue_percent(strongest))
    return BathHazards(
        now=of_mixture(_with_more(composition.bath(percent, dried_off=0), more), region),
        dried=of_mixture(_with_more(composition.bath(percent), more), region),
        blue_percent=percent,
        dried_percent=rounded_up(float(composition.dried_percent(percent))),
    )


def _with_more(bath: tuple[Ingredient, ...], more: tuple[str, ...]) -> tuple[Ingredient, ...]:
    """The crystals in it with these classes too, the more severe of each hazard."""
    crystals, water = bath
    return replace(crystals, classes=most_severe((*crystals.known_classes, *more))), water


def of_mixture(ingredients: Sequence[Ingredient], region: str, **measured: float | None) -> Hazards:
    """
    The label of whatever is made of these: what is in a drum, a cleaner mixed here.

    measured: flash_point_c, boiling_point_c, ph, viscosity_mm2_per_s, each as measured on the mixture.
    """
    regime = regime_of(region)
    if not ingredients:
        return Hazards(regime=regime, needs_info=("what it is made of",))
    return _shown(mixture.classify(ingredients, regime, **measured), regime)


def by_parts(material: Material, regime: str) -> Hazards:
    """By what a material is made of, whoever sells it; without that, needs info."""
    parts = parts_of(material)
    if not parts:
        return Hazards(regime=regime, needs_info=("what it is made of, or the classes on its supplier's sheet",))
    alone = _alone(parts)
    if alone and material.flash_point_c is None:
        return _shown(composition.classify_as_sold(alone, regime), regime)
    ingredients = [_ingredient(part) for part in parts]
    return _shown(mixture.classify(ingredients, regime, flash_point_c=material.flash_point_c), regime)


def parts_of(material: Material) -> list[Constituent]:
    """What it is made of as far as anybody wrote it down; whoever said which bath salt it is has said that too."""
    return material.constituents or _salt(material)


def _by_supplier(said: SupplierClasses, computed: Hazards) -> Hazards:
    """
    As the supplier's sheet has it, whatever would be worked out.

    But for what harms fish: an American sheet need not say it, and the sum still does.
    """
    told = most_severe((*computed.environment, *said.classes))
    return Hazards(
        regime=computed.regime,
        classes=said.classes,
        environment=tuple(id for id in told if id in computed.environment and id not in said.classes),
        signal_word=said.signal_word,
        pictograms=tuple(said.pictograms),
        hazards=tuple(Line(*pair) for pair in said.hazards),
        precautions=tuple(Line(*pair) for pair in said.precautions),
        basis=f"the supplier’s sheet of {date_format(said.sheet_on, 'j F Y')}",
        supplier=said,
    )


def raised(now: Iterable[str], *, over: Iterable[str]) -> tuple[str, ...]:
    """
    The classes that are new, or more severe than before.

    >>> raised(["eye_dam_1", "aq_chronic_2"], over=["eye_irrit_2", "aq_chronic_1"])
    ('eye_dam_1',)
    """
    before = set(over)
    return tuple(id for id in most_severe((*now, *before)) if id not in before)


def _shown(found: Classification, regime: str) -> Hazards:
    label = mixture.label(found.classes, regime)
    return Hazards(
        regime=regime,
        classes=found.classes,
        environment=found.environment,
        signal_word=label.signal_word,
        pictograms=label.pictograms,
        hazards=_lines(label.h_codes, regime),
        precautions=_lines(label.p_codes, regime),
        needs_info=found.needs_info,
        working=found.working,
        supplemental=found.supplemental,
        defaults=found.defaults,
        basis=f"{REGIMES[regime]}, by its rules for mixtures" + ("; water life by UN GHS" if found.environment else ""),
    )


def _lines(codes: Iterable[str], regime: str) -> tuple[Line, ...]:
    return tuple(Line(code, mixture.statement(code, regime)) for code in codes)


def _salt(material: Material) -> list[Constituent]:
    """As far as its purity goes."""
    if material.bath_use not in SUBSTANCES:
        return []
    substance = SUBSTANCES[material.bath_use]
    low_percent = 100 * material.purity
    return [Constituent(substance=substance.key, name=substance.name, low_percent=low_percent, high_percent=100)]


def _alone(parts: Sequence[Constituent]) -> str:
    """The substance that a material is all of, where it is one."""
    return parts[0].substance if len(parts) == 1 and parts[0].low_percent == 100 and parts[0].is_known else ""


def _ingredient(part: Constituent) -> Ingredient:
    percent = (part.low_percent, part.high_percent)
    if not part.is_known:
        return Ingredient(part.name, percent)
    return replace(composition.ingredient_of(part.substance, percent), name=part.name)


def rounded_up(percent: float) -> Decimal:
    """To hundredths, so that a page shows the very number that was classified."""
    return Decimal(str(percent)).quantize(HUNDREDTHS, rounding=ROUND_CEILING)
