"""Labels carry what they must, fit on their size, and are asked for anew when a class is raised."""

from io import BytesIO
from uuid import uuid4

import numpy as np
import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from chemistry.bath import Adopted
from inventory.book import strike
from inventory.models import Entry
from studio.baths import operations as baths
from studio.baths.acid import AcidPortion, AcidStrength
from studio.baths.status import status_of_baths
from studio.printing.label_sizes import SIZES
from studio.safety import descriptions, labels
from studio.safety.models import PrintedLabel
from studio.safety.operations import print_label
from studio.shelf import operations as shelf
from studio.workshop import operations as workshop
from tests.factories import BathFactory, MaterialFactory, adopted, signed, stocked
from tests.studio.orders.shop import PackFactory, SupplierFactory
from tests.studio.safety.shop import constituent, copied, made_of

pytestmark = pytest.mark.django_db

THINNER = [("toluene", 40, 60), ("acetone", 30, 40), ("isopropanol", 5, 20), ("xylene", 0, 5)]
MM_PER_POINT = 25.4 / 72


def printed(browser, page, *args, size="a6", elements="workplace", **typed):
    """The label that was printed, from its form to its paper."""
    chosen = {"key": uuid4(), "size": size, "elements": elements} | typed
    response = browser.post(reverse(f"safety:{page}", args=args), chosen)
    assert response.status_code == 302, response.context["form"].errors
    return PrintedLabel.objects.latest("pk"), browser.get(response.headers["Location"]).content


def text(pdf: bytes) -> str:
    pages = pypdf.PdfReader(BytesIO(pdf)).pages
    assert len(pages) == 1
    return " ".join(pages[0].extract_text().split())


def raised(workshop, *baths):
    return [each.words for each in labels.outdated_labels(status_of_baths(baths), workshop)]


def grown(bath, strength_g_per_l):
    adopted = Adopted(day=0, volume_l=12, volume_sd_l=0.1, strength_g_per_l=strength_g_per_l, strength_sd_g_per_l=1)
    baths.adopt(bath, adopted, lid_on=True, by=signed(1))


@pytest.fixture
def bath(studio, today):
    today(1)
    return adopted(name="Upright tank", strength_g_per_l=150)


def test_a_label_of_a_bath_carries_what_it_becomes_when_water_dries_off(member, bath):
    baths.adopt(
        bath,
        Adopted(day=0, volume_l=12, volume_sd_l=0.1, strength_g_per_l=240, strength_sd_g_per_l=1),
        lid_on=True,
        by=signed(1),
    )

    label, pdf = printed(member, "label_bath", bath.pk)

    said = text(pdf)
    assert "acute_oral_4" in label.classes
    assert "DANGER" in said and "Harmful if swallowed. Causes serious eye damage." in said
    assert "240 ± 2 g/L of blue crystals on 3 Mar 2026; adopted 3 Mar 2026 by Printer" in said
    assert "Not a drink." in said
    assert "% of the mixture is of unknown acute toxicity (inhaled)." in said


@pytest.mark.parametrize(
    ("size", "width_mm", "height_mm"),
    [("a5", 210, 148), ("a6", 148, 105), ("a7", 105, 74), ("a8", 74, 52), ("jar", 70, 37), ("bottle", 52.5, 29.7)],
)
def test_a_label_has_the_measures_it_was_asked_for(member, studio, size, width_mm, height_mm):
    _, pdf = printed(member, "label_material", MaterialFactory().pk, size=size, elements="short")

    box = pypdf.PdfReader(BytesIO(pdf)).pages[0].mediabox
    assert float(box.width) * MM_PER_POINT == pytest.approx(width_mm, abs=0.1)
    assert float(box.height) * MM_PER_POINT == pytest.approx(height_mm, abs=0.1)


def test_a_workplace_label_has_what_the_hazard_communication_standard_lists(member, studio):
    """29 CFR 1910.1200(f)(6)(i): product identifier, signal word, hazard statements, pictograms, precautions."""
    type(studio)._base_manager.update(region="us")
    thinner = made_of(*THINNER, name="Lacquer thinner")

    label, pdf = printed(member, "label_material", thinner.pk, size="a6")

    said = text(pdf)
    assert "Lacquer thinner" in said and "DANGER" in said
    assert all(words in said for _, words in label.content["hazards"])
    assert all(words.split("/")[0] in said for _, words in label.content["precautions"])
    assert [code for code, _ in label.content["signs"]] == ["GHS02", "GHS07", "GHS08"]


@pytest.mark.parametrize("elements", ["short", "workplace", "full"])
def test_a_quantity_that_somebody_typed_is_on_every_label(member, studio, elements):
    crystals = MaterialFactory(crystals=True).pk

    _, pdf = printed(member, "label_material", crystals, size="a6", elements=elements, quantity="about a third")

    assert "about a third" in text(pdf)


def test_a_full_label_names_supplier_and_quantity_or_leaves_a_line(member, studio):
    """CLP Article 17(1): supplier, nominal quantity, identifier, pictograms, signal word, statements."""
    _, pdf = printed(
        member, "label_material", MaterialFactory(crystals=True).pk, size="a6", elements="full", quantity="500 g"
    )

    assert "Supplier: , address , telephone . Quantity: 500 g" in text(pdf)


def test_a_full_label_says_who_sold_it_who_hands_it_over_and_where_both_are(member, studio):
    workshop.change(studio, name="Mill Lane", address="2 Mill Lane, Brook", keyholder_line="01632 960142", by=signed(1))
    crystals = MaterialFactory(crystals=True)
    PackFactory(
        material=crystals,
        supplier=SupplierFactory(name="Larkhithe", phone="01632 960274", address="12 Larkhithe Quay"),
    )

    _, pdf = printed(member, "label_material", crystals.pk, size="a5", elements="full", quantity="500 g")

    said = text(pdf)
    assert "Supplier: Larkhithe, 12 Larkhithe Quay, telephone 01632 960274. Quantity: 500 g" in said
    assert "Handed over by Mill Lane, 2 Mill Lane, Brook, 01632 960142." in said


def test_american_labels_name_the_hazard_to_fish_and_say_that_it_is_not_required(member, studio):
    type(studio)._base_manager.update(region="us")

    _, pdf = printed(member, "label_material", MaterialFactory(crystals=True).pk)

    said = text(pdf)
    assert "Very toxic to aquatic life with long lasting effects." in said
    assert "not required in the United States" in said


def test_a_label_of_something_unknown_never_reads_as_clear(member, studio):
    _, pdf = printed(member, "label_material", MaterialFactory().pk, size="a8")

    assert "Needs info: what it does is not in the book yet. Treat it as hazardous" in text(pdf)


@pytest.mark.parametrize(("region", "size"), [("eu", "a7"), ("gb", "a7"), ("us", "a6"), ("elsewhere", "a6")])
def test_a_bottle_and_a_tin_have_room_for_all_that_is_to_be_said(member, studio, region, size):
    type(studio)._base_manager.update(region=region)

    for stuff in (MaterialFactory(crystals=True), made_of(*THINNER)):
        _, pdf = printed(member, "label_material", stuff.pk, size=size)
        assert "DANGER" in text(pdf)


def test_a_small_label_takes_the_short_form_only(member, bath):
    chosen = {"key": uuid4(), "size": "jar", "elements": "full"}

    response = member.post(reverse("safety:label_bath", args=[bath.pk]), chosen)

    assert "room for the short form only" in str(response.context["form"].errors["size"])
    assert not PrintedLabel.objects.exists()


@pytest.mark.parametrize(
    ("amount", "parts", "size"),
    [
        ("0.5 L", [("water", 100, 100)], "a8"),
        ("0.5 L", THINNER, "a6"),
        ("3.8 L", THINNER, "a6"),
        ("60 L", THINNER, "a5"),
    ],
)
def test_the_size_that_is_usual_for_what_a_jar_holds_is_offered_or_the_next_with_room(member, amount, parts, size):
    thinner = made_of(*parts)
    jar = stocked(amount, dimension="volume", shown_unit="L", composition=thinner.composition)

    form = member.get(reverse("safety:label_container", args=[jar.code])).context["form"]

    assert form["size"].value() == size


def test_words_that_do_not_fit_are_refused_and_never_cut_off(member, studio):
    lines = [(f"H4{n:02}", "Harms in a way that takes a great many words to be told in full. " * 3) for n in range(20)]
    copied(odd := MaterialFactory(), *lines)
    chosen = {"key": uuid4(), "size": "a8", "elements": "workplace"}

    response = member.post(reverse("safety:label_material", args=[odd.pk]), chosen)

    assert "do not fit on this one" in str(response.context["form"].errors["size"])
    assert not PrintedLabel.objects.exists()


def test_the_code_on_a_jar_opens_its_summary_without_signing_in(member, stranger):
    jar = stocked("500 g", crystals=True)
    _, pdf = printed(member, "label_container", jar.code, size="jar", elements="short")

    with pypdfium2.PdfDocument(pdf) as document:
        picture = np.asarray(document[0].render(scale=200 / 72).to_pil().convert("L"))
    [code] = zxingcpp.read_barcodes(picture)

    assert code.text == "http://testserver" + reverse("safety:open_container", args=[jar.code])
    assert "500 g left" in stranger.get(code.text).content.decode()


X_HEIGHT = 0.486  # of the letters of the labels, in ems: their own OS/2 table


def letters_of(pdf):
    """Size in points, leading and face of each line."""
    sizes, faces = [], set()

    def see(text, _, matrix, font, size):
        if text.strip():
            sizes.append(abs(matrix[0]) * size)
            faces.add(font["/BaseFont"].split("+")[-1])

    for page in pypdf.PdfReader(BytesIO(pdf)).pages:
        page.extract_text(visitor_text=see)
    return sizes, faces


@pytest.mark.parametrize("size", SIZES)
def test_every_letter_of_a_label_can_be_read_and_none_has_serifs(member, studio, size):
    """CLP Annex I 1.2.1.4 and 1.2.1.5 as of 2024: sans serif, x-height 1.2 mm, leading 120 %; from memory."""
    _, pdf = printed(member, "label_material", made_of(("acetone", 100, 100)).pk, size=size, elements="short")

    sizes, faces = letters_of(pdf)

    assert min(sizes) * MM_PER_POINT * X_HEIGHT >= 1.2 - 1e-3
    assert all(face.startswith("Source-Sans") for face in faces)


def test_the_letters_grow_until_the_label_is_full(member, studio):
    acetone = made_of(("acetone", 100, 100)).pk

    grown = {
        size: max(letters_of(printed(member, "label_material", acetone, size=size, elements="short")[1])[0])
        for size in ("a8", "a7", "a6")
    }

    assert grown["a8"] < grown["a7"] < grown["a6"]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("size", SIZES)
def test_a_sheet_of_labels_has_as_many_as_its_stock_and_goes_on_overleaf(member, studio, paper, size):
    if paper != studio.paper:
        workshop.change(studio, paper=paper, by=signed(1))
    sheet = labels.sheet_for(size, paper)
    chosen = {"key": uuid4(), "size": size, "elements": "short", "copies": 40, "on_sheet": "on"}

    response = member.post(reverse("safety:label_material", args=[MaterialFactory(name="Whiting").pk]), chosen)
    pages = pypdf.PdfReader(BytesIO(member.get(response.headers["Location"]).content)).pages

    counts = [page.extract_text().count("Whiting") for page in pages]
    assert sum(counts) == 40 and max(counts) == sheet.on_a_sheet and len(counts) == -(-40 // sheet.on_a_sheet)
    width, height = (float(side) * MM_PER_POINT for side in pages[0].mediabox[2:])
    assert (width > height) == sheet.is_across
    assert sheet.left_mm + sheet.columns * sheet.width_mm + (sheet.columns - 1) * sheet.gap_mm <= width + 0.5
    assert sheet.top_mm + sheet.rows * sheet.height_mm <= height + 0.5


def test_up_to_125_ml_the_milder_hazards_are_told_by_the_code_alone(member, studio):
    """CLP Annex I 1.5.2.1.1; what destroys the eye is no milder hazard."""
    type(studio)._base_manager.update(region="eu")
    acetone = made_of(("acetone", 100, 100)).pk
    lye = made_of(("sodium_hydroxide", 100, 100), name="Lye").pk

    _, small = printed(member, "label_material", acetone, size="bottle", elements="short")
    _, whole = printed(member, "label_material", acetone, size="a8", elements="short")
    label, severe = printed(member, "label_material", lye, size="bottle", elements="short")

    assert "DANGER" in text(small) and "More hazards: scan its code." in text(small)
    assert "Highly flammable" not in text(small) and "Highly flammable" in text(whole)
    assert label.content["hazards"] and all(words in text(severe) for _, words in label.content["hazards"])


def test_an_american_label_leaves_no_hazard_out_however_small(member, studio):
    type(studio)._base_manager.update(region="us")

    _, pdf = printed(member, "label_material", made_of(("acetone", 100, 100)).pk, size="bottle", elements="short")

    assert "Highly flammable" in text(pdf) and "scan its code" not in text(pdf)


def test_a_jar_that_holds_more_gets_a_label_with_every_word(member, studio):
    type(studio)._base_manager.update(region="eu")
    jar = stocked("500 mL", dimension="volume", shown_unit="mL", composition=[constituent("acetone", 100, 100)])
    chosen = {"key": uuid4(), "size": "bottle", "elements": "short"}

    response = member.post(reverse("safety:label_container", args=[jar.code]), chosen)

    assert "holds more than that" in " ".join(response.context["form"].errors["size"])
    assert not PrintedLabel.objects.exists()


def test_the_label_is_shown_as_it_is_chosen_and_nothing_is_written(member, studio):
    page = reverse("safety:label_material", args=[MaterialFactory(crystals=True, name="Blue salt").pk])

    whole = member.get(page).content.decode()
    for size, fits in (("a5", True), ("a8", False)):
        shown = member.get(
            page, {"size": size, "elements": "workplace"}, headers={"HX-Request": "true"}
        ).content.decode()
        assert ("<foreignObject" in shown and "Blue salt" in shown) is fits
        assert ("do not fit" in shown) is not fits
        assert "style=" not in shown and "<form" not in shown

    assert "<foreignObject" in whole and "CFR" not in whole and "Article" not in whole
    assert not PrintedLabel.objects.exists()


def test_printing_is_a_line_of_the_book_written_once(member, bath):
    key = uuid4()
    for _ in range(2):
        printed(member, "label_bath", bath.pk, key=key)

    entry = Entry.objects.latest("pk")
    assert PrintedLabel.objects.count() == 1
    assert entry.subject == "Printed the label of Upright tank"
    assert [change.what for change in entry.changes()] == ["Upright tank"]


def test_a_bath_that_grew_stronger_asks_for_a_new_label(member, studio, bath):
    printed(member, "label_bath", bath.pk)
    assert raised(studio, bath) == []

    baths.adopt(
        bath,
        Adopted(day=0, volume_l=12, volume_sd_l=0.1, strength_g_per_l=270, strength_sd_g_per_l=1),
        lid_on=True,
        by=signed(1),
    )

    [ask] = descriptions.action_items(status_of_baths([bath]), studio)
    assert ask.word == "label to reprint"
    assert ask.sentence == "The label of Upright tank says less than it should."
    assert ask.url == reverse("safety:label_bath", args=[bath.pk])


def test_a_bath_that_grew_weaker_asks_for_nothing(member, studio, bath):
    printed(member, "label_bath", bath.pk)

    baths.adopt(
        bath,
        Adopted(day=0, volume_l=12, volume_sd_l=0.1, strength_g_per_l=20, strength_sd_g_per_l=1),
        lid_on=True,
        by=signed(1),
    )

    assert raised(studio, bath) == []


def test_a_new_part_that_raises_a_class_asks_for_a_new_label(member, studio):
    mix = made_of(("acetone", 100, 100))
    printed(member, "label_material", mix.pk)

    mix.composition = [*mix.composition, constituent("toluene", 0, 10)]
    shelf.change_material(mix, by=signed(2))

    assert "category 2" in raised(studio)[0]


def test_a_sheet_with_a_statement_of_its_own_asks_for_a_new_label(member, studio, today):
    today(2)
    polish = made_of(("water", 100, 100))
    printed(member, "label_material", polish.pk)

    copied(polish, ("EUH208", "May produce an allergic reaction."))

    assert raised(studio) == ["May produce an allergic reaction."]


def test_a_struck_label_counts_no_more(member, studio):
    jar = stocked("500 g", powder=True)
    label, _ = printed(member, "label_container", jar.code)
    copied(jar.material, ("H350", "May cause cancer."), signal_word="Danger")
    assert raised(studio) == ["Carcinogenicity, category 1"]

    strike(label.entry, by=signed(1), reason="never stuck on")

    assert raised(studio) == []


def test_a_new_label_ends_the_asking(member, studio, bath):
    printed(member, "label_bath", bath.pk)
    baths.adopt(
        bath,
        Adopted(day=0, volume_l=12, volume_sd_l=0.1, strength_g_per_l=270, strength_sd_g_per_l=1),
        lid_on=True,
        by=signed(1),
    )

    printed(member, "label_bath", bath.pk)

    assert raised(studio, bath) == []


def test_the_label_of_an_unread_tank_leaves_its_strength_open(member, studio):
    _, pdf = printed(member, "label_bath", BathFactory().pk)

    assert "Copper sulfate in water." in text(pdf) and "Needs info" in text(pdf)


def test_a_label_that_is_too_small_for_its_vessel_is_asked_for_anew(member, studio):
    # CLP Annex I, Table 1.3: up to 3 L, up to 50 L, up to 500 L; the United States set no size
    wanted = [
        ("eu", 3, "a8", False),
        ("eu", 3, "jar", False),
        ("eu", 3.1, "a8", True),
        ("eu", 12, "a7", True),
        ("gb", 12, "a7", True),
        ("us", 12, "a7", False),
        ("eu", 12, "a6", False),
        ("eu", 50, "a6", False),
        ("eu", 51, "a6", True),
        ("eu", 51, "a5", False),
        ("eu", 501, "a5", False),
        # a size that is made no more
        ("eu", 2, "b9", True),
    ]
    for number, (region, rim_l, size, is_asked) in enumerate(wanted):
        type(studio)._base_manager.update(region=region)
        studio.refresh_from_db()
        tank = BathFactory(name=f"Tank {number}x", rim_l=rim_l, fill_l=rim_l)
        status = status_of_baths([tank])
        content = labels.label_of_bath(status[0], studio, elements="short")
        label = PrintedLabel(bath=tank, size=size, classes=content["classes"], content=content)
        print_label(label, by=signed(1))

        asks = list(descriptions.action_items(status, studio))

        said = [f"The label of {tank} is too small for what it is on."] if is_asked else []
        assert [ask.sentence for ask in asks] == said, (region, rim_l, size)


def test_a_jar_that_was_filled_past_its_label_asks_for_a_larger_one(member, studio):
    type(studio)._base_manager.update(region="eu")
    studio.refresh_from_db()
    for amount, size, is_asked in [("2 L", "a8", False), ("5 L", "a8", True), ("5 L", "a6", False)]:
        jar = stocked(amount, dimension="volume", shown_unit="mL", composition=[constituent("water", 100, 100)])
        printed(member, "label_container", jar.code, size=size, elements="short")

        asked = [each.label.container for each in labels.outdated_labels([], studio) if each.is_too_small]

        assert (jar in asked) == is_asked, (amount, size)


def test_acid_that_came_into_a_bath_asks_for_a_new_label(member, studio, bath):
    printed(member, "label_bath", bath.pk)
    assert raised(studio, bath) == []

    added = AcidPortion(dimension="strength", amount=0.2, strength=AcidStrength(96))
    baths.top_up(bath, acid=added, by=signed(1))

    assert "Sulfuric acid is in it." in raised(studio, bath)[0]
    printed(member, "label_bath", bath.pk)
    assert raised(studio, bath) == []


def test_the_size_that_is_offered_is_large_enough(member):
    for rim_l, size in [(2, "a8"), (12, "a6"), (60, "a5"), (900, "a5")]:
        tank = BathFactory(rim_l=rim_l, fill_l=rim_l)

        assert member.get(reverse("safety:label_bath", args=[tank.pk])).context["form"].initial["size"] == size
