"""What a paper costs above bare WeasyPrint on the same HTML, and what a chart costs."""

import gc
from time import perf_counter

import pytest
from django.template import engines
from django.test import RequestFactory
from weasyprint import HTML

from studio.drawing import charts
from studio.printing import pdf
from tests.studio import sheet

PAPER_FLOOR, PAPER_GOAL = 1.3, 1.1
CHART_FLOOR_MS, CHART_GOAL_MS = 1.0, 0.5
CHART_FLOOR_BYTES, CHART_GOAL_BYTES = 8_000, 6_000
PAPER = engines["django"].from_string(
    '{% extends "print.html" %}{% block content %}'
    '{% include "components/chart.html" with chart=chart table="open" only %}'
    '{% include "components/facts.html" %}{% endblock %}'
)

pytestmark = pytest.mark.benchmark_ratio


def timed_s(run):
    gc.collect()  # a document leaves cycles behind, which would be cleared away on the next one's time
    started = perf_counter()
    run()
    return perf_counter() - started


def say(capsys, words):
    with capsys.disabled():
        print(f"\n{words}")


def test_a_paper_costs_little_more_than_its_bare_html(capsys):
    facts = {"title": "Upright tank"} | sheet.context(RequestFactory().get("/"))
    html = PAPER.render(facts)

    def bare():
        document = HTML(string=html, base_url=pdf.OWN_FILES, url_fetcher=pdf.fetcher)
        document.write_pdf(stylesheets=pdf.styles("A4"), font_config=pdf.fonts, pdf_variant="pdf/ua-1")

    def ours():
        pdf.press(PAPER.render(facts), page="A4")

    # turn and turn about, so that whatever else the machine does falls on both
    rounds = [(timed_s(bare), timed_s(ours)) for _ in range(6)]

    bare_s, ours_s = (min(each) for each in zip(*rounds, strict=True))
    cost = f"{ours_s * 1e3:.0f} ms, {ours_s / bare_s:.2f} times bare WeasyPrint"
    say(capsys, f"a paper: {cost} (floor {PAPER_FLOOR}, goal {PAPER_GOAL})")
    assert ours_s / bare_s <= PAPER_FLOOR


def test_a_chart_of_a_year_is_quick_and_small(capsys):
    year = sheet.year()
    size = len(charts.line(**year).svg.encode())

    each_ms = min(timed_s(lambda: [charts.line(**year) for _ in range(50)]) for _ in range(6)) / 50 * 1e3

    say(capsys, f"a chart of a year: {each_ms:.2f} ms (floor {CHART_FLOOR_MS}, goal {CHART_GOAL_MS})")
    say(capsys, f"a chart of a year: {size:,} bytes (floor {CHART_FLOOR_BYTES:,}, goal {CHART_GOAL_BYTES:,})")
    assert each_ms <= CHART_FLOOR_MS
    assert size <= CHART_FLOOR_BYTES
