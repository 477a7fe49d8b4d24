"""Every form of the house, opened in studios that differ in units, marks and order: what each asks for, and in what."""

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from unittest.mock import patch

import pytest
from django import forms
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.test import Client
from django.urls import reverse

from chemistry import locale
from inventory.models import Material
from studio.pages.fields import AmountField, MeasuredField, NumberAndUnit, ThicknessField
from studio.people.roles import KEYHOLDER
from studio.printing import pdf
from studio.workshop.models import Workshop
from studio.workshop.regions import METRIC, USUAL
from tests.factories import PersonFactory, adopted, bitten, stocked
from tests.studio.conftest import sign_in
from tests.studio.controls import amounts, controls
from tests.studio.demo.test_american_units import AS_KEPT_THERE, MONTHS, shown
from tests.studio.demo.test_american_units import METRIC as METRIC_WORDS
from tests.test_access import addresses_of, one_of_everything, thrown_away

pytestmark = [pytest.mark.django_db, pytest.mark.units]

SWISS = METRIC | {"numbers": "12’345.6", "currency": "CHF"}
STUDIOS: dict[str, dict[str, str]] = {
    "American": {"region": "us", **USUAL[Workshop.Region.US]},
    "British": {"region": "gb", **USUAL[Workshop.Region.GB]},
    "British by the pint": {"region": "gb", **USUAL[Workshop.Region.GB], "volume": "gal", "mass": "lb"},
    "French": {"region": "eu", **USUAL[Workshop.Region.EU]},
    "German": {"region": "eu", **USUAL[Workshop.Region.EU], "numbers": "12.345,6"},
    "Swiss": {"region": "elsewhere", **SWISS},
}
POURED = "fl oz|pt|qt|gal"
OF_EACH = {
    "American": {"mass": "oz|lb", "volume": POURED, "length": "in|ft", "area": "in2", "content": "oz/gal"},
    "metric": {"mass": "g|kg", "volume": "mL|L", "length": "cm|m", "area": "cm2", "content": "g/L"},
    "imperial": {"volume": "|".join(f"imp {unit}" for unit in POURED.split("|")), "content": "oz/imp gal"},
}
OF_EACH["imperial"] = OF_EACH["American"] | OF_EACH["imperial"]
BY_THE_PINT = OF_EACH["metric"] | {name: OF_EACH["imperial"][name] for name in ("mass", "volume", "content")}
# what a studio types itself, and what is offered beside it
OWN_AND_OTHER = {
    "American": (OF_EACH["American"], OF_EACH["metric"]),
    "British": (OF_EACH["metric"], OF_EACH["imperial"]),
    "British by the pint": (BY_THE_PINT, OF_EACH["imperial"] | OF_EACH["metric"] | {"length": "in|ft", "area": "in2"}),
    **dict.fromkeys(("French", "German", "Swiss"), (OF_EACH["metric"], OF_EACH["American"])),
}
METRIC_UNIT = {"mass": "g", "area": "cm2"}
WITHOUT_DIMENSION = {"cup", "%", "mol/L", "SG", "°Bé"}
MARK = {"French": ",", "German": ","}
MONTH_FIRST = re.compile(rf"\b(?:{MONTHS}) \d{{1,2}}\b(?!\d|:)")
DAY_FIRST = re.compile(rf"\b\d{{1,2}} (?:{MONTHS})\b")
EXAMPLE = re.compile(
    r"\b(?:[Ss]uch as|empty for|better than|scale:|From) (?:[\d.,]+ \w+ = )?([\d.,]+)"
    r"[ \u00a0](?:fl oz|gal|mL|L|oz|lb|g|in|cm|mm)\b"
)
# printed on a hydrometer; what laboratories report; what a cup is; the settings, which name all that can be chosen
IN_ITS_OWN_UNIT = re.compile(
    r"^(?:20|15) °C$|m?g/(?:L|kg)|, mg in a |^metric cups|^14:30$|^28 November 2026$|^(?:grams|milli|square|degrees)"
)
# before there is a studio, and nobody's name goes out here: neither asks for a figure
ASKS_FOR_NO_FIGURE = {"FirstWorkshopForm", "BeginForm", "NameOutForm"}


@dataclass
class Opened:
    """What the forms of one studio show before anybody types: by address, and in base units by form and field."""

    pages: dict[str, str] = field(default_factory=dict)
    initials: dict[tuple[str, str, str], Any] = field(default_factory=dict)
    asked: set[type] = field(default_factory=set)


@pytest.fixture(scope="module")
def opened(django_db_setup, django_db_blocker) -> Iterator[dict[str, Opened]]:
    cache.clear()
    with django_db_blocker.unblock(), thrown_away():
        addresses = every_address()
        client = Client()
        sign_in(client, PersonFactory(role=KEYHOLDER))
        found = {}
        for name, settings in STUDIOS.items():
            QuerySet(Workshop).update(**settings)
            for dimension, setting in (("mass", "lb"), ("area", "in²")):
                # whichever of its own a studio keeps a thing in
                kept = (
                    AS_KEPT_THERE[METRIC_UNIT[dimension]] if settings[dimension] == setting else METRIC_UNIT[dimension]
                )
                QuerySet(Material).filter(dimension=dimension).update(shown_unit=kept)
            cache.clear()
            found[name] = forms_of(client, addresses)
            # what asks for nothing in one studio asks for nothing in another
            addresses = {address: path for address, path in addresses.items() if address in found[name].pages}
        yield found


def every_address() -> dict[str, str]:
    known = one_of_everything()
    bath, copper = known["baths"]["pk"], stocked("30x40 cm", dimension="area", shown_unit="cm2", thickness_um=1291)
    over, cathode = bitten(adopted(name="Second tank"), at=3), known["cathodes"]["pk"]
    known |= {f"waste:{page}": {"pk": bath} for page in ("strain", "take_out")}
    known |= {"waste:strip": {"pk": cathode}, "bites:put_right": {"bite": over.pk}}
    known |= {f"shelf:{page}": {"code": copper.code} for page in ("cut", "weigh")}
    known["bites:put_right"] |= {name: known["bites"][name] for name in known["bites"] if name != "bite"}
    addresses = {name: path for name, path in addresses_of(known).items() if not name.endswith("sign_out")}
    return addresses | {"a tank and its bath": reverse("baths:adopt")}


def forms_of(client, addresses) -> Opened:
    found = Opened()
    real = forms.BaseForm.__init__
    for name, path in addresses.items():
        made: list[forms.BaseForm] = []

        def kept(form, *args, made=made, **kwargs):
            made.append(form)
            real(form, *args, **kwargs)

        with patch.object(forms.BaseForm, "__init__", kept), patch.object(pdf, "print_alone", return_value=b""):
            response = client.get(path)
        if response.streaming:
            list(response.streaming_content)
        if response.status_code != 200 or not response.headers["Content-Type"].startswith("text/html"):
            continue
        found.asked |= {type(form) for form in made}
        if not any(is_figure(each) for form in made for each in form.fields.values()):
            continue
        found.pages[name] = response.content.decode()
        with locale.override(response.wsgi_request.workshop.units):
            for form in made:
                for each, value in initials(form):
                    found.initials[name, type(form).__name__, f"{form.prefix or ''} {each}"] = value
    return found


def is_figure(asked: forms.Field) -> bool:
    return isinstance(asked, MeasuredField | AmountField) or isinstance(asked.widget, NumberAndUnit)


def initials(form) -> Iterator[tuple[str, Any]]:
    """What each field shows, read back as if it had been typed."""
    for name, asked in form.fields.items():
        if not is_figure(asked):
            continue
        shown = form[name].value()
        if isinstance(asked.widget, NumberAndUnit):
            shown = list(asked.widget.decompress(shown))
            shown = shown if shown[0] else None
        if shown in (None, ""):
            continue
        try:
            yield name, asked.clean(shown)
        except ValidationError as error:
            yield name, f"{shown}: {error.messages}"


def kind_of(unit: str, kinds: dict[str, str]) -> str:
    return next((kind for kind, names in kinds.items() if unit in names.split("|")), "")


def faults_of_list(name: str, offered: list[str]) -> list[str]:
    own, other = OWN_AND_OTHER[name]
    unknown = [unit for unit in offered if not kind_of(unit, own) and not kind_of(unit, other)]
    faults = [f"{unit} is offered" for unit in unknown if unit not in WITHOUT_DIMENSION]
    others = [place for place, unit in enumerate(offered) if not kind_of(unit, own) and kind_of(unit, other)]
    owns = [place for place, unit in enumerate(offered) if kind_of(unit, own)]
    if owns and others and min(others) < max(owns):
        faults.append("another unit stands before one of its own")
    if owns and not others:
        faults.append("who measures otherwise finds no unit")
    return faults


@pytest.mark.parametrize("name", STUDIOS)
def test_each_list_of_units_begins_with_the_studios_own_and_has_the_others(opened, name):
    faults, lists = defaultdict(list), 0
    for page, html in opened[name].pages.items():
        for number, unit in amounts(html):
            lists += 1
            for fault in faults_of_list(name, [value for value, _ in unit.options]):
                faults[fault].append(f"{page} {number.name}")

    kept_in = [
        [value for value, _ in each.options]
        for page in ("shelf:new_material", "shelf:change_material")
        for each in controls(opened[name].pages[page])
        if each.name == "shown_unit"
    ]
    own = {unit for names in OWN_AND_OTHER[name][0].values() for unit in names.split("|")}
    assert [next(unit for unit in units if unit != "mg") in own for units in kept_in] == [True, True]
    assert lists > 100
    assert dict(faults) == {}


@pytest.mark.parametrize("name", STUDIOS)
def test_what_stands_in_a_field_is_in_a_unit_of_the_studios_own(opened, name):
    own, _ = OWN_AND_OTHER[name]
    shown = {
        f"{page} {number.name}": unit.chosen
        for page, html in opened[name].pages.items()
        for number, unit in amounts(html)
        if number.value
    }

    assert len(shown) > 5
    assert {where: unit for where, unit in shown.items() if not kind_of(unit, own)} == {}


@pytest.mark.parametrize("name", [name for name in STUDIOS if name != "French"])
def test_what_stands_in_a_field_is_the_same_amount_in_every_studio(opened, name):
    there = opened["French"].initials
    here = opened[name].initials

    assert len(here) > 60
    assert here.keys() == there.keys()
    assert {key: (value, there[key]) for key, value in here.items() if not is_alike(value, there[key])} == {}


def is_alike(one: Any, other: Any) -> bool:
    one, other = (getattr(each, "amount", getattr(each, "litres", each)) for each in (one, other))
    if isinstance(one, str) or isinstance(other, str):
        return False
    if isinstance(one, int | float) and isinstance(other, int | float):
        # what was rounded for a page, and no more
        return one == pytest.approx(other, rel=0.02, abs=0.06)
    return type(one) is type(other)


@pytest.mark.parametrize("name", STUDIOS)
def test_numbers_and_days_stand_there_as_the_studio_writes_them(opened, name):
    wrong = {}
    is_in_groups = r"(?!\d{1,3}(?:\.\d{3})+(?!\d))" if name == "German" else ""
    foreign = re.compile(
        rf"(?<![\d.]){is_in_groups}\d+\.\d+(?![\d.])" if MARK.get(name) else r"(?<![\d,])\d+,\d{1,2}(?!\d)"
    )
    day = DAY_FIRST if STUDIOS[name]["dates"] == "month" else MONTH_FIRST
    for page, html in opened[name].pages.items():
        typed = [each.value for each in controls(html) if each.kind in ("text", "textarea")]
        typed += [words for each in controls(html) for _, words in each.options]
        metric = []
        if name == "American":
            lists = [unit for _, unit in amounts(html)] + [each for each in controls(html) if each.name == "shown_unit"]
            units = {words for unit in lists for _, words in unit.options}
            choices = {words for each in controls(html) for _, words in each.options} - units
            metric = [words for words in filter(METRIC_WORDS.search, choices) if not IN_ITS_OWN_UNIT.search(words)]
        if found := [*filter(foreign.search, typed), *day.findall(shown(html)), *metric]:
            wrong[page] = found

    assert wrong == {}


@pytest.mark.parametrize("name", STUDIOS)
def test_an_example_is_a_round_figure_in_every_studio(opened, name):
    examples = {
        (page, example) for page, html in opened[name].pages.items() for example in EXAMPLE.findall(shown(html))
    }

    assert len({example for _, example in examples}) > 4
    assert {(page, example) for page, example in examples if len(example.strip("0.,").replace(".", "")) > 2} == set()


def test_every_form_that_asks_for_a_figure_is_opened(opened):
    asked = set().union(*(each.asked for each in opened.values()))
    opened_or_base = {base for each in asked for base in each.__mro__}
    lacking = {
        each.__name__
        for each in subclasses(forms.BaseForm)
        if each.__module__.startswith("studio") and each not in opened_or_base and not subclasses(each)
        if any(map(is_figure, each.base_fields.values()))
    }

    assert lacking - ASKS_FOR_NO_FIGURE == set()


def subclasses(of: type) -> set[type]:
    return {each for direct in of.__subclasses__() for each in (direct, *subclasses(direct))}


def test_a_thickness_is_asked_by_one_field_that_knows_gauges_and_ounces():
    asked = {
        f"{each.__name__}.{name}": type(asked)
        for each in subclasses(forms.BaseForm)
        if each.__module__.startswith("studio")
        for name, asked in each.base_fields.items()
        if "thickness" in name and not isinstance(asked, forms.ChoiceField)
    }

    assert len(asked) >= 3
    assert set(asked.values()) == {ThicknessField}
