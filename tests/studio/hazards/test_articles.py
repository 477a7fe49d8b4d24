"""A thing that keeps its shape has a short form of its own; what only looks like one has none."""

import pytest
from django.urls import reverse

from chemistry.hazards.advice import ARTICLE
from studio.hazards.classification import classify_material
from studio.safety import labels
from studio.safety.summaries import summary_of
from studio.waste import content, sources
from studio.waste.hazards import classify_drum
from studio.waste.labels import drum_label
from studio.waste.operations import DepositRequest
from tests.factories import MaterialFactory, signed, stocked
from tests.studio.safety.shop import constituent, copied
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db

COPPER, TAPES = "Copper sheet and plates", "Tapes and edge protection"
PADS, INK = "Abrasives and scrubbing", "Ink, wiping and post"
SOLID = [constituent("copper_metal_massive", 100, 100)]
THINGS = {
    "scouring pad": {"category": PADS, "dimension": "count", "shown_unit": "piece"},
    "wet-or-dry paper": {"category": PADS, "dimension": "count", "shown_unit": "sheet"},
    "sheet copper": {"category": COPPER, "dimension": "area", "shown_unit": "cm2"},
    "copper plates": {"category": COPPER, "dimension": "count", "shown_unit": "piece"},
    "copper offcuts": {"category": COPPER, "dimension": "mass", "shown_unit": "g"},
    "tin of solid copper": {"category": "Straining and containers", "dimension": "mass", "composition": SOLID},
    "tape": {"category": TAPES, "dimension": "length", "shown_unit": "m"},
    "proofing paper": {"category": INK, "dimension": "count", "shown_unit": "sheet"},
    "muslin": {"category": INK, "dimension": "length", "shown_unit": "m"},
    "gloves": {"category": "Gloves, eyes and lungs", "dimension": "count", "shown_unit": "pair"},
    "filter": {"category": "Straining and containers", "dimension": "count", "shown_unit": "piece"},
}
NO_THINGS = {
    "eyewash": {"category": "Gloves, eyes and lungs", "dimension": "count", "shown_unit": "bottle"},
    "tubes of ink": {"category": INK, "dimension": "count", "shown_unit": "piece"},
    "pumice": {"category": PADS, "dimension": "mass", "shown_unit": "g"},
    "wipes with degreaser": {"category": "Plate cleaners and degreasers", "dimension": "count", "shown_unit": "roll"},
    "balls of ground": {"category": "Grounds", "dimension": "count", "shown_unit": "piece"},
    "tape that flashes": THINGS["tape"] | {"flash_point_c": 40},
    "tape of toluene": THINGS["tape"] | {"composition": [constituent("toluene", 1, 5)]},
    "pad that burns": THINGS["scouring pad"] | {"storage_group": "flammable"},
    "copper powder": THINGS["copper offcuts"] | {"composition": [constituent("copper_metal_fine", 100, 100)]},
    "half copper": THINGS["copper offcuts"] | {"composition": [constituent("copper_metal_massive", 30, 50)]},
}
LONG = ("15 minutes", "other 100 %", "Treat it as hazardous", "needs info", "Nobody has said yet what")


def told(client, name, *args):
    return client.get(reverse(name, args=args)).content.decode()


def test_a_thing_has_a_short_form_on_every_surface(member, studio):
    for name, facts in THINGS.items():
        material = MaterialFactory(name=name, **facts)
        found, summary = classify_material(material, "eu"), summary_of(material, studio)
        page = told(member, "safety:open_material", material.pk)
        label = labels.label_of_material(material, studio, elements=labels.WORKPLACE)

        assert (found.word, found.level, found.needs_info, found.ungrouped) == ("solid piece", "", (), ()), name
        assert found.storage_groups == {"general"}
        assert "<b>Solid piece</b>" in page and not any(words in page for words in LONG), name
        assert label["is_article"] and not label["needs_info"] and not label["unknown"], name
        assert [line.text for line in summary.sections[0].lines] == [line.text for line in ARTICLE.lines]
        assert sum(len(section.lines) for section in summary.sections) <= 2 * len(ARTICLE.lines) + 1, name
        assert not summary.first.lines


def test_what_only_looks_like_a_thing_is_none():
    for name, facts in NO_THINGS.items():
        assert not classify_material(MaterialFactory(name=name, **facts), "eu").is_article, name


def test_what_its_supplier_classes_is_no_mere_thing():
    pad = MaterialFactory(**THINGS["scouring pad"])
    copied(pad, ("H228", "Flammable solid."), signal_word="Warning")

    assert classify_material(pad, "eu").codes == ("H228",)


def test_a_drum_of_solid_copper_is_a_thing_until_something_else_goes_in(member, studio):
    into = drum("cathode_copper", vessel="open_bin")
    put(into, grams=500)
    held = content.content_of_drum(into)
    page = told(member, "safety:open_drum", into.pk)

    assert drum_label(held, region="eu").hazards.word == "solid piece"
    assert "<b>Solid piece</b>" in page and not any(words in page for words in LONG)

    sheet = stocked("2 m", **THINGS["tape"])
    request = DepositRequest(drum=into, kind="cathode_copper")
    sources.discard(sheet, amount=sheet.on_hand, into=request, by=signed(2))
    assert classify_drum(content.content_of_drum(into), "eu").is_article
