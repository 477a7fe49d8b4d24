"""Lists as people have them: every way of writing one down, and how much of it is left over after one pass."""

import io
from datetime import date

import pytest
from openpyxl import Workbook

from inventory import amounts, importing, lists
from inventory.amounts import DECIMALS, THOUSANDS, Measures
from inventory.cells import CellNotUnderstood
from inventory.importing import Choices, Outcome, Reading, Studio
from tests.factories import PlaceFactory
from tests.studio.shelf import messy_lists

pytestmark = pytest.mark.django_db

CURRENCIES = {"American": ("USD", "mdy"), "British": ("GBP", "dmy")}
BLUE = "copper_sulfate_pentahydrate"


def reading_of(content, name="list.csv", remembered=None, **choices):
    content = content.encode() if isinstance(content, str) else content
    return Reading(lists.read(content, name), Choices(**choices), remembered or {})


def planned(content, name="list.csv", currency="EUR", days="dmy", **choices):
    place = PlaceFactory()
    studio = Studio(currency=currency, days=days, imperial=currency == "GBP", place=place)
    return importing.plan(reading_of(content, name, **choices), studio)


def left_over(plan):
    return [line for line in plan.lines if line.outcome is Outcome.NOT_UNDERSTOOD]


def line_of(plan, name):
    return next(line for line in plan.lines if line.name == name)


def test_one_pass_of_a_messy_list_leaves_little_over():
    for what, (text, most) in messy_lists.ALL.items():
        currency, days = CURRENCIES.get(what.split(",")[0], ("EUR", "dmy"))
        untouched = planned(text, currency=currency, days=days)
        # what the page asks, answered in one go
        hydrates = {new.name.casefold(): {"bath_use": BLUE} for new in untouched.materials if new.asks_hydrate}
        passed = planned(text, currency=currency, days=days, materials=hydrates, thousand=DECIMALS)

        over = len(left_over(untouched)), len(left_over(passed))
        print(f"{what}: {len(untouched.lines)} rows, left over untouched {over[0]}, after one pass {over[1]}")
        assert len(left_over(passed)) <= most, [line.why for line in left_over(passed)]
        assert not [line for line in passed.lines if line.outcome is Outcome.LEFT_OUT]


def test_a_french_list_is_read_as_it_is_meant():
    plan = planned(messy_lists.FRENCH)

    assert (plan.reading.heading, plan.reading.left_out, plan.tells_no_days) == (4, ["N°", "Couleur"], False)
    salt = line_of(plan, "Sulfate de cuivre cristaux bleus")
    assert (salt.shown, salt.received_on, salt.bath_use) == ("2.5 kg", date(2026, 1, 12), BLUE)
    assert (salt.supplier, salt.price_cents, salt.pack) == ("Maison Gravel", 3495, 2_500_000)
    assert line_of(plan, "Vernis mou").use_by_on == date(2027, 1, 31)
    shown = {
        "Eau déminéralisée": "3 × 5 L",
        "Vernis dur": "1 tube",
        "Vernis à recouvrir": "2 × 500 mL",
        "Ruban adhésif": "4 rolls",
        "Papier gravure 300 g": "1250 sheets",
        "Gants nitrile M": "3 boxes",
        "Essence de térébenthine": "750 mL",
        "Cristaux de soude": "2 × 1 kg",
        "Plaques de cuivre 15x20 cm": "6 × 300 cm²",
        "Plaque de cuivre 30x40 cm": "2 × 1200 cm²",
        "Filtres à café": "100 pieces",
    }
    assert {name: line_of(plan, name).shown for name in shown} == shown
    assert plan.places["Armoire produits inflammables"] == "flammables cabinet" and plan.places["Établi"] == "bench"
    assert line_of(plan, "Savon noir").why == "1,000 L: one or a thousand?"
    assert line_of(plan, "Bitume de Judée").why == "-1 kg: less than nothing."
    assert line_of(plan, "ENCRES ET HUILES").outcome is Outcome.NO_THING


def test_a_german_list_of_sizes_and_numbers_is_read_as_it_is_meant():
    plan = planned(messy_lists.GERMAN)
    shown = {
        "Kupfersulfat-Pentahydrat": "2 × 2.5 kg",
        "Aceton": "1 L",
        "Nitrilhandschuhe L": "2 boxes",
        "Druckfarbe schwarz": "4 × 1 kg",
        "Schlämmkreide": "5 kg",
        "Klebeband": "6 rolls",
        "Kupferblech 1 mm": "3 × 1200 cm²",
    }

    assert {name: line_of(plan, name).shown for name in shown} == shown
    assert line_of(plan, "Kupfersulfat wasserfrei").bath_use == "copper_sulfate_anhydrous"
    assert line_of(plan, "Druckfarbe schwarz").price_cents == 125_000
    assert line_of(plan, "Druckfarbe schwarz").received_on == date(2026, 3, 3)
    assert line_of(plan, "Terpentinersatz").use_by_on == date(2027, 12, 31)
    assert line_of(plan, "Soda").why == "1.500 g: 1.5 or 1500?"


def test_pounds_and_ounces_of_two_columns_are_one_amount():
    plan = planned(messy_lists.AMERICAN, currency="USD", days="mdy")

    assert [line.shown for line in plan.lines[:5]] == ["5 lb", "2.5 lb", "1.25 lb", "25 lb", "5 lb"]
    assert plan.lines[0].received_on == date(2026, 3, 14)
    assert (plan.lines[3].price_cents, plan.lines[3].pack) == (125_000, 11_339_809)
    assert line_of(plan, "Mineral spirits").notes == ("Its price stays behind: nobody is named who sells it.",)


def test_a_british_pint_is_no_american_one():
    assert line_of(planned(messy_lists.BRITISH, currency="GBP"), "Stop-out varnish").amount == 568_261
    assert line_of(planned(messy_lists.BRITISH, currency="USD"), "Stop-out varnish").amount == 473_176


AMOUNTS = {
    "250 g": (1, 250_000),
    "ca. 250g": (1, 250_000),
    "~ 2,5 kg": (1, 2_500_000),
    "5 lb bag": (1, 2_267_962),
    "bag (5 lb)": (1, 2_267_962),
    "3 bags of 5 lb": (3, 2_267_962),
    "3 x 500 g": (3, 500_000),
    "3×500g": (3, 500_000),
    "2 sacs de 1 kg": (2, 1_000_000),
    "4 Dosen à 250 g": (4, 250_000),
    "2 Eimer je 5 kg": (2, 5_000_000),
    "500 g tube": (1, 500_000),
    "1 000 g": (1, 1_000_000),
    "1\u202f500 g": (1, 1_500_000),
    "1'250 g": (1, 1_250_000),
    "1.234,5 g": (1, 1_234_500),
    "1,234.5 g": (1, 1_234_500),
    "1.250 kg": (1, 1_250_000),
    "0,125 kg": (1, 125_000),
    "½ kg": (1, 500_000),
    "1 1/2 lb": (1, 680_389),
    "3 lb 2 oz": (1, 1_417_476),
    "0 g": (1, 0),
}


def test_amounts_of_mass_are_read_as_people_write_them():
    for text, (containers, each) in AMOUNTS.items():
        read = amounts.read({"amount": text}, known=None, measures=Measures())

        assert (read.containers, read.each, read.unit[0]) == (containers, each, "mass"), text


SPLIT = {
    "number and unit": ({"amount": "2,5", "unit": "kg"}, (1, 2_500_000)),
    "number of a size": ({"amount": "3", "size": "500 g"}, (3, 500_000)),
    "half of a size": ({"amount": "0,5", "size": "5 kg"}, (1, 2_500_000)),
    "bottles of a size": ({"amount": "3 bottles", "size": "500 g"}, (3, 500_000)),
    "count and amount": ({"count": "3", "amount": "500", "unit": "g"}, (3, 500_000)),
    "count and size": ({"count": "2", "size": "500 g"}, (2, 500_000)),
    "size and its unit": ({"count": "2", "size": "500", "unit": "g"}, (2, 500_000)),
    "size alone": ({"size": "500 g"}, (1, 500_000)),
    "what is left of a size": ({"amount": "200 g", "size": "500 g"}, (1, 200_000)),
    "none of a size": ({"amount": "0", "size": "500 g"}, (1, 0)),
    "empty beside a size": ({"amount": "leer", "size": "500 g"}, (1, 0)),
}


def test_amounts_that_are_split_over_columns_are_one():
    for what, (row, (containers, each)) in SPLIT.items():
        read = amounts.read(row, known=None, measures=Measures())

        assert (max(read.containers, 1), read.each) == (containers, each), what


def test_what_a_mark_before_three_figures_means_is_said_once_for_the_list():
    for text, thousands, decimals in (("1,000 g", 1_000_000, 1_000), ("2.500 g", 2_500_000, 2_500)):
        read = [
            amounts.read({"amount": text}, known=None, measures=Measures(thousand=meant)).each
            for meant in (THOUSANDS, DECIMALS)
        ]
        with pytest.raises(CellNotUnderstood, match="or"):
            amounts.read({"amount": text}, known=None, measures=Measures())

        assert read == [thousands, decimals]


def test_days_without_a_word_are_read_as_the_region_writes_them_or_as_somebody_says():
    text = "name,amount,bought\nTape,3,4/3/2026\n"

    assert planned(text).tells_no_days
    assert planned(text).lines[0].received_on == date(2026, 3, 4)
    assert planned(text, days="mdy").lines[0].received_on == date(2026, 4, 3)
    assert planned(text + "Ink,3,3/25/2026\n").lines[0].received_on == date(2026, 4, 3)
    both = planned(text + "Ink,3,3/25/2026\nSoap,1,25/3/2026\n")
    assert both.tells_no_days and "no day" in both.lines[1].notes[0]


def test_a_language_nobody_told_the_book_is_read_by_what_stands_in_it_and_picked_once():
    text = "Nimi;Määrä;Hylly\nKuparilevy;3;A\nTeippi;2;B\n"

    assert reading_of(text).columns == ["material", "amount", ""]
    picked = reading_of(text, columns=["material", "amount", "place"]).picked_by_heading()
    assert reading_of(text, remembered=picked).columns == ["material", "amount", "place"]
    assert reading_of("Hylly;Nimi;Määrä\nA;Teippi;2\n", remembered=picked).columns == ["place", "material", "amount"]


def test_plates_have_the_size_that_their_name_tells():
    text = (
        "name,amount\nCuivre 1 mm 20x30 cm,10 plaques\nCopper 6 x 9 in,4\nPapier 5x6 cm,25 feuilles\nCopper,3 plates\n"
    )

    shown = [line.shown for line in planned(text).lines]

    assert shown == ["10 × 600 cm²", "4 × 54 in²", "25 sheets", "3 pieces"]


def test_a_heading_that_speaks_of_buying_is_told_by_what_stands_below_it():
    for heading in ("What I bought", "Bought things", "Gekauft haben wir"):
        text = f"{heading},How much,Where from,Paid,When\nSoda ash,4 lb,Grocery,$9.50,3/14/2026\nTape,2,Grocery,,\n"

        reading = reading_of(text)

        assert reading.columns == ["material", "amount", "supplier", "price", "received"], heading


def test_a_list_without_headings_can_be_read():
    plan = planned("Tape;3 rolls\nInk;2 tins\n", heading=0)

    assert [(line.name, line.shown) for line in plan.lines] == [("Tape", "3 rolls"), ("Ink", "2 tins")]


def test_a_sheet_is_chosen_and_merged_cells_hold_for_each_of_their_rows():
    book, file = Workbook(), io.BytesIO()
    book.active.append(["How to use this file"])
    sheet = book.create_sheet("Stock")
    for line in (
        ["Place", "Item", "Quantity"],
        ["Rack", "Tape", 3],
        [None, "Ink", "2 tins"],
        ["Bench", "Soap", "1 L"],
        [None, "Oil", None],
    ):
        sheet.append(line)
    sheet.merge_cells("A2:A3")
    sheet.merge_cells("C4:C5")
    book.save(file)

    plan = planned(file.getvalue(), "x.xlsx")

    assert plan.reading.at == 1
    assert [(line.name, line.place) for line in plan.lines[:2]] == [("Tape", "Rack"), ("Ink", "Rack")]
    # one amount that reaches over two rows is not there twice
    assert plan.lines[3].outcome is not Outcome.NEW_CONTAINER
    assert "amount" in planned(file.getvalue(), "x.xlsx", sheet=0).reading.missing
