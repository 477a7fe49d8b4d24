"""The living sheet: every component of the pages on one page, with invented figures and no database."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import django_tables2 as tables
from django import forms
from django.http import HttpResponse
from django.template import engines
from django.urls import path

from chemistry.working import Input, Working
from studio import urls
from studio.drawing import charts, qr
from studio.drawing.gauges import Jug, RulerScale
from studio.pages.fields import AmountField, NumberField
from studio.pages.quantities import Shown

NOW = datetime(2025, 8, 25, 14, 10, tzinfo=UTC)
PAGE = Path(__file__).with_name("sheet.html")

MONTHS = ["Sep", "Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug"]
USED_G = [90, 140, 180, 60, 0, 210, 160, 120, 250, 190, 70, 0]
STRENGTHS = [247, 248, 249, 251, 253, 246, 247, 249, 251, 252, 255, 247, 248, 250, 251, 253, 249, 250, 251, 252, 251]


def year() -> dict:
    """What a bath's year gives to draw: 60 points that climb as water dries off and drop at each top-up."""
    moments = [NOW - timedelta(days=6 * (59 - i)) for i in range(60)]
    points = [charts.Point(at, STRENGTHS[i % 21] + i / 20 + i % 3, 3 + i % 7) for i, at in enumerate(moments)]
    readings = [charts.ChartReading(at, value + i % 3 * 3 - 3, 7) for i, (at, value, _) in enumerate(points[::5])]
    readings.append(charts.ChartReading(moments[33], 228, 7, held_out=True))
    events = [charts.ChartEvent(at, "top up") for at in moments[5::6]]
    events += [charts.ChartEvent(moments[21], "crystals"), charts.ChartEvent(moments[40], "spill")]
    return {
        "points": points,
        "title": "Strength of Upright tank",
        "unit": "g/L",
        "readings": readings,
        "events": events,
        "bands": [charts.Band(220, 270, "working range")],
    }


class TopUpForm(forms.Form):
    water_l = NumberField(label="Water", low=0, high=14.5, unit="L", help_text="Litres, as your jug says.")
    crystals = AmountField(label="Blue crystals", dimension="mass", required=False, help_text="Such as 120 g.")
    bath = forms.ChoiceField(
        label="Which bath?", choices=[("a", "Upright tank"), ("b", "Small tank")], widget=forms.RadioSelect
    )
    jar = forms.ChoiceField(label="From which jar", choices=[("", "no jar"), ("A-17", "A-17 Copper sulfate, 555 g")])
    lid = forms.BooleanField(label="The lid goes back on", required=False)
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2}))


class SignedTopUpForm(TopUpForm):
    """Shows how a form that ends as an entry keeps who, when and note apart."""

    @property
    def content_fields(self):
        return [field for field in self.visible_fields() if field.name != "note"]

    @property
    def signature_fields(self):
        return [self["note"]]


class FilterForm(forms.Form):
    place = forms.ChoiceField(choices=[("", "any"), ("2", "Shelf 2")], required=False)
    low = forms.BooleanField(label="Low only", required=False)


class JarTable(tables.Table):
    caption = "What stands on the shelf"
    code = tables.Column(linkify=lambda record: f"/shelf/{record['code']}/")
    material = tables.Column()
    place = tables.Column()
    on_hand = tables.Column(verbose_name="On hand", attrs={"cell": {"class": "num"}})
    state = tables.Column(orderable=False)

    class Meta:
        order_by = "code"
        empty_text = "Nothing stands here yet."


def jar(code: str, material: str, place: str, on_hand: str, state: str) -> dict:
    return {"code": code, "material": material, "place": place, "on_hand": on_hand, "state": state}


JARS = [
    jar("A-17", "Copper sulfate, blue crystals", "Shelf 2", "555 g", "open"),
    jar("B-03", "Lacquer thinner", "Flammables cabinet", "180 mL", "past use-by"),
    jar("C-11", "Copper plate 9 × 12 in, 1.02 mm", "Plate rack", "4", "sealed"),
]


class Entry(SimpleNamespace):
    def __str__(self) -> str:
        return self.subject

    def get_absolute_url(self) -> str:
        return f"/book/{self.pk}/"


def entry(pk: int, who: str, subject: str, *, note: str = "", struck: bool = False) -> Entry:
    return Entry(
        pk=pk,
        done_by=who,
        subject=subject,
        happened_at=NOW - timedelta(days=pk, hours=pk),
        note=note,
        is_struck=struck,
        struck_by="Maren Oakes",
        struck_at=NOW,
        strike_reason="it was 0.26 L, not 2.6 L",
    )


class Message(str):
    """A message as the messages framework hands it to a page."""

    level_tag: str

    def __new__(cls, text: str, level_tag: str):
        message = super().__new__(cls, text)
        message.level_tag = level_tag
        return message


def context(request) -> dict:
    jars = JarTable(JARS)
    tables.RequestConfig(request, paginate={"per_page": 2}).configure(jars)
    typed = {"again-water_l": "1,5,0", "again-crystals": "a handful", "again-bath": "a"}
    return {
        "workshop": SimpleNamespace(name="Tallow Street Print Room", is_demo=True),
        "messages": [Message("Written: topped up Upright tank, 0.26 L of water.", "success")],
        "more_messages": [
            Message(
                "The hydrometer and the book are apart: 237 ± 8 read, 250 ± 5 by the book.",
                "warning",
            ),
            Message("Not written: the jar holds 180 mL.", "error"),
        ],
        "strength": Shown("251", "g/L", "6"),
        "volume": Shown("11.9", "L", "0.1"),
        "copper": Shown("760", "g", "20"),
        "jug": Jug(name="Upright tank", rim_l=14.5, volume_l=11.88, mark_l=12.14),
        "low_jug": Jug(name="Small tank", rim_l=4.8, volume_l=2.62, mark_l=3.9, crystals=True),
        "unread_jug": Jug(name="Spare tank", rim_l=10, volume_l=None),
        "rule": RulerScale(value=251, half_width=6, working=(220, 270), crystals_from=262),
        "high_rule": RulerScale(value=286, half_width=9, working=(180, 260), crystals_from=262),
        "unread_rule": RulerScale(value=None, working=(180, 260)),
        "baume_rule": RulerScale(
            value=19.6, half_width=0.4, working=(17.5, 21), crystals_from=20.4, unit="°Bé", decimals=1
        ),
        "working": Working(
            formula="strength = crystals / volume",
            inputs=(
                Input(name="crystals", value=2981.4, unit="g", sd=20),
                Input(name="volume", value=11.883, unit="L", sd=0.05),
            ),
            source="14 entries since the mix of 4 September; density: Laliberté 2009",
        ),
        "chart": charts.line(**year()),
        "columns": charts.columns(
            [charts.Column(*each) for each in zip(MONTHS, USED_G, USED_G, strict=True)],
            title="Blue crystals used",
            unit="g",
        ),
        "form": TopUpForm(initial={"bath": "a"}),
        "refused": SignedTopUpForm(typed, prefix="again"),
        "filter": FilterForm({"place": "2"}, prefix="filter"),
        "table": jars,
        "empty_table": JarTable([]),
        "entries": [
            entry(1, "Wren Adeyo", "used 2 pairs of gloves"),
            entry(2, "Jun Averell", "topped up Upright tank, 2.6 L", struck=True),
            entry(3, "Jun Averell", "topped up Upright tank, 0.26 L", note="Jug marks are a little off."),
        ],
        "facts": [("Tank", "14.5 L to the rim"), ("Stands", "on the bench, bay 2"), ("Supplier’s sheet", "")],
        "code": qr.svg("https://book.example.org/c/A-17", title="Code of container A-17"),
    }


def sheet(request) -> HttpResponse:
    request.user = SimpleNamespace(is_authenticated=True, get_username="maren")
    request.person, request.is_keyholder = "Maren Oakes", True
    return HttpResponse(engines["django"].from_string(PAGE.read_text()).render(context(request), request))


urlpatterns = [path("sheet/", sheet), *urls.urlpatterns]
