"""Our own drawings of the nine symbols of UN GHS: a red square set on a point, a black symbol on white (1.4.10.4.2)."""

import re
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from django.template.loader import render_to_string

from chemistry.hazards.labels import PICTOGRAMS
from studio.printing.pdf import print_alone

DOTS = 400  # across one sign


def drawn(code: str) -> str:
    return render_to_string("components/pictogram.html", {"code": code, "name": PICTOGRAMS[code]})


@pytest.fixture(scope="module")
def printed():
    """Each sign as it comes off the press, in red, green and blue from 0 to 255."""
    page = "<!doctype html><html lang='en'><title>Signs</title><body class='hazard-label a6'>{}</body></html>"

    def of(code):
        with pypdfium2.PdfDocument(BytesIO(print_alone(page.format(drawn(code)), page="A4"))) as document:
            picture = np.asarray(document[0].render(scale=DOTS / 32 * 25.4 / 72).to_pil().convert("RGB")).astype(int)
        marked = np.argwhere(picture.min(axis=2) < 250)
        (top, left), (bottom, right) = marked.min(axis=0), marked.max(axis=0)
        return picture[top : bottom + 1, left : right + 1]

    return {code: of(code) for code in PICTOGRAMS}


def from_the_middle(sign):
    """How far out each dot lies: 0 in the middle, 1 on the outer edge of the square on its point."""
    height, width = sign.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width]
    return abs(rows - height / 2) / (height / 2) + abs(columns - width / 2) / (width / 2)


@pytest.mark.parametrize("code", PICTOGRAMS)
def test_a_sign_is_named_aloud(code):
    assert re.search(rf"<svg [^>]*>\s*<title>Hazard pictogram: {PICTOGRAMS[code]}</title>", drawn(code))


@pytest.mark.parametrize("code", PICTOGRAMS)
def test_the_frame_is_red_and_dark_enough_for_a_grey_copy(printed, code):
    sign = printed[code]
    edge = sign[abs(from_the_middle(sign) - 0.95) < 0.015]

    red, green, blue = np.median(edge, axis=0)
    assert red > 180 and green < 60 and blue < 60
    assert 0.299 * red + 0.587 * green + 0.114 * blue < 110  # ITU-R BT.601: white is 255


@pytest.mark.parametrize("code", PICTOGRAMS)
def test_the_symbol_is_black_and_stays_inside_the_frame(printed, code):
    sign = printed[code]
    black = sign.max(axis=2) < 60

    assert from_the_middle(sign)[black].max() < 0.9
    assert 0.03 < black.mean() < 0.25


def test_no_two_symbols_are_alike(printed):
    blacks = [(sign.max(axis=2) < 60)[: DOTS - 10, : DOTS - 10] for sign in printed.values()]

    assert all((one != other).mean() > 0.03 for n, one in enumerate(blacks) for other in blacks[:n])


@pytest.mark.parametrize(("size", "least_mm"), [("a5", 32), ("a6", 23), ("a7", 10), ("a8", 10)])
def test_the_sides_of_a_sign_are_as_long_as_its_label_asks(size, least_mm):
    """CLP Annex I, Table 1.3: labels for 500 L, 50 L and 3 L; along the square itself, not along the box around it."""
    body = f"<body class='hazard-label {size}'>{drawn('GHS02')}</body>"
    page = f"<!doctype html><html lang='en'><title>Sign</title>{body}</html>"
    with pypdfium2.PdfDocument(BytesIO(print_alone(page, page="A4"))) as document:
        picture = np.asarray(document[0].render(scale=DOTS / 72).to_pil().convert("L"))

    rows = np.flatnonzero((picture < 250).any(axis=1))
    side_mm = (rows[-1] - rows[0] + 1) / DOTS * 25.4 / 2**0.5
    assert side_mm >= least_mm - 25.4 / DOTS
