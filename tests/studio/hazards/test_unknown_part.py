"""Nothing is pure because nobody wrote otherwise: what nobody names is said on every surface."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader

from chemistry.hazards.advice import SECTIONS
from chemistry.hazards.substances import SUBSTANCES
from inventory import book, facts
from inventory.models import Material
from studio.hazards.classification import classify_material
from studio.safety import chemical_list, labels, public_pages
from studio.safety.folder import Folder
from studio.safety.summaries import summary_of
from tests.factories import MaterialFactory, PlaceFactory, signed, stocked
from tests.studio.safety.shop import constituent, copied, made_of

pytestmark = pytest.mark.django_db


def careful(section):
    """What may be said of the unknown; where one rule speaks alone, also what stands before it because it is worse."""
    last = max((place for place, rule in enumerate(section.rules) if rule.unknown), default=-1)
    rules = section.rules[: last + 1]
    return {said.text for rule in rules if rule.unknown or not section.takes_all for said in rule.says}


CAREFUL = {section.title: careful(section) for section in SECTIONS.values() if careful(section)}


@pytest.fixture
def shelf(studio):
    """A jar of every substance, of which no more than a tenth of what is in it is named."""
    place = PlaceFactory()
    for key in SUBSTANCES:
        jar = stocked("500 g", name=f"Product with {key}", composition=[constituent(key, 5, 10)])
        type(jar).objects.filter(pk=jar.pk).update(place=place)
    return list(Material.objects.filter(name__startswith="Product with"))


def told_of(material):
    """Of its unknown part, as everybody reads it."""
    found = classify_material(material, "eu")
    [told] = [each for each in found.unknown_toxicity if each.startswith(("up to 95 %", "100 %"))][:1]
    return told[0].upper() + told[1:]


def page(client, name, *args, **asked):
    return " ".join(client.get(reverse(name, args=args), asked).content.decode().split())


def test_every_surface_says_how_much_of_a_product_nobody_names(member, studio, shelf):
    chemicals, listed = page(member, "safety:chemicals"), page(member, "safety:list")
    folder = {line.name: line.hazards for each in Folder(studio).places for line in each.lines}
    rows = {row[1]: row[4] for row in chemical_list.rows(chemical_list.listed(studio))}
    opened = {each.name: each.word for each in public_pages.materials(studio)}
    assert len(shelf) == len(SUBSTANCES)
    for material in shelf:
        told, jar = told_of(material), material.containers.get()

        assert told in page(member, "safety:open_material", material.pk), material
        assert told in page(member, "safety:open_container", jar.code), material
        assert told in chemicals and told in listed, material
        for elements in (labels.FULL, labels.WORKPLACE, labels.SHORT):
            label = labels.label_of_material(material, studio, elements=elements, container=jar)
            assert label["is_unknown"]
            assert any(told.lower().startswith(each.lower()) for each in label["unknown"]), (material, elements)
        assert folder[material.name].unknown_toxicity
        for word in (rows[material.name], opened[material.name], classify_material(material, "eu").words):
            assert "needs info" in word, material
        for shown in (member.get(material.get_absolute_url()), member.get(jar.get_absolute_url())):
            assert "needs info" in shown.content.decode(), material


def test_the_most_careful_advice_holds_beside_every_class_that_is_known(studio, shelf):
    for material in shelf:
        summary = summary_of(material, studio)
        said = {section.title: {line.text for line in section.lines} for section in (summary.first, *summary.sections)}
        for title, worst in CAREFUL.items():
            assert said[title] & worst, (material, title)


@pytest.mark.parametrize(("size", "elements"), [("a6", "full"), ("a6", "workplace"), ("jar", "short")])
def test_a_label_is_printed_with_it(member, size, elements):
    product = made_of(("acetone", 5, 10))
    chosen = {"key": uuid4(), "size": size, "elements": elements}

    sent = member.post(reverse("safety:label_material", args=[product.pk]), chosen)
    pages = PdfReader(BytesIO(member.get(sent.headers["Location"]).content)).pages

    assert len(pages) == 1
    text = " ".join(pages[0].extract_text().split())
    assert "Up to 95 % of the mixture is of unknown acute toxicity" in text
    assert "some of it may be anything" in text


def test_the_bench_asks_for_a_new_label_once_less_is_known_of_a_thing(member, studio):
    product = made_of(("acetone", 100, 100))
    member.post(
        reverse("safety:label_material", args=[product.pk]), {"key": uuid4(), "size": "a6", "elements": "workplace"}
    )
    assert labels.outdated_labels([], studio) == []

    with book.entry("material changed", "Changed", signed(1)) as entry:
        facts.change(product, {"composition": [constituent("acetone", 5, 10)]}, entry=entry)

    [label] = labels.outdated_labels([], studio)
    assert "Some of it may be anything." in label.raised


def test_what_a_supplier_says_of_the_whole_leaves_nothing_unnamed():
    product = made_of(("acetone", 5, 10))
    copied(product, ("H319", "Causes serious eye irritation."), signal_word="Warning")

    found = classify_material(product, "us")

    assert not found.is_unknown and found.unknown_toxicity == ()


def test_less_than_a_hundredth_that_nobody_names_changes_no_advice():
    # CLP 3.1.3.6.2.2 and 29 CFR 1910.1200 C.3.3: from 1 %
    for purity, is_unknown in ((1, False), (0.995, False), (0.99, True), (0.98, True)):
        found = classify_material(MaterialFactory(crystals=True, purity=purity), "eu")

        assert found.is_unknown is is_unknown, purity
        assert any("what the other" in each for each in found.needs_info) == (purity < 1), purity


def test_ranges_that_make_a_whole_leave_nothing_unnamed():
    alcohol = made_of(("isopropanol", 62, 70), ("water", 30, 38))

    found = classify_material(alcohol, "eu")

    assert not found.is_unknown
    assert not any("other" in each for each in found.needs_info)
