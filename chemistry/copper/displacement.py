"""What a copper bath does to metals other than copper, current or none. data/metals.toml"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemistry import data_files

COPPER_V = 0.34  # Cu2+ / Cu, standard potential, from the Gibbs energy of the ion: CRC Handbook in chemicals 1.5.2
PIECES = ("plate", "sheet", "foil", "strip", "mesh", "wool", "offcut", "cut-off", "scrap", "cathode", "anode")


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherMetal:
    """
    A metal that a studio may take for copper's place, and what happens to it in a copper bath.

    volts: its standard potential; below that of copper it is displaced without any current. [V]
    words, but: how it is called, and by which words it is another thing after all.
    """

    id: str
    name: str
    what: str
    source: str
    grade: str
    words: tuple[str, ...]
    but: tuple[str, ...] = ()
    volts: float | None = None

    @property
    def is_displaced(self) -> bool:
        return self.volts is not None and self.volts < COPPER_V

    def is_named_in(self, text: str) -> bool:
        """As a material: any of its words suffices."""
        return found_in(self.words, text) and not found_in(self.but, text)

    def is_the_piece_in(self, text: str) -> bool:
        """As a title: a print may be called Iron bridge, so the word stands beside that of a piece, or alone."""
        alone = re.fullmatch(rf"(?:{'|'.join(self.words)})(?:\W+\w{{0,3}})?", text.strip(), re.IGNORECASE)
        return self.is_named_in(text) and bool(alone or found_in(PIECES, text))


def found_in(words: tuple[str, ...], text: str) -> bool:
    """
    Whether any of the words stands in a text by itself.

    >>> found_in(("zinc", "tin"), "Zinc plate"), found_in(("tin",), "painting")
    (True, False)
    """
    return bool(words) and bool(re.search(rf"\b(?:{'|'.join(words)})\b", text, re.IGNORECASE))


METALS: Mapping[str, OtherMetal] = MappingProxyType(
    {
        id: OtherMetal(id=id, **entry | {name: tuple(entry.get(name, ())) for name in ("words", "but")})
        for id, entry in data_files.read("metals", decimals=float)["metals"].items()
    }
)


def metal_of_material(name: str) -> OtherMetal | None:
    """
    The metal that a material is sold as.

    >>> metal_of_material("Zinc sheet 1 mm").name
    'zinc'
    >>> metal_of_material("Copper sheet, 18 ga")
    """
    return next((metal for metal in METALS.values() if metal.is_named_in(name)), None)


def metal_of_piece(name: str) -> OtherMetal | None:
    """
    The metal that somebody calls a plate or a cathode by.

    >>> metal_of_piece("Old steel sheet").name
    'steel'
    >>> metal_of_piece("Iron bridge at dusk")
    >>> metal_of_piece("Stainless steel sheet")
    """
    return next((metal for metal in METALS.values() if metal.is_the_piece_in(name)), None)
