"""What everybody in a room where copper is etched must know before they begin. data/room.toml"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.advice import Advice


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    title: str
    lines: tuple[Advice, ...]


SECTIONS: Mapping[str, Section] = MappingProxyType(
    {
        id: Section(title=entry["title"], lines=tuple(Advice(**line) for line in entry["lines"]))
        for id, entry in data_files.read("room")["sections"].items()
    }
)
