import pytest

from chemistry.bath import Titrated
from inventory import book, importing, ledger
from inventory.importing import Choices, Reading, Studio
from inventory.workbooks import Sheet
from studio.baths import operations as baths
from studio.baths.models import Answer
from studio.baths.salt import Portion
from studio.bites import operations as bites
from tests.factories import PlaceFactory, adopted, entry, signed, stocked

pytestmark = pytest.mark.django_db


def told(entry):
    return [(change.what, change.how) for change in entry.changes()]


def test_an_entry_that_touched_nothing_has_nothing_to_tell():
    assert entry().changes() == []


def test_what_came_has_a_plus_and_what_went_a_minus():
    jar = stocked("500 g", crystals=True)
    bath = adopted()
    used = baths.top_up(bath, water_l=0, salt=[Portion(jar, 20_000)], salt_anyway="it looked weak", by=signed(1))

    assert told(jar.movements.first().entry) == [(str(jar), "+500 g, received")]
    assert told(used) == [(str(jar), "−20 g, used"), (str(bath), "20 g of crystals")]


def test_of_a_long_list_that_was_brought_in_the_beginning_is_told():
    place = PlaceFactory()
    rows = [(1, ["material", "amount", "code"]), *((2 + at, ["Tape", "1", f"T-{at}"]) for at in range(205))]
    reading = Reading([Sheet("", rows)], Choices(), {})
    with book.entry("brought in", "list", signed(1)) as brought:
        importing.write(importing.plan(reading, Studio(place=place)).lines, entry=brought)

    shown = told(brought)

    assert shown[0] == ("T-0 Tape", "+1 piece, received")
    assert shown[200:] == [
        ("And", "5 more, each on the page of its container"),
        ("Tape", "on the lists: no → yes"),
    ]


def test_what_a_keyholder_says_of_the_current_is_told():
    said = {"electrode": "plate", "share": 1.0, "half_width": 0.01, "reason": "ten plates weighed"}

    assert told(bites.say_efficiency(**said, by=signed(1))) == [("What the current moves", "off the plates: 100 ± 1 %")]


def test_a_count_tells_what_was_there_and_what_was_missing():
    jar = stocked("500 g")
    with book.entry("counted", "counted", signed(1)) as counted:
        ledger.count(jar, 480_000, entry=counted)

    assert told(counted) == [(str(jar), "−20 g, counted"), (str(jar), "480 g were there")]


def test_a_move_tells_from_where_to_where():
    jar = stocked("500 g")
    home, bench = jar.place, PlaceFactory(name="Workbench")
    with book.entry("moved", "moved", signed(1)) as moved:
        ledger.move(jar, bench, entry=moved)

    assert told(moved) == [(str(jar), f"{home} → Workbench")]


def test_an_answer_tells_which_reading_it_was_about():
    bath = adopted()
    baths.read(bath, Titrated(day=0, mol_per_l=0.5, sd=0.005), words="0.5 mol/L", by=signed(1))

    answered = baths.answer(bath.events.last(), choice=Answer.Choice.TRUST_BOOK, by=signed(2))

    assert told(answered) == [(str(bath), "Trust the book: 0.5 mol/L")]
