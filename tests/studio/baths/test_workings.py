"""A figure and its working come from one call: the sum redone from what the page shows is the figure."""

import re
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from chemistry.locale import NARROW_NO_BREAK
from tests.factories import adopted
from tests.formulas import redo

BATHS = {
    "covered": {},
    "dried, in a cold room": {"strength_g_per_l": 285, "lid_on": False, "coldest_c": 6, "volume_l": 9},
    "weak and open": {"strength_g_per_l": 160, "lid_on": False},
    "stronger than the tables": {"strength_g_per_l": 345, "lid_on": False},
}


class Workings(HTMLParser):
    """Reads what stands under each question of a page: the formula, and the inputs by name."""

    def __init__(self):
        super().__init__()
        self.found, self.place = [], ""

    def handle_starttag(self, tag, attrs):
        if tag == "details" and dict(attrs).get("class") == "working":
            self.found.append({"summary": "", "formula": "", "dt": [], "dd": []})
        self.place = "formula" if dict(attrs).get("class") == "formula" else tag
        if self.found and tag in ("dt", "dd"):
            self.found[-1][tag].append("")

    def handle_endtag(self, tag):
        self.place = ""

    def handle_data(self, data):
        if self.found and self.place in ("summary", "formula"):
            self.found[-1][self.place] += data
        if self.found and self.place in ("dt", "dd"):
            self.found[-1][self.place][-1] += data


def workings(html: str) -> list[tuple[str, str, dict[str, float]]]:
    parser = Workings()
    parser.feed(html.partition("</main>")[0])
    return [(each["summary"], each["formula"], inputs(each)) for each in parser.found if each["formula"]]


def inputs(shown: dict) -> dict[str, float]:
    numbers = [re.match(r"-?[\d.]+(e[+-]?\d+)?", given.replace(NARROW_NO_BREAK, "")) for given in shown["dd"]]
    return {name: float(number[0]) for name, number in zip(shown["dt"], numbers, strict=True) if number}


def figure_of(summary: str) -> tuple[float, float]:
    """The figure in the unit of the sum, and half of its last digit."""
    number = re.search(r"[:(] ?(-?\d+(?:\.\d+)?)(?!.*\()", summary.replace(NARROW_NO_BREAK, ""))[1]
    # a figure whose spread reaches the tens is rounded to them
    noughts = 0 if "." in number else len(number) - len(number.rstrip("0"))
    decimals = len(number.partition(".")[2]) - noughts
    return float(number), 0.5 * 10**-decimals


@pytest.mark.parametrize("bath", BATHS.values(), ids=BATHS)
@pytest.mark.parametrize("strength", ["g/L", "°Bé"])
def test_every_figure_of_the_page_can_be_redone_from_what_it_shows(member, studio, today, bath, strength):
    studio.strength = strength
    studio.save_base()
    today(3)

    html = member.get(reverse("baths:bath", args=[adopted(**bath).pk])).content.decode()

    found = workings(html)
    assert len(found) >= 3
    for summary, formula, given in found:
        figure, last_digit = figure_of(summary)
        assert redo(formula, given) == pytest.approx(figure, abs=last_digit * 1.1, rel=1e-3), summary


def test_a_figure_in_the_studios_unit_is_said_in_the_unit_of_its_sum_too(member, studio, today):
    studio.strength, studio.temperature = "°Bé", "°F"
    studio.save_base()
    today(3)

    html = member.get(reverse("baths:bath", args=[adopted().pk])).content.decode()

    summaries = [summary for summary, _, _ in workings(html)]
    assert "Strength: 19.0 ± 0.6 °Bé (240 ± 10 g/L)" in summaries
    assert "Crystals fall out below: 41 ± 4 °F (5 ± 2 °C)" in summaries
