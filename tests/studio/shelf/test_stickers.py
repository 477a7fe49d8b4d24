"""Stickers come out of the press where the stock has them, and a phone can read them."""

from io import BytesIO

import numpy as np
import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from studio.shelf import operations
from tests.factories import signed, stocked

SHEET = reverse("shelf:stickers")
LONGEST = "Copper plate 12 x 18 in, 16 ga, polished, with a protective film on its back and rounded corners"
DPI = 100


def printed(client, address, **asked) -> bytes:
    response = client.get(address, asked)
    assert response["Content-Type"] == "application/pdf"
    return response.content


def pages(pdf):
    return pypdf.PdfReader(BytesIO(pdf)).pages


def codes(pdf: bytes, dpi: int = DPI):
    """What a phone reads on the first page, with where it reads it in mm."""
    with pypdfium2.PdfDocument(pdf) as document:
        picture = np.asarray(document[0].render(scale=dpi / 72).to_pil().convert("L"))
    found = zxingcpp.read_barcodes(picture)
    return {code.text: (code.position.top_left.x / dpi * 25.4, code.position.top_left.y / dpi * 25.4) for code in found}


def test_a_single_sticker_can_be_read_at_100_dpi(member):
    jar = stocked("500 g", name=LONGEST)

    pdf = printed(member, reverse("shelf:sticker", args=[jar.code]))

    assert list(codes(pdf)) == ["http://testserver" + reverse("safety:open_container", args=[jar.code])]
    assert len(pages(pdf)) == 1
    assert [round(float(side) / 72 * 25.4) for side in pages(pdf)[0].mediabox[2:]] == [70, 37]


@pytest.mark.parametrize(
    ("stock", "start", "column_mm", "row_mm"),
    [
        ("a4-24", 5, (70, 140), (37.5, 74.5)),
        ("a4-40", 6, (52.5, 105), (29.7, 59.4)),
        ("letter-20", 4, (110.3, 212), (38.1, 63.5)),
        ("letter-30", 5, (74.6, 141.4), (38.1, 63.5)),
    ],
)
def test_a_sheet_begins_at_the_first_free_sticker(member, stock, start, column_mm, row_mm):
    jar = stocked("500 g", name=LONGEST)

    pdf = printed(member, SHEET, stock=stock, start=start, codes=jar.code)

    ((x_mm, y_mm),) = codes(pdf).values()
    assert column_mm[0] < x_mm < column_mm[1]
    assert row_mm[0] < y_mm < row_mm[1]


@pytest.mark.parametrize(("stock", "full"), [("a4-24", 24), ("a4-40", 40), ("letter-20", 20), ("letter-30", 30)])
def test_a_full_sheet_is_one_page_and_every_code_is_read(member, stock, full):
    jars = [stocked("500 g", name=f"{LONGEST} {number}") for number in range(full + 1)]

    pdf = printed(member, SHEET, stock=stock, start=1, codes=[jar.code for jar in jars])

    assert len(pages(pdf)) == 2
    opened = {"http://testserver" + reverse("safety:open_container", args=[jar.code]) for jar in jars[:full]}
    assert set(codes(pdf)) == opened


def test_one_sticker_too_many_goes_on_the_next_sheet(member):
    jars = [stocked("500 g") for _ in range(2)]

    pdf = printed(member, SHEET, stock="a4-24", start=24, codes=[jar.code for jar in jars])

    assert [jar.code in page.extract_text() for jar, page in zip(jars, pages(pdf), strict=True)] == [True, True]


def test_a_sticker_says_when_it_was_opened_and_until_when_it_keeps(member):
    jar = stocked("500 g", name="Lacquer thinner", opened_months=12)
    operations.open_it(jar, by=signed(3))

    words = " ".join(pages(printed(member, reverse("shelf:sticker", args=[jar.code])))[0].extract_text().split())

    assert all(said in words for said in (jar.code, "Lacquer thinner", "Opened 5 Mar 2026", "Use by 5 Mar 2027"))


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"start": "25"}, "start", "There are 24 stickers"),
        ({"start": "0"}, "start", "greater than or equal to 1"),
        ({"codes": "dragon"}, "codes", "dragon is not one of the available choices"),
        ({"stock": "dragon"}, "stock", "not one of the available choices"),
    ],
)
def test_stickers_that_cannot_be_printed_are_refused(member, typed, field, sentence):
    jar = stocked("500 g")

    response = member.get(SHEET, {"stock": "a4-24", "start": "1", "codes": jar.code} | typed)

    assert sentence in response.context["form"].errors[field][0]


def test_codes_that_no_other_machine_can_follow_are_said_so(member, settings):
    jar = stocked("500 g")
    pages = [(SHEET, "The code on them"), (jar.get_absolute_url(), "The code on sticker and label")]

    for page, words in pages:
        assert f"{words} opens on this machine only" in member.get(page, headers={"host": "localhost"}).content.decode()

    settings.PUBLIC_URL = "https://book.example"
    for page, _ in pages:
        assert "on this machine only" not in member.get(page, headers={"host": "localhost"}).content.decode()


def test_choosing_stickers_asks_the_database_little(member, django_assert_max_num_queries):
    for number in range(20):
        stocked("500 g", name=f"Material no. {number}")

    with django_assert_max_num_queries(10):
        member.get(SHEET)


def test_an_empty_shelf_needs_no_stickers(member):
    assert "Nothing stands on the shelf" in member.get(SHEET).content.decode()


def test_strangers_print_no_stickers(stranger):
    assert stranger.get(SHEET).status_code == 302
