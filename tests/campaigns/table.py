"""What a campaign prints."""

from collections.abc import Iterable, Sequence


def table(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    r"""
    >>> print(table(["what", "tries"], [["a full disk", 12], ["half a backup", 3]]))
    what          | tries
    ------------- | -----
    a full disk   | 12
    half a backup | 3
    """
    cells = [[str(cell) for cell in row] for row in [headings, *rows]]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    cells.insert(1, ["-" * width for width in widths])
    return "\n".join(" | ".join(map(str.ljust, row, widths)).rstrip() for row in cells)
