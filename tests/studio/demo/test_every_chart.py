"""What holds for every chart of every page: units on the axis, stock from nought in steps, the figures in a table."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
import tinyhtml5
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.models import Container, Material, Person
from studio.baths.models import Bath
from studio.cathodes.models import Cathode
from studio.drawing import charts
from tests.studio.conftest import sign_in

pytestmark = pytest.mark.django_db

STUDIO = Path(charts.__file__).parents[1]
CALLED = re.compile(r"charts\.(?:line|columns)\b")
HTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"[\d.,]+")
# where each call ends up: the module that draws, and a page that shows it
DRAWN = {
    "baths/drawings.py": lambda: reverse("baths:bath", args=[Bath.objects.get(name="Upright tank").pk]),
    "baths/what_if.py": lambda: (
        reverse("baths:what_if", args=[Bath.objects.get(name="Upright tank").pk])
        + f"?lid_on=on&until={timezone.localdate() + timedelta(days=14)}"
    ),
    "bench/year.py": lambda: reverse("bench:year"),
    "cathodes/descriptions.py": lambda: reverse("cathodes:cathode", args=[Cathode.objects.earliest("pk").pk]),
    "orders/views/costs.py": lambda: reverse("orders:costs"),
    "orders/views/ordering.py": lambda: reverse(
        "orders:material", args=[Material.objects.get(name="Denatured alcohol").pk]
    ),
    "shelf/history.py": lambda: Container.objects.order_by("pk")[24].get_absolute_url(),
    "waste/views/months.py": lambda: reverse("waste:months"),
}


@pytest.fixture
def page(tallow_street):
    """A page of the demo, as elements."""
    browser = Client()
    sign_in(browser, Person.objects.get(account__username="maren"))
    return lambda path: tinyhtml5.parse(browser.get(path).content.decode())


def figures(page):
    return [each for each in page.iter(f"{HTML}figure") if each.get("class") == "chart"]


def drawing(figure):
    return next(svg for svg in figure.iter(f"{SVG}svg") if svg.get("role") == "img")


def strokes(figure, **attributes):
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [path.get("d") for path in drawing(figure).iter(f"{SVG}path") if wanted.items() <= path.attrib.items()]


def test_every_call_that_draws_has_its_page_here():
    calling = {
        str(path.relative_to(STUDIO))
        for path in STUDIO.rglob("*.py")
        if path.parent.name != "drawing" and CALLED.search(path.read_text())
    }

    assert calling == set(DRAWN)


def test_every_chart_has_its_unit_on_the_axis_and_its_figures_in_a_table(page):
    for module, address in DRAWN.items():
        shown = page(address())
        assert figures(shown), module
        for figure in figures(shown):
            svg = drawing(figure)
            unit, words = svg.find(f"{SVG}text").text, svg.find(f"{SVG}title").text
            assert unit and not NUMBER.fullmatch(unit) and unit in words, module
        rows = [row for table in shown.iter(f"{HTML}tbody") for row in table]
        assert len(rows) >= 2 * len(figures(shown)), module


def test_a_table_says_each_figure_with_its_unit_and_what_it_is_good_to(page):
    for module, address in DRAWN.items():
        shown = page(address())
        heads = " ".join(words for each in shown.iter(f"{HTML}th") for words in each.itertext())
        cells = " ".join(words for each in shown.iter(f"{HTML}td") for words in each.itertext())
        for figure in figures(shown):
            svg = drawing(figure)
            # above its column, or beside each figure
            assert svg.find(f"{SVG}text").text in heads + cells, module
            if strokes(figure, fill_opacity=".2"):
                # the last figure stands in the title, which a screen reader and a pointer are told
                assert "±" in cells and "±" in svg.find(f"{SVG}title").text, module
            if strokes(figure, stroke_dasharray="4 3"):
                assert re.search(r"\d to \d", cells), module
                assert re.search(r"\d to \d", svg.find(f"{SVG}desc").text), module


def test_what_is_added_up_or_stands_on_the_shelf_is_drawn_from_nought(page):
    for module in ("bench/year.py", "orders/views/costs.py", "orders/views/ordering.py", "shelf/history.py"):
        for figure in figures(page(DRAWN[module]())):
            lowest = drawing(figure).find(f"{SVG}g[@text-anchor='end']/{SVG}text")
            assert float(lowest.text) == 0 and lowest.get("y") == f"{charts.BOTTOM:.0f}", module


def test_stock_falls_in_steps(page):
    [figure] = figures(page(DRAWN["shelf/history.py"]()))

    [path] = strokes(figure, stroke_linejoin="round")
    assert re.fullmatch(r"M[\d.]+ [\d.]+(H[\d.]+V[\d.]+)+", path)


def test_what_is_not_known_exactly_is_drawn_as_a_range(page):
    for module in ("waste/views/months.py", "bench/year.py"):
        assert any(strokes(figure, stroke_dasharray="4 3") for figure in figures(page(DRAWN[module]()))), module
    for module in ("baths/drawings.py", "cathodes/descriptions.py"):
        [figure] = figures(page(DRAWN[module]()))
        [spread] = strokes(figure, fill_opacity=".2")
        assert len(spread) > 100, module


def test_the_rule_of_a_bath_carries_its_unit(page):
    shown = page(DRAWN["baths/drawings.py"]())

    [rule] = [each for each in shown.iter(f"{HTML}figure") if each.get("class") == "rulebar"]
    [last] = [text for text in rule.iter(f"{SVG}text") if text.get("text-anchor") == "end"]
    assert re.fullmatch(r"\d+\xa0g/L", last.text)
