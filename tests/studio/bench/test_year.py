"""Twelve months at one look."""

from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from studio.baths import operations as baths
from studio.bench.year import year_until
from tests.factories import adopted, day, signed

pytestmark = pytest.mark.django_db

MM_PER_POINT = 25.4 / 72


def topped_up(bath, days, litres):
    baths.top_up(bath, water_l=litres, salt=[], by=signed(days))


def test_each_bath_has_its_own_drawing_and_a_row_shares_its_scale(studio, today):
    today(40)
    small, large = adopted(name="Small tank"), adopted(name="Large tank", volume_l=8)
    topped_up(small, 2, 0.2)
    topped_up(large, 35, 1.5)

    year = year_until(day(40))

    water = year.measures[-1]
    assert [chart.title for chart in water.charts] == ["Small tank", "Large tank"]
    assert [chart.rows[month][1] for chart in water.charts for month in (-2, -1)] == ["0.2", "0.0", "0.0", "1.5"]
    assert water.total == "1.7 L"


def test_of_many_baths_the_rest_is_one_drawing(studio, today):
    today(3)
    for number in range(5):
        topped_up(adopted(name=f"Tank {number}"), 2, 0.1 * (number + 1))

    water = year_until(day(3)).measures[-1]

    assert [chart.title for chart in water.charts] == ["Tank 0", "Tank 1", "3 other baths"]
    assert water.charts[-1].rows[-1][1] == "1.2"


def test_a_struck_line_counts_no_more_and_an_old_one_not_yet(studio, today):
    today(400)
    topped_up(adopted(name="Small tank"), 2, 0.2)

    assert year_until(day(400)).measures == []


@pytest.mark.parametrize(("page", "height_mm"), [("", 297), ("A3", 420), ("nonsense", 297)])
def test_it_hangs_on_a_wall_on_one_sheet(member, today, page, height_mm):
    today(3)
    topped_up(adopted(name="Small tank"), 2, 0.2)

    pdf = pypdf.PdfReader(BytesIO(member.get(reverse("bench:year_paper"), {"page": page}).content))

    [sheet] = pdf.pages
    assert float(sheet.mediabox.height) * MM_PER_POINT == pytest.approx(height_mm, abs=0.2)
    assert "Water filled up, L" in sheet.extract_text() and "Small tank" in sheet.extract_text()


def test_an_empty_year_says_so(member):
    assert "No bath was used in these months." in member.get(reverse("bench:year")).content.decode()
