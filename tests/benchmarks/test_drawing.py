"""What a paper costs above bare WeasyPrint on the same HTML, and what a chart costs."""

import gc
from time import process_time

import pytest
from django.template import engines
from django.test import RequestFactory
from weasyprint import HTML

from studio.drawing import charts
from studio.printing import pdf
from tests.studio import sheet

PAPER_RATIO, PAPER_MS = (1.2, 1.1), (400, 400)  # (floor, goal)
CHART_MS, CHART_BYTES = (1.0, 0.5), (8_000, 6_000)
PAPER = engines["django"].from_string(
    '{% extends "print.html" %}{% block content %}'
    '{% include "components/chart.html" with chart=chart table="open" only %}'
    '{% include "components/facts.html" %}{% endblock %}'
)

pytestmark = pytest.mark.benchmark_ratio


def timed_s(run):
    gc.collect()  # a document leaves cycles behind, which would be cleared away on the next one's time
    started = process_time()
    run()
    return process_time() - started


def test_a_paper_costs_little_more_than_its_bare_html(table):
    facts = {"title": "Upright tank"} | sheet.context(RequestFactory().get("/"))
    html = PAPER.render(facts)

    def bare():
        document = HTML(string=html, base_url=pdf.OWN_FILES, url_fetcher=pdf.fetcher)
        sheets = [pdf.paper_css, pdf.page_css("A4", 1.0)]
        document.write_pdf(stylesheets=sheets, font_config=pdf.fonts, pdf_variant=pdf.VARIANT)

    def ours():
        pdf.print_alone(PAPER.render(facts), page="A4")

    # turn and turn about, so that whatever else the machine does falls on both
    rounds = [(timed_s(bare), timed_s(ours)) for _ in range(6)]

    bare_s, ours_s = (min(each) for each in zip(*rounds, strict=True))
    table.most("a paper, ms of processor time", ours_s * 1e3, *PAPER_MS)
    table.most("a paper, of bare WeasyPrint", ours_s / bare_s, *PAPER_RATIO)


def test_a_chart_of_a_year_is_quick_and_small(table):
    year = sheet.year()
    size = len(charts.line(**year).svg.encode())

    each_ms = min(timed_s(lambda: [charts.line(**year) for _ in range(50)]) for _ in range(6)) / 50 * 1e3

    table.most("a chart of a year, ms", each_ms, *CHART_MS)
    table.most("a chart of a year, bytes", size, *CHART_BYTES)
