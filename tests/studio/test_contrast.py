"""The contrast of every pair of tokens that the stylesheet sets together, by the system's light and by its dark."""

import re
from pathlib import Path

import pytest

from studio.drawing import charts

CSS = (Path(charts.__file__).parents[1] / "static" / "mordant.css").read_text()
BLOCKS = dict(
    zip(("light", "dark"), re.findall(r":root \{\s*(?:color-scheme[^;]*;)?(.*?)\n\s*\}", CSS, re.DOTALL), strict=False)
)
TOKENS = {light: dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", block)) for light, block in BLOCKS.items()}
GROUNDS = ("paper", "sheet")
# ruled lines and the bevel of a panel tell nothing that words or space do not tell as well: WCAG 2.2, 1.4.11
ORNAMENT = {"line", "rule"}
TEXT, LINE = 4.5, 3.0  # WCAG 2.2, 1.4.3 and 1.4.11


def luminance(colour):
    """WCAG 2.2, definition of relative luminance."""
    digits = "".join(each * 2 for each in colour[1:]) if len(colour) == 4 else colour[1:]
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in parts]
    return sum(share * each for share, each in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one, other):
    """
    >>> contrast("#000", "#fff")
    21.0
    """
    low, high = sorted((luminance(one), luminance(other)))
    return round((high + 0.05) / (low + 0.05), 2)


def pairs():
    """Ink and ground of each rule that sets its own ground; of the others every ink on both grounds of a page."""
    for _selector, rule in re.findall(r"([^{}]+)\{([^{}]*)\}", CSS):
        grounds = re.findall(r"background(?:-color)?: var\(--(\w+)\)", rule) or GROUNDS
        inks = re.findall(r"(?<![\w-])color: var\(--(\w+)\)", rule)
        lines = re.findall(r"(?:border|outline|box-shadow|text-decoration)[\w-]*: [^;]*var\(--(\w+)\)", rule)
        yield from ((ink, ground, TEXT) for ink in inks for ground in grounds)
        yield from ((line, ground, LINE) for line in lines for ground in GROUNDS if line not in ORNAMENT)


@pytest.mark.parametrize("light", TOKENS)
def test_every_pair_of_colours_can_be_told_apart(light):
    known = TOKENS[light]
    wanted = {(ink, ground, least) for ink, ground, least in pairs() if {ink, ground} <= known.keys() and ink != ground}

    measured = {pair: contrast(known[pair[0]], known[pair[1]]) for pair in wanted}
    weakest = min(measured.items(), key=lambda each: each[1] / each[0][2])
    print(f"\n{light}: {len(measured)} pairs, weakest {weakest}", end="")

    assert len(measured) > 20
    assert {pair: value for pair, value in measured.items() if value < pair[2]} == {}


def test_both_lights_have_the_same_tokens_and_the_rule_of_contrast_is_that_of_the_standard():
    assert TOKENS["light"].keys() == TOKENS["dark"].keys() and len(TOKENS["light"]) >= 12
    # black on white, and the grey that is quoted as the palest on white: WCAG 2.2, technique G18
    assert contrast("#000", "#fff") == 21 and contrast("#767676", "#fff") == 4.54
