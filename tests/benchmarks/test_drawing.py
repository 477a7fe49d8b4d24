"""What a paper costs above bare WeasyPrint on the same HTML, what forty labels cost, and what a chart costs."""

import gc
from time import process_time
from uuid import uuid4

import psutil
import pytest
from django.template import engines
from django.test import Client, RequestFactory
from django.urls import reverse
from weasyprint import HTML

from studio.drawing import charts
from studio.people.roles import MEMBER
from studio.printing import pdf, press
from tests.factories import MaterialFactory, PersonFactory, WorkshopFactory, stocked
from tests.studio import sheet
from tests.studio.conftest import sign_in

PAPER_RATIO, PAPER_MS = (1.2, 1.1), (400, 400)  # (floor, goal)
BOOKLET, BOOKLET_RATIO = 20, (1.2, 1.0)
LABELS, LABELS_S = 40, 2
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


def test_a_booklet_goes_at_the_speed_of_its_pages(table, tmp_path):
    html = PAPER.render({"title": "Upright tank"} | sheet.context(RequestFactory().get("/")))

    def joined():
        drawn = {}
        front, *parts = [pdf.render(html, page="A4", numbered_from=number, drawn=drawn) for number in range(BOOKLET)]
        pdf.print_joined(front, parts, tmp_path / "booklet.pdf")

    def alone():
        for _ in range(BOOKLET):
            pdf.print_alone(html, page="A4")

    rounds = [(timed_s(joined), timed_s(alone)) for _ in range(2)]

    joined_s, alone_s = (min(each) for each in zip(*rounds, strict=True))
    table.most(f"a booklet of {BOOKLET} papers, of the same printed alone", joined_s / alone_s, *BOOKLET_RATIO)


def with_the_press_s(run):
    """Processor time of this process and of the one that lays papers out."""
    run()  # the first one starts it
    process = psutil.Process(press.press.process.pid)
    began = process_time() + sum(process.cpu_times()[:2])
    run()
    return process_time() + sum(process.cpu_times()[:2]) - began


@pytest.mark.django_db
def test_forty_labels_are_laid_out_while_somebody_waits(table):
    WorkshopFactory()
    client, address = Client(), reverse("safety:label_material", args=[MaterialFactory(name="Whiting").pk])
    sign_in(client, PersonFactory(role=MEMBER))
    codes = [stocked("500 g").code for _ in range(LABELS)]
    chosen = {"size": "a8", "elements": "short", "copies": LABELS, "on_sheet": "on"}

    def stickers():
        return client.get(reverse("shelf:stickers"), {"stock": "a4-40", "start": 1, "codes": codes})

    def hazard_labels():
        return client.post(address, chosen | {"key": uuid4()}, follow=True)

    for what, act in {"stickers": stickers, "hazard labels": hazard_labels}.items():
        assert act().content.startswith(b"%PDF")
        table.most(f"{LABELS} {what}, s of processor time", with_the_press_s(act), LABELS_S)


def test_a_chart_of_a_year_is_quick_and_small(table):
    year = sheet.year()
    size = len(charts.line(**year).svg.encode())

    each_ms = min(timed_s(lambda: [charts.line(**year) for _ in range(50)]) for _ in range(6)) / 50 * 1e3

    table.most("a chart of a year, ms", each_ms, *CHART_MS)
    table.most("a chart of a year, bytes", size, *CHART_BYTES)
