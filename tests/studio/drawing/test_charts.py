import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

import pytest

from studio.drawing import charts
from studio.drawing.charts import Band, ChartEvent, ChartReading, Column, Point
from tests.studio import sheet

START = datetime(2025, 1, 1, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(points, **facts):
    return charts.line(points, title="Strength", unit="g/L", **facts)


def on(day, value, half_width=0.0):
    return Point(START + timedelta(days=day), value, half_width)


def paths(chart, **attributes):
    """The path data of the strokes with these attributes."""
    root = ElementTree.fromstring(f'<div xmlns="http://www.w3.org/2000/svg">{chart.svg}</div>')
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [path.get("d") for path in root.iter(f"{SVG}path") if wanted.items() <= path.attrib.items()]


def line_of(chart):
    (line,) = paths(chart, stroke="#12557f", fill="none")
    return line


def corners(path):
    return [tuple(map(float, pair)) for pair in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)]


def test_the_line_runs_from_the_first_moment_to_the_last():
    (first, middle, last) = corners(line_of(drawn([on(0, 240), on(15, 250), on(30, 260)])))

    assert (first[0], last[0]) == (charts.LEFT, charts.RIGHT)
    assert middle == ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)


def test_a_stronger_bath_is_drawn_higher():
    weak, strong = corners(line_of(drawn([on(0, 240), on(30, 260)])))

    assert strong[1] < weak[1]


def test_the_band_is_twice_as_high_as_what_stands_after_the_plus_minus():
    chart = drawn([on(0, 240, 10), on(30, 240, 20)], bands=[Band(200, 300, "working range")])

    (spread,) = paths(chart, fill="#12557f")
    upper_left, upper_right, lower_right, lower_left = corners(spread)
    assert lower_right[1] - upper_right[1] == pytest.approx(2 * (lower_left[1] - upper_left[1]), abs=0.2)


def test_a_gap_breaks_the_line():
    chart = drawn([on(0, 240), on(5, 241), None, on(20, 250), on(30, 251)])

    assert line_of(chart).count("M") == 2


def test_a_held_out_reading_is_drawn_hollow():
    at = START + timedelta(days=10)
    chart = drawn([on(0, 240), on(30, 250)], readings=[ChartReading(at, 228, 7, held_out=True)])

    (hollow,) = paths(chart, stroke="#fff")
    (dots,) = paths(chart, stroke_width="7")
    assert hollow == dots != ""


def test_the_legend_names_only_what_is_drawn():
    chart = drawn([on(0, 240), on(30, 250)], events=[ChartEvent(START, "spill"), ChartEvent(START, "spill")])

    assert [words for _, words in chart.legend] == ["by the book", "spilled"]


def test_an_unknown_kind_of_event_is_refused():
    with pytest.raises(KeyError, match="boil"):
        drawn([on(0, 240)], events=[ChartEvent(START, "boil")])


def test_the_words_say_where_the_bath_stands_and_where_it_has_been():
    chart = drawn([on(0, 240), on(10, 262), on(30, 251, 6)], bands=[Band(220, 270, "working range")])

    assert chart.desc == (
        "251 ± 6 g/L on 31 Jan 2025; 240 on 1 Jan 2025; between them lowest 240, highest 262; working range 220 to 270."
    )


def test_the_table_has_every_figure_latest_first():
    chart = drawn(
        [on(0, 240), on(30, 251, 6)], readings=[ChartReading(START + timedelta(days=9), 228, 7, held_out=True)]
    )

    assert chart.rows == [
        ("31 Jan 2025", "251 ± 6", ""),
        ("10 Jan 2025", "", "228 ± 7, held out"),
        ("1 Jan 2025", "240", ""),
    ]


def test_a_single_point_can_be_drawn():
    assert corners(line_of(drawn([on(0, 250)])))[0][0] == (charts.LEFT + charts.RIGHT) / 2


def test_a_chart_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one point"):
        drawn([None])


def test_a_name_typed_by_somebody_cannot_become_markup():
    chart = charts.line([on(0, 250)], title="<script>Tank & co", unit="g/L")

    assert "&lt;script&gt;Tank &amp; co" in chart.svg and "<script>" not in chart.svg


def test_a_year_fits_in_six_kilobytes():
    assert len(charts.line(**sheet.year()).svg.encode()) <= 6_000


def month(name, low, high=None):
    return Column(name, low, low if high is None else high)


def test_columns_stand_on_the_axis_as_high_as_their_figures():
    chart = charts.columns([month("Jan", 50.0), month("Feb", 100.0), month("Mar", 0.0)], title="Used", unit="g")

    (columns,) = paths(chart, stroke="#12557f", fill="none")
    tops = [charts.BOTTOM - float(top) for top in re.findall(r"V([\d.]+)h", columns)]
    assert tops == pytest.approx([tops[1] / 2, tops[1], 0])
    assert chart.desc == "150 g in all, from Jan to Mar."
    assert chart.legend == ()


def test_a_range_is_a_column_with_the_rest_of_it_left_open():
    chart = charts.columns([month("Jan", 2.0, 4.0), month("Feb", 3.0)], title="Waste", unit="kg", decimals=1)

    (solid,) = paths(chart, stroke="#12557f", fill="none", stroke_width="1.5")[:1]
    (opened,) = paths(chart, stroke_dasharray="4 3")
    low = charts.BOTTOM - float(re.findall(r"V([\d.]+)h", solid)[0])
    high = charts.BOTTOM - float(re.findall(r"V([\d.]+)h", opened)[0])
    assert high == pytest.approx(2 * low, abs=0.2) and opened.count("M") == 1
    assert chart.rows == [("Jan", "2.0 to 4.0"), ("Feb", "3.0")]
    assert chart.desc == "5.0 to 7.0 kg in all, from Jan to Feb."
    assert [words for _, words in chart.legend] == ["at least", "at most"]


def test_drawings_beside_each_other_share_a_scale():
    alone, beside = (charts.columns([month("Jan", 50.0)], title="Used", unit="g", most=most) for most in (0, 100))

    tops = [float(re.findall(r"V([\d.]+)h", paths(each, fill="none")[0])[0]) for each in (alone, beside)]
    assert charts.BOTTOM - tops[0] == pytest.approx(2 * (charts.BOTTOM - tops[1]), rel=0.3)


def test_stock_falls_in_steps_from_nought():
    chart = drawn([on(0, 560), on(10, 460), on(30, 460)], is_stock=True)

    path = line_of(chart)
    (start, first, last) = (
        float(path.split("V")[0].split(" ")[1].split("H")[0]),
        *map(float, re.findall(r"V([\d.]+)", path)),
    )
    assert re.fullmatch(r"M[\d.]+ [\d.]+(H[\d.]+V[\d.]+){2}", path)
    assert start < first == last
    assert '<text x="46" y="220" dy="4">0</text>' in chart.svg


@pytest.mark.parametrize("forbidden", ["style", "var(", "currentColor", " id=", "<script", "<!--", "{#"])
def test_a_drawing_carries_nothing_that_a_strict_page_or_a_pdf_refuses(forbidden):
    columns = charts.columns([month("Jan", 50.0, 60.0)], title="Used", unit="g")

    assert forbidden not in charts.line(**sheet.year()).svg + columns.svg
