"""Etched hatching as path data. Drawn line by line, it needs no pattern, no id and no style, on a page or in a PDF."""

from math import ceil

from chemistry.measured import digits


def upright(left: float, right: float, top: float, bottom: float, *, every: float) -> str:
    """The fine hatch of what is as it should be."""
    height, count = bottom - top, int((right - left) / every)
    if not count:
        return ""
    return f"M{left + every / 2:.1f} {top:.1f}v{height:.1f}" + f"m{digits(every)} {-height:.1f}v{height:.1f}" * (
        count - 1
    )


def level(left: float, right: float, top: float, bottom: float, *, every: float) -> str:
    """Still water, counted from its floor so that a rising level does not shift the lines."""
    # the last line would lie on the surface and double its stroke
    count = ceil((bottom - top) / every) - 1
    return f"M{left:.1f} {bottom:.1f}" + f"m0 {digits(-every)}h{right - left:.1f}m{left - right:.1f} 0" * count


def crossed(left: float, right: float, top: float, bottom: float, *, every: float) -> str:
    """The cross-hatch of what must be acted on, cut off at the edges of its box."""
    height = bottom - top
    strokes = []
    for i in range(ceil((right - left + height) / every)):
        foot = left - height + i * every
        start, stop = max(left, foot), min(right, foot + height)
        if stop > start:
            strokes.append(f"M{start:.1f} {bottom - start + foot:.1f}L{stop:.1f} {bottom - stop + foot:.1f}")
            strokes.append(f"M{start:.1f} {top + start - foot:.1f}L{stop:.1f} {top + stop - foot:.1f}")
    return "".join(strokes)
