"""
What a material, a bath or what is in a drum is, worked out once for whoever shows it, refuses it or lists it.

Its hazard classes are those of the label by the rules of the workshop's region; what the supplier's sheet says goes
before what is worked out here. A fact that is missing is handed on as needs_info.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple, Protocol

from django.utils.translation import gettext as _

from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.hazards import composition, mixture
from chemistry.hazards.advice import ARTICLE_BASIS, ROOM, BenchAdvice, advice
from chemistry.hazards.classes import CLASSES, most_severe
from chemistry.hazards.ingredients import Ingredient, unnamed_percent
from chemistry.hazards.labels import PICTOGRAMS
from chemistry.hazards.mixture import BASE_FROM_PH, Classification
from chemistry.hazards.regimes import REGIMES, left_out, regime_of
from chemistry.hazards.steps import Step
from chemistry.hazards.storage import FLAMMABLE, GENERAL, GROUPS, storage_groups
from chemistry.hazards.substances import SUBSTANCES, recognised
from chemistry.sentences import SEMICOLON, Sentence, strung
from chemistry.waste import streams
from chemistry.waste.composition import has_unknown_part, waste_ingredients
from inventory.dates import long_day
from inventory.models import Constituent, Material
from inventory.wording import translated_text
from studio.hazards.models import SupplierClasses

# how something is handled, beside its storage groups: words of data/advice.toml
BATH, POWDER, DRYING_OIL = "bath", "powder", "drying oil"
NO_SIGNAL_WORD, NEEDS_INFO = Sentence("no signal word"), Sentence("needs info")
NOT_CLASSIFIED, ARTICLE_WORD = Sentence("not classified"), Sentence("solid piece")
# whether current is on this minute or not: what stands beside a tank stays there when it is switched on
AS_BATH: dict[str, Any] = {
    "storage_groups": frozenset({"copper salt", "under current"}),
    "handling": frozenset({BATH}),
}
OF_SKIN_AND_EYES = ("H314", "H315", "H318", "H319", "H320", "EUH071")
GIVEN_UP_SOURCE = Sentence("ours, stricter: what went in counts in full until the whole is tested")


class LabelStatement(NamedTuple):
    """A statement or a sign: its code and the standard's words."""

    code: str
    words: str


@dataclass(frozen=True, kw_only=True)
class Hazards:
    """
    What something is under one regime, and how that was found.

    classes: ids of chemistry.hazards.classes that the regime knows. environment: aquatic ones that it leaves out.
    hazards, precautions: the statements to print, those of the environment not among them.
    needs_info: what is not known; only an empty one together with no class says "known not to be classified".
    has_unknown_part: some of it may be anything, so the most careful advice holds.
    is_article: a thing that keeps its shape, of which nothing hazardous is known; it has a short form of its own.
    basis: by which rules, or by whose sheet.
    storage_groups: by all that is known: what it was declared as, what it is made of, its classes, its flash point.
    ungrouped: what of it has no storage group, so that nobody can say what it must be kept from.
    handling: what the advice asks besides.
    """

    regime: str
    classes: tuple[str, ...] = ()
    environment: tuple[str, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    hazards: tuple[LabelStatement, ...] = ()
    precautions: tuple[LabelStatement, ...] = ()
    needs_info: tuple[str, ...] = ()
    has_unknown_part: bool = False
    is_article: bool = False
    working: tuple[Step, ...] = ()
    supplemental: tuple[str, ...] = ()
    defaults: tuple[str, ...] = ()
    basis: str = ""
    supplier: SupplierClasses | None = None
    storage_groups: frozenset[str] = frozenset()
    ungrouped: tuple[str, ...] = ()
    handling: frozenset[str] = frozenset()
    flash_point_c: float | None = None

    @property
    def every_class(self) -> tuple[str, ...]:
        return most_severe((*self.classes, *self.environment))

    @property
    def codes(self) -> tuple[str, ...]:
        """Of the statements printed, those of the environment among them."""
        return tuple(statement.code for statement in self.statements)

    @property
    def statements(self) -> tuple[LabelStatement, ...]:
        return (*self.hazards, *self.for_environment)

    @property
    def for_environment(self) -> tuple[LabelStatement, ...]:
        """Statements of UN GHS where the regime has none of its own."""
        return label_statements(mixture.label(self.environment, "UN").h_codes, self.regime)

    @property
    def signs(self) -> tuple[LabelStatement, ...]:
        """The pictograms with their names, that of the environment among them."""
        codes = (*self.pictograms, *mixture.label(self.environment, "UN").pictograms)
        return tuple(LabelStatement(code, PICTOGRAMS[code]) for code in dict.fromkeys(codes))

    @property
    def left_out(self) -> str:
        """What to say where the regime has no aquatic hazards; empty where it has them."""
        return left_out(self.regime)

    def advice(self, section: str) -> tuple[BenchAdvice, ...]:
        """What a section of data/advice.toml says of it."""
        return advice(section, self.every_class, self.storage_groups | self.handling, is_unknown=self.is_unknown)

    @property
    def skin_beside_eyes(self) -> tuple[BenchAdvice, ...]:
        """For skin, on a paper that says what to do for an eye; there is no room to say anything twice."""
        said_already = {line.text for line in ROOM["eyes"].lines}
        return tuple(said for said in self.advice("skin") if said.text not in said_already)

    @property
    def burns(self) -> tuple[LabelStatement, ...]:
        """What it says of skin and eyes."""
        return tuple(each for each in self.hazards if each.code in OF_SKIN_AND_EYES)

    @property
    def is_flammable(self) -> bool:
        return FLAMMABLE in self.storage_groups

    @property
    def is_classified(self) -> bool:
        return bool(self.hazards or self.every_class)

    @property
    def needs_classes(self) -> bool:
        """Whether so little is known that no class could be given; never to be shown as clear."""
        return not self.is_classified and bool(self.needs_info)

    @property
    def is_unknown(self) -> bool:
        """Whether some of it may be anything: a class that is known does not make harmless what is not."""
        return self.needs_classes or self.has_unknown_part

    @property
    def unknown_toxicity(self) -> tuple[str, ...]:
        """How much of it nobody has tested; a label has to say so from 1 % on (29 CFR 1910.1200 C.3.3, from memory)."""
        return tuple(filter(None, map(mixture.unknown_share, self.needs_info)))

    @property
    def word(self) -> str:
        """How it stands in a list: its signal word before anything else."""
        if self.signal_word:
            return self.signal_word
        if self.is_classified:
            return NO_SIGNAL_WORD
        if self.is_article:
            return ARTICLE_WORD
        return NEEDS_INFO if self.needs_info else NOT_CLASSIFIED

    @property
    def words(self) -> str:
        """The word, and beside a class that is known that some of it may be anything."""
        if self.is_unknown and not self.needs_classes:
            return Sentence("%(word)s, and needs info") % {"word": self.word}
        return self.word

    @property
    def level(self) -> str:
        """The hatch beside the word: look where something is to be found out; a class asks for nothing."""
        return "look" if self.word == NEEDS_INFO else ""

    @property
    def rank(self) -> tuple[int, int]:
        """The most severe first, what needs info before what is known not to be classified."""
        # what nobody knows may be the worst of all, so it never stands behind what is known to be harmless
        words = ("Danger", "Warning", NO_SIGNAL_WORD, NEEDS_INFO, NOT_CLASSIFIED, ARTICLE_WORD)
        first = min((list(CLASSES).index(id) for id in self.every_class), default=len(CLASSES))
        return words.index(self.word), first

    @property
    def group_names(self) -> str:
        """Its storage groups in words; empty needs info."""
        return "; ".join(translated_text(group.name) for group in GROUPS.values() if group.id in self.storage_groups)

    @property
    def where_it_belongs(self) -> list[str]:
        """Where each of its groups stands; what is general or only feeds a fire goes with the others."""
        # a ground of wax in spirits belongs into the cabinet, not on the dry shelf as well
        groups = self.storage_groups - {"general", "combustible"} or self.storage_groups
        return [group.where for group in GROUPS.values() if group.id in groups and group.where]


@dataclass(frozen=True, kw_only=True)
class BathHazards:
    """
    A bath at the strong end of what is known of it: as it stands, and once a fifth of its water has dried off.

    blue_percent, dried_percent: blue crystals by mass in each case, rounded up; None while nobody knows. [%]
    acid_percent: sulfuric acid by mass as it stands, likewise. [%]
    """

    now: Hazards
    dried: Hazards
    blue_percent: Decimal | None = None
    dried_percent: Decimal | None = None
    acid_percent: Decimal | None = None


class KnownBath(Protocol):
    """
    A bath and how strong it may be: at the strong end of its ±, all its salt counted; None while nobody knows.

    most_acid_g_per_l: sulfuric acid, likewise; None while nobody has said whether there is any.
    acid_is_said: what is known of it is all of it.
    """

    @property
    def bath(self) -> Any: ...
    @property
    def strongest_g_per_l(self) -> float | None: ...
    @property
    def most_acid_g_per_l(self) -> float | None: ...
    @property
    def acid_is_said(self) -> bool: ...


@dataclass(frozen=True, kw_only=True)
class OutdatedReading:
    """What was measured of a vessel before something else went in: it clears nothing any more, and it still warns."""

    said: str
    flash_point_c: float | None = None
    ph: tuple[float, float] | None = None


@dataclass(frozen=True, kw_only=True)
class VesselContent:
    """
    What is in a vessel of waste, or is about to go in, as far as its log tells.

    kinds: of all that went in, in the words of chemistry.waste.streams.
    most_copper_mg_per_l: the upper end of what is known. flash_point_c, ph: as tested, the latter with both ends.
    given_up: the materials of the jars that were emptied into it.
    unnamed: what else went in that may be more than copper sulfate and water. outdated: tests of before that.
    out_of: the baths and cathodes that all its mud, powder and sludge came out of, where the book knows them all.
    most_acid_g_per_l, most_acid_percent: sulfuric acid that came with bath, in its liquid and in the whole by mass, at
    the upper end of what is known. acid_unsaid: what came out of baths of which nobody has said whether they hold any.
    """

    kinds: Sequence[str]
    most_copper_mg_per_l: float | None = None
    flash_point_c: float | None = None
    ph: tuple[float, float] | None = None
    given_up: Sequence[Material] = ()
    unnamed: Sequence[str] = ()
    outdated: Sequence[OutdatedReading] = ()
    out_of: Sequence[str] = ()
    most_acid_g_per_l: float = 0.0
    most_acid_percent: float = 0.0
    acid_unsaid: Sequence[str] = ()

    @property
    def missing(self) -> list[str]:
        """What nobody has said of it, beside what its kinds and jars leave open."""
        words = Sentence("whether anything but bath and water came with it: %(named)s")
        met: list[str] = [words % {"named": strung(self.unnamed, SEMICOLON)}] if self.unnamed else []
        if self.acid_unsaid:
            asked = Sentence("whether there was acid in what went in, %(named)s: ask, or read its pH")
            met.append(asked % {"named": strung(self.acid_unsaid, SEMICOLON)})
        if self.out_of:
            stray = [each.stray for each in map(streams.stream, self.kinds) if each.stray]
            water = Sentence("water out of %(these)s") % {"these": self.out_of}
            parts = [Sentence("copper"), Sentence("copper salts"), water, *stray]
            met.append(Sentence("how much of it is %(parts)s") % {"parts": parts})
        return [*met, *(each.said.rstrip(".") for each in self.outdated)]


def classify_material(material: Material, region: str, at: datetime | None = None) -> Hazards:
    """A material as it is sold: by its supplier's sheet, else by what it is made of."""
    return classify_materials([material], region, at)[material.pk]


def classify_materials(
    materials: Sequence[Material],
    region: str,
    at: datetime | None = None,
    *,
    sheets: Mapping[int, SupplierClasses] | None = None,
) -> dict[int, Hazards]:
    """
    Many materials, in one query; at: by the suppliers' sheets that were copied until then.

    sheets: what those say of every material, where more than these are asked about.
    """
    regime = regime_of(region)
    sheets = SupplierClasses.latest_of(materials, at) if sheets is None else sheets
    return {each.pk: with_storage(each, labelled(each, sheets.get(each.pk), regime)) for each in materials}


def classify_bath(standing: KnownBath, region: str, at: datetime | None = None) -> BathHazards:
    return classify_baths([standing], region, at)[standing.bath.pk]


def classify_baths(
    standings: Iterable[KnownBath],
    region: str,
    at: datetime | None = None,
    *,
    sheets: Mapping[int, SupplierClasses] | None = None,
) -> dict[int, BathHazards]:
    """
    Baths at the strong end of their ±, all their salt counted, dissolved or on the floor; sheets as above.

    What a salt's own sheet knows besides, of an impurity for instance, goes into the sum; it takes nothing out of it.
    """
    more = most_severe(id for sheet in SupplierClasses.of_bath_salts(at, sheets) for id in sheet.classes)
    return {each.bath.pk: classified_bath(each, region, more) for each in standings}


def classify_vessels(contents: Sequence[VesselContent], region: str, at: datetime | None = None) -> list[Hazards]:
    """What is in vessels of waste, or about to go in, in one query."""
    given_up = list({material.pk: material for each in contents for material in each.given_up}.values())
    known = classify_materials(given_up, region, at) if given_up else {}
    return [classified_vessel(each, [known[material.pk] for material in each.given_up], region) for each in contents]


def classified_vessel(content: VesselContent, given_up: Sequence[Hazards], region: str) -> Hazards:
    """By its kinds and its copper; what jars brought counts in full, whatever it was poured to."""
    kinds = [streams.stream(kind) for kind in content.kinds]
    if all(kind.is_solid_metal for kind in kinds) and all(each.is_article for each in given_up) and not content.missing:
        return as_article(regime_of(region))
    acid = composition.rounded_up(min(content.most_acid_percent, 50.0))
    # a pH measured on the whole tells it better
    sours = [] if content.ph else list(composition.corrodes(content.most_acid_g_per_l))
    found = classify_mixture(
        waste_ingredients(
            content.kinds, content.most_copper_mg_per_l, out_of_baths=bool(content.out_of), most_acid_percent=acid
        ),
        region,
        flash_point_c=content.flash_point_c,
        ph=worst_ph(content.ph),
        brought=[*sours, *brought_by_jars(given_up), *still_warned_of(content.outdated, region)],
    )
    # groups of everything that ever went in: what was poured over or thinned is still there
    groups = storage_groups(h_codes=found.codes, flash_point_c=content.flash_point_c)
    return replace(
        found,
        needs_info=(*found.needs_info, *content.missing),
        has_unknown_part=found.has_unknown_part
        or has_unknown_part(content.kinds, content.most_copper_mg_per_l)
        or bool(content.unnamed)
        or any(each.is_unknown for each in given_up),
        storage_groups=groups.union(
            {"acid"} if sours else (),
            *(kind.storage_groups for kind in kinds),
            *(each.storage_groups for each in given_up),
        ),
        ungrouped=tuple(dict.fromkeys(name for each in given_up for name in each.ungrouped)),
        flash_point_c=content.flash_point_c,
    )


def worst_ph(ph: tuple[float, float] | None) -> float | None:
    """Of two ends the one that corrodes; lye goes before acid, because it hurts unfelt."""
    return ph and (ph[1] if ph[1] >= BASE_FROM_PH else ph[0])


def brought_by_jars(given_up: Iterable[Hazards]) -> list[Step]:
    return [
        Step(
            text=Sentence("%(what)s, as it was in a jar given up into it") % {"what": CLASSES[id]},
            source=GIVEN_UP_SOURCE,
            gives=id,
        )
        for id in most_severe(id for each in given_up for id in each.every_class)
    ]


def still_warned_of(outdated: Iterable[OutdatedReading], region: str) -> Iterator[Step]:
    """What a test warned of stays until the whole is tested again: nobody knows that the rest has thinned it enough."""
    for each in outdated:
        of_test = mixture.classify((), regime_of(region), flash_point_c=each.flash_point_c, ph=worst_ph(each.ph))
        for id in of_test.classes:
            yield Step(
                text=Sentence("%(said)s %(hazard)s") % {"said": each.said, "hazard": CLASSES[id]},
                source=GIVEN_UP_SOURCE,
                gives=id,
            )


def classified_bath(standing: KnownBath, region: str, more: tuple[str, ...]) -> BathHazards:
    """more: classes that the crystals in it have besides, the more severe of each hazard counting."""
    if standing.strongest_g_per_l is None:
        missing = Sentence("how strong %(bath)s is: mix it, adopt it or read it") % {"bath": standing.bath}
        unread = replace(Hazards(regime=regime_of(region), needs_info=(missing,)), **AS_BATH)
        return BathHazards(now=unread, dried=unread)
    strongest_g_per_l, acid_g_per_l = min(standing.strongest_g_per_l, STRONGEST_G_PER_L), standing.most_acid_g_per_l
    percent = composition.rounded_up(composition.blue_percent(strongest_g_per_l))
    acid = composition.rounded_up(min(composition.acid_percent(acid_g_per_l or 0.0, strongest_g_per_l), 50.0))
    unsaid = (
        ()
        if standing.acid_is_said
        else (Sentence("whether there is acid in %(bath)s: ask, or read its pH") % {"bath": standing.bath},)
    )
    found = []
    # the label on the vessel holds for what the bath becomes, its summary for what it is
    for dried_off in (0, composition.DRIED_OFF):
        crystals, *others = composition.bath(percent, acid_percent=acid, dried_off=dried_off)
        crystals = replace(crystals, classes=most_severe((*crystals.known_classes, *more)))
        sours = list(composition.corrodes(acid_g_per_l or 0.0))
        mixed = classify_mixture((crystals, *others), region, brought=sours)
        groups = AS_BATH["storage_groups"] | ({"acid"} if sours else set())
        known = replace(mixed, **AS_BATH | {"storage_groups": groups})
        found.append(replace(known, needs_info=(*known.needs_info, *unsaid)))
    return BathHazards(
        now=found[0],
        dried=found[1],
        blue_percent=percent,
        dried_percent=composition.rounded_up(float(composition.dried_percent(percent))),
        acid_percent=acid if acid else None,
    )


def classify_mixture(
    ingredients: Sequence[Ingredient], region: str, *, brought: Sequence[Step] = (), **measured: float | None
) -> Hazards:
    """
    The label of whatever is made of these.

    brought: classes that came with something nobody knows the share of.
    measured: flash_point_c, boiling_point_c, ph, viscosity_mm2_per_s, each as measured on the mixture.
    """
    regime = regime_of(region)
    found = mixture.classify(ingredients, regime, **measured)
    # nobody knows how much of what was brought is left, so its classes are not thinned by the sums
    known = {step.gives for step in brought if step.gives}
    classes = [id for id in known if regime in CLASSES[id].regimes]
    aquatic = [id for id in known if left_out(regime) and id.startswith("aq_")]
    found = replace(
        found,
        classes=most_severe((*found.classes, *classes)),
        environment=most_severe((*found.environment, *aquatic)),
        working=(*found.working, *brought),
        needs_info=found.needs_info if ingredients else (Sentence("what it is made of"),),
    )
    return as_printed(found, regime)


def classify_composition(material: Material, regime: str) -> Hazards:
    """By what a material is made of and where it flashes, whoever sells it; without either, needs info."""
    parts = parts_of(material)
    if not parts and material.flash_point_c is None:
        return Hazards(
            regime=regime, needs_info=(Sentence("what it is made of, or the classes on its supplier's sheet"),)
        )
    # a substance on its own keeps its flash and boiling point; in a mixture neither is ever averaged
    alone = sold_alone(parts)
    if alone and material.flash_point_c is None:
        return by_name_alone(material, as_printed(composition.classify_as_sold(alone, regime), regime))
    ingredients = [
        replace(composition.ingredient_of(part.substance, percent, of_part=part.of_part), name=part.name)
        if part.is_known
        else Ingredient(part.name, percent)
        for part in parts
        for percent in [(part.low_percent, part.high_percent)]
    ]
    # what nobody names is an ingredient too: the whole of it
    ingredients = ingredients or [Ingredient(str(material), 100)]
    return by_name_alone(
        material, as_printed(mixture.classify(ingredients, regime, flash_point_c=material.flash_point_c), regime)
    )


def by_name_alone(material: Material, found: Hazards) -> Hazards:
    """A name is no sheet: whoever wrote nothing else down is asked, so that it never reads as clear."""
    if material.composition or material.bath_use or not parts_by_name(material):
        return found
    asked = Sentence("whether %(material)s is what its name says: what its sheet says it is made of")
    asked %= {"material": material}
    return replace(found, needs_info=(*found.needs_info, asked))


def parts_of(material: Material) -> list[Constituent]:
    """What it is made of as far as anybody wrote it down, said which bath salt it is, or named it after a substance."""
    written = list(material.constituents)
    if written:
        return written
    if material.bath_use not in SUBSTANCES:
        return parts_by_name(material)
    substance = SUBSTANCES[material.bath_use]
    least = 100 * material.purity
    return [Constituent(substance=substance.key, name=substance.name, low_percent=least, high_percent=100)]


def parts_by_name(material: Material) -> list[Constituent]:
    """
    What the name on the pack alone says; a solution of so much in water is water for the rest.

    >>> [str(part) for part in parts_by_name(Material(name="Hydrogen peroxide 35 %"))]
    ['hydrogen peroxide, over 12 % 35 %', 'water 65 %']
    """
    known = recognised(material.name)
    if known is None:
        return []
    low, high, water = known.low_percent, known.high_percent, SUBSTANCES["water"]
    named = Constituent(
        substance=known.substance.key,
        name=known.substance.name,
        of_part=known.of_part,
        low_percent=low,
        high_percent=high,
    )
    rest = Constituent(substance=water.key, name=water.name, low_percent=100 - high, high_percent=100 - low)
    return [named, rest] if known.of_part and low < 100 else [named]


def sold_alone(parts: Sequence[Constituent]) -> str:
    """The substance that a material is all of, where it is one."""
    return parts[0].substance if len(parts) == 1 and parts[0].low_percent == 100 and parts[0].is_known else ""


def labelled(material: Material, sheet: SupplierClasses | None, regime: str) -> Hazards:
    """
    As the supplier's sheet has it, whatever would be worked out; without one, as it is worked out.

    But for what harms fish: an American sheet need not say it, and the sum still does.
    """
    if sheet is None and is_article(material):
        return as_article(regime)
    computed = classify_composition(material, regime)
    if sheet is None:
        return computed
    # the sheet may name a milder aquatic class than the sum; the more severe of the two is told
    told = most_severe((*computed.environment, *sheet.classes))
    return Hazards(
        regime=regime,
        classes=sheet.classes,
        environment=tuple(id for id in told if id in computed.environment and id not in sheet.classes),
        signal_word=Sentence(sheet.signal_word),
        pictograms=tuple(sheet.pictograms),
        hazards=tuple(LabelStatement(code, Sentence(words)) for code, words in sheet.hazards),
        precautions=tuple(LabelStatement(code, Sentence(words)) for code, words in sheet.precautions),
        basis=_("the supplier’s sheet of %(day)s") % {"day": long_day(sheet.sheet_on)},
        supplier=sheet,
    )


def is_article(material: Material) -> bool:
    """Filed as a thing that keeps its shape, or nothing but pieces of metal; and nothing else is known of it."""
    if material.flash_point_c is not None or material.storage_group not in ("", "general"):
        return False
    parts = parts_of(material)
    metal = all(part.is_known and SUBSTANCES[part.substance].is_solid_metal for part in parts)
    rest = unnamed_percent(Ingredient(part.name, (part.low_percent, part.high_percent)) for part in parts)
    return metal and rest < mixture.UNKNOWN_FROM_PERCENT if parts else material.is_shaped


def as_article(regime: str) -> Hazards:
    return Hazards(regime=regime, is_article=True, basis=ARTICLE_BASIS, storage_groups=frozenset({GENERAL}))


def with_storage(material: Material, found: Hazards) -> Hazards:
    if found.is_article:
        return found
    parts = parts_of(material)
    substances = [SUBSTANCES[part.substance] for part in parts if part.is_known]
    alone = sold_alone(parts)
    of_substance = SUBSTANCES[alone].hazards.flash_point_c if alone else None
    flash_point_c = material.flash_point_c
    groups = storage_groups(
        substances=[substance.key for substance in substances], h_codes=found.codes, flash_point_c=flash_point_c
    )
    if material.storage_group:
        groups |= {material.storage_group}
    nobody_knows = not groups and found.word != NOT_CLASSIFIED
    if (
        nobody_knows
        and material.category == Material.Category.SOLVENTS
        and not found.supplier
        and flash_point_c is None
    ):
        # whoever filed it under solvents has said that it burns, until its sheet says otherwise
        groups = frozenset({FLAMMABLE})
    # advice turns on these, keeping apart does not
    handling = {word for substance in substances for word in substance.hazards.handling}
    if substances and all(substance.state == "solid" for substance in substances):
        handling.add(POWDER)
    if material.category == Material.Category.INK and material.dimension in ("mass", "volume"):
        handling.add(DRYING_OIL)
    return replace(
        found,
        storage_groups=groups,
        # water has no group and needs none; of anything else no group means that nobody has looked
        ungrouped=() if groups or found.word == NOT_CLASSIFIED else (str(material),),
        handling=frozenset(handling),
        flash_point_c=of_substance.value if flash_point_c is None and of_substance else flash_point_c,
    )


def raised(now: Iterable[str], *, over: Iterable[str]) -> tuple[str, ...]:
    """
    The classes that are new, or more severe than before.

    >>> raised(["eye_dam_1", "aq_chronic_2"], over=["eye_irrit_2", "aq_chronic_1"])
    ('eye_dam_1',)
    """
    before = set(over)
    return tuple(id for id in most_severe((*now, *before)) if id not in before)


def as_printed(found: Classification, regime: str) -> Hazards:
    label = mixture.label(found.classes, regime)
    basis = Sentence("the rules of %(regime)s for mixtures")
    if found.environment:
        basis = Sentence("the rules of %(regime)s for mixtures; water life by UN GHS")
    return Hazards(
        regime=regime,
        classes=found.classes,
        environment=found.environment,
        signal_word=label.signal_word,
        pictograms=label.pictograms,
        hazards=label_statements(label.h_codes, regime),
        precautions=label_statements(label.p_codes, regime),
        needs_info=found.needs_info,
        has_unknown_part=found.unclassified_percent >= mixture.UNKNOWN_FROM_PERCENT,
        working=found.working,
        supplemental=found.supplemental,
        defaults=found.defaults,
        basis=basis % {"regime": REGIMES[regime]},
    )


def label_statements(codes: Iterable[str], regime: str) -> tuple[LabelStatement, ...]:
    return tuple(LabelStatement(code, mixture.statement(code, regime)) for code in codes)
