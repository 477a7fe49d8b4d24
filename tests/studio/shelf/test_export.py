"""The shelf as a spreadsheet, and a search that forgives spelling."""

from io import BytesIO

import openpyxl
import pytest
from django.urls import reverse

from studio.shelf import operations
from tests.factories import signed, stocked

CSV, XLSX, SHELF = (reverse(f"shelf:{name}") for name in ("export_csv", "export_xlsx", "shelf"))


@pytest.fixture
def jars(db):
    thinner = stocked("1250 g", name="Lacquer thinner")
    operations.open_it(thinner, by=signed(3))
    return thinner, stocked("3", name="=1+1 gloves", dimension="count", shown_unit="pair")


def test_the_shelf_is_handed_out_as_csv(member, jars):
    rows = b"".join(member.get(CSV).streaming_content).decode("utf-8-sig").splitlines()

    assert rows[0] == "Material,Code,Category,Place,Left,Unit,Opened,Use by,State"
    thinner = next(row for row in rows if row.startswith("Lacquer thinner"))
    assert ',1250.0,g,2026-03-05,,"open, sheet not on file"' in thinner


def test_the_shelf_is_handed_out_as_a_workbook_in_which_numbers_are_numbers(member, jars):
    sheet = openpyxl.load_workbook(BytesIO(member.get(XLSX).content)).active

    found = {row[0]: row for row in sheet.iter_rows(min_row=2, values_only=True)}
    assert found["Lacquer thinner"][4:6] == (1250, "g")
    assert found["'=1+1 gloves"][4:6] == (3, "pairs")


def test_only_what_the_filter_leaves_is_handed_out(member, jars):
    rows = b"".join(member.get(CSV, {"text": "lacquer"}).streaming_content).decode().splitlines()

    assert len(rows) == 2


@pytest.mark.parametrize("typed", ["laquer", "Lacquer thiner", "LAKQUER", "thinnner"])
def test_a_slip_of_spelling_still_finds(member, jars, typed):
    assert "Lacquer thinner</a>" in member.get(SHELF, {"text": typed}).content.decode()


@pytest.mark.parametrize("typed", ["dragon", "zz", "x" * 80])
def test_what_is_nothing_like_it_finds_nothing(member, jars, typed):
    found = member.get(SHELF, {"text": typed}).content.decode()

    assert "Lacquer thinner</a>" not in found


@pytest.mark.parametrize("address", [CSV, XLSX])
def test_strangers_take_no_list_away(stranger, address):
    assert stranger.get(address).status_code == 302
