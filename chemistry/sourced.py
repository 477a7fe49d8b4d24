"""A value of the data files together with whoever says so."""

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact(Generic[T]):
    """
    A value and who says so; low and high bound its 95 % range where one is known.

    grade: how far the source was followed: read, secondary, computed, ours, common practice or from memory.
    """

    value: T
    source: str
    low: T | None = None
    high: T | None = None
    grade: str = "from memory"

    @property
    def is_default(self) -> bool:
        """Does it stand only until the supplier's own sheet replaces it?"""
        return self.grade in ("from memory", "common practice")
