"""
Facts of each substance, every one with its source, and by which names a studio or a sheet means it.

data/substances.toml, data/names.toml
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, NamedTuple

from chemistry import data_files
from chemistry.solution import sulfate
from chemistry.solution.sulfate import COPPER_G_PER_MOL
from chemistry.sourced import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstanceHazards:
    """
    What is known of a substance's hazards as it is sold. None needs info: it never means that there is none.

    classes: ids of data/classes.toml; an empty tuple says that it is known not to be classified.
    stricter: classes we add to those.
    ate: acute toxicity estimate by route, in mg/kg and mg/L; "above" stands for above every category.
    specific_limits: (class id, from percent of the active part), before the generic limits. [%]
    active_percent: how much of that part is in what is sold. [%]
    euh: statements that CLP adds to its classes.
    adds_up: False for what acts on its own on skin and eye: acids, bases, inorganic salts.
    ph: in water; it prompts a measurement and classifies nothing.
    keeps_copper_dissolved: soda ash does not bring copper down in its company.
    stands_in: why the product's own sheet is needed before these figures can be trusted.
    handling: words of data/advice.toml for how it behaves, beside its storage groups. gloves: of what they are made.
    exposure_limits: in the air at a workplace, by whoever sets them: osha, niosh, eu, gb; an empty one was looked for.
    advice: what holds for it and for no other of its class.
    us_differs: what a sheet or a rule of the US says otherwise.
    """

    classes: Fact[tuple[str, ...]] | None = None
    stricter: Fact[tuple[str, ...]] | None = None
    ate: Mapping[str, Fact[float | str]] = field(default_factory=dict)
    m_acute: Fact[int] | None = None
    m_chronic: Fact[int] | None = None
    specific_limits: Fact[tuple[tuple[str, float], ...]] | None = None
    active_percent: Fact[float] | None = None
    euh: Fact[tuple[str, ...]] | None = None
    adds_up: Fact[bool] | None = None
    flash_point_c: Fact[float] | None = None
    boiling_point_c: Fact[float] | None = None
    viscosity_mm2_per_s: Fact[float] | None = None
    ph: Fact[float] | None = None
    is_scrap_metal: Fact[bool] | None = None
    keeps_copper_dissolved: Fact[bool] | None = None
    stands_in: Fact[str] | None = None
    us_differs: Fact[tuple[str, ...]] | None = None
    storage_groups: Fact[tuple[str, ...]] | None = None
    keep_from: Fact[tuple[str, ...]] | None = None
    handling: tuple[str, ...] = ()
    gloves: Fact[str] | None = None
    exposure_limits: Mapping[str, Fact[tuple[str, ...]]] = field(default_factory=dict)
    advice: tuple[Fact[str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """What is known of a substance. None needs info: it never means nought or none."""

    key: str
    name: str
    formula: str
    state: str = ""
    copper_atoms: int = 0
    is_copper_sulfate: bool = False
    appearance: Fact[str] | None = None
    cas: Fact[str] | None = None
    molar_mass_g_per_mol: Fact[float] | None = None
    density_g_per_ml: Fact[float] | None = None
    bulk_density_g_per_ml: Fact[float] | None = None
    hazards: SubstanceHazards = SubstanceHazards()

    @property
    def is_solid_metal(self) -> bool:
        """Pieces of metal, which nothing comes off as they stand; powder is none."""
        return self.hazards.is_scrap_metal is not None and self.hazards.is_scrap_metal.value

    @property
    def copper_share(self) -> float | None:
        """
        Grams of copper in a gram.

        >>> round(SUBSTANCES["copper_sulfate_pentahydrate"].copper_share, 4)
        0.2545
        """
        if not self.copper_atoms:
            return 0.0
        if self.molar_mass_g_per_mol is None:
            return None
        return self.copper_atoms * COPPER_G_PER_MOL / self.molar_mass_g_per_mol.value

    @property
    def blue_crystals_per_g(self) -> float | None:
        """
        Grams of blue crystals that bring a bath as much copper sulfate as a gram of this; nought for anything else.

        >>> round(SUBSTANCES["copper_sulfate_anhydrous"].blue_crystals_per_g, 4)
        1.5644
        """
        if not self.is_copper_sulfate:
            return 0.0
        return None if self.waters is None else sulfate.blue_per_gram(self.waters)

    @property
    def waters(self) -> float | None:
        """
        Waters of crystallisation to one copper sulfate, by its molar mass.

        >>> [SUBSTANCES[f"copper_sulfate_{hydrate}"].waters for hydrate in ("pentahydrate", "monohydrate", "anhydrous")]
        [5, 1, 0]
        """
        if not self.is_copper_sulfate or self.molar_mass_g_per_mol is None:
            return None
        water_g = self.molar_mass_g_per_mol.value - sulfate.ANHYDROUS_G_PER_MOL
        return round(water_g / sulfate.CRYSTAL_WATER_G_PER_MOL)


def frozen(value: Any) -> Any:
    """
    >>> frozen([1, [2]])
    (1, (2,))
    """
    return tuple(map(frozen, value)) if isinstance(value, list) else value


def fact_of(entry: Any, sources: Mapping[str, Mapping[str, str]]) -> Any:
    """
    A fact, the facts of a table or a list, or a word that needs no source.

    >>> sources = {"book": {"title": "A handbook", "grade": "read"}}
    >>> fact_of({"v": 80, "source": "book"}, sources).source, fact_of("above", sources)
    ('A handbook', 'above')
    """
    if isinstance(entry, list):
        return tuple(fact_of(inner, sources) for inner in entry)
    if not isinstance(entry, dict):
        return entry
    if "v" not in entry:
        return MappingProxyType({name: fact_of(inner, sources) for name, inner in entry.items()})
    source = sources[entry["source"]]
    return Fact(
        value=frozen(entry["v"]),
        source=source["title"],
        low=entry.get("low"),
        high=entry.get("high"),
        grade=source["grade"],
    )


TABLES = data_files.read("substances", decimals=float)
SUBSTANCES: Mapping[str, Substance] = MappingProxyType(
    {
        key: Substance(key=key, **{**facts, "hazards": SubstanceHazards(**facts.get("hazards", {}))})
        for key, entries in TABLES["substances"].items()
        for facts in [fact_of(entries, TABLES["sources"])]
    }
)


class Recognised(NamedTuple):
    """
    What a name on a pack or a sheet means.

    low_percent, high_percent: of the substance as it is sold; with of_part, of what is dissolved in that.
    """

    substance: Substance
    of_part: bool = False
    low_percent: float = 100.0
    high_percent: float = 100.0


def as_named(name: str) -> str:
    """
    As names are compared, however they were typed.

    >>> as_named("  Sulphuric  Acid, "), as_named("Acétone"), as_named("Cire d’abeille")
    ('sulphuric acid', 'acetone', 'cire dabeille')
    """
    letters = unicodedata.normalize("NFKD", name.casefold().replace("\u2019", "").replace("'", ""))
    return " ".join("".join(each for each in letters if not unicodedata.combining(each)).split()).strip(" ,;:")


def active_share(substance: Substance) -> float:
    """
    Per cent of the dissolved part in what is sold; what is no solution is all of it. [%]

    Source: data/substances.toml, which names its own.

    >>> active_share(SUBSTANCES["water"])
    100.0
    """
    active = substance.hazards.active_percent
    return 100.0 if active is None else active.value


NAMES = data_files.read("names")
SOLD_AS: Mapping[str, Substance] = MappingProxyType(
    {
        as_named(name): substance
        for key, substance in SUBSTANCES.items()
        for name in (substance.name, *NAMES.get(key, {}).get("sold", ()))
    }
)
# where two solutions have one name or number, the stronger counts: too strict, never too mild
PARTS: Mapping[str, Substance] = MappingProxyType(
    {
        as_named(name): substance
        for substance in sorted(SUBSTANCES.values(), key=active_share)
        for name in (substance.cas.value if substance.cas else "", *NAMES.get(substance.key, {}).get("part", ()))
        if name
    }
)
STRENGTH = re.compile(r"(?P<name>.+?)[\s,]+(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(?P<high>\d+(?:[.,]\d+)?))?\s*%")


def recognised_part(name: str) -> Recognised | None:
    """
    What a line of a supplier's sheet means: the dissolved part where it has a name or number of its own.

    >>> part = recognised_part("7722-84-1")
    >>> part.substance.name, part.of_part
    ('hydrogen peroxide, over 12 %', True)
    >>> recognised_part("Household bleach").of_part
    False
    """
    asked = as_named(name)
    if asked in PARTS:
        return Recognised(PARTS[asked], of_part=PARTS[asked].hazards.active_percent is not None)
    return Recognised(SOLD_AS[asked]) if asked in SOLD_AS else None


def recognised(name: str) -> Recognised | None:
    """
    What the name on a pack means; with a strength in it, that much of the dissolved part.

    >>> recognised("Muriatic acid").substance.key
    'hydrochloric_acid'
    >>> peroxide = recognised("Hydrogen peroxide 35 %")
    >>> peroxide.of_part, peroxide.low_percent, peroxide.high_percent
    (True, 35.0, 35.0)
    >>> recognised("Acetone-free remover")
    """
    asked = as_named(name)
    if asked in SOLD_AS:
        return Recognised(SOLD_AS[asked])
    told = STRENGTH.fullmatch(asked)
    part = recognised_part(told["name"]) if told else None
    if told is None or part is None:
        return None
    low = float(told["low"].replace(",", "."))
    high = float((told["high"] or told["low"]).replace(",", "."))
    return part._replace(low_percent=low, high_percent=high) if 0 < low <= high <= 100 else None
