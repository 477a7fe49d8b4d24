"""Facts of each substance, every one with its source; read from data/substances.toml."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from chemistry.sulfate import BLUE_CRYSTALS_G_PER_MOL, COPPER_G_PER_MOL

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Generic[T]):
    """A value and who says so; low and high bound its 95 % range where one is known."""

    value: T
    source: str
    low: T | None = None
    high: T | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """What is known of a substance. None needs info: it never means nought or none."""

    key: str
    name: str
    formula: str
    copper_atoms: int = 0
    is_copper_sulfate: bool = False
    appearance: Fact[str] | None = None
    cas: Fact[str] | None = None
    molar_mass_g_per_mol: Fact[float] | None = None
    density_g_per_ml: Fact[float] | None = None
    bulk_density_g_per_ml: Fact[float] | None = None

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
        if self.molar_mass_g_per_mol is None:
            return None
        return BLUE_CRYSTALS_G_PER_MOL / self.molar_mass_g_per_mol.value


def _read(path: Path) -> Mapping[str, Substance]:
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    sources: dict[str, str] = tables["sources"]

    def fact(entry: dict[str, Any]) -> Fact[Any]:
        return Fact(value=entry["v"], source=sources[entry["source"]], low=entry.get("low"), high=entry.get("high"))

    def substance(key: str, entries: dict[str, Any]) -> Substance:
        facts: dict[str, Any] = {
            name: fact(entry) if isinstance(entry, dict) else entry for name, entry in entries.items()
        }
        return Substance(key=key, **facts)

    return MappingProxyType({key: substance(key, entries) for key, entries in tables["substances"].items()})


SUBSTANCES = _read(Path(__file__).parent / "data" / "substances.toml")
