"""Names as people remember them: a search that finds nothing looks for what is spelled nearly like it."""

from collections.abc import Iterable
from difflib import SequenceMatcher

NEAR = 0.72  # so that one slip in a short word or two in a long one still finds it: ours, no source
SHORTEST = 3
MOST_NAMES = 5000


def nearly(typed: str, names: Iterable[tuple[int, str]]) -> list[int]:
    """
    The keys of names in which every typed word has one that is spelled nearly like it.

    >>> nearly("laquer thiner", [(1, "Lacquer thinner"), (2, "Low-odour mineral spirit")])
    [1]
    """
    # a word of two letters is nearly like half of the shelf
    wanted = [word for word in typed.casefold().split() if len(word) >= SHORTEST]
    if not wanted:
        return []
    return [
        key
        for key, name in names
        if all(any(are_alike(word, other.strip(",.()")) for other in name.casefold().split()) for word in wanted)
    ]


def are_alike(one: str, other: str) -> bool:
    matcher = SequenceMatcher(None, one, other, autojunk=False)
    # the quick bounds first: most words differ in their letters alone
    return matcher.real_quick_ratio() >= NEAR and matcher.quick_ratio() >= NEAR and matcher.ratio() >= NEAR
