"""The whole book as one zip of CSV files."""

import csv
import io
import zipfile

import pytest

from inventory import importing, lists
from inventory.book import strike
from inventory.entries import EntryKind, every_line
from inventory.importing import Choices, Outcome, Reading, Studio
from inventory.models import Count, Entry, Movement, Place
from studio.bench import everything
from studio.shelf import operations
from studio.waste import incidents
from studio.waste.models import CalendarAddress
from tests.factories import MaterialFactory, PersonFactory, adopted, day, entry, signed, stocked
from tests.studio.safety.shop import copied, label_printed
from tests.studio.waste.shop import drum, found_out, handed_over, paper_of, put, reported, said

pytestmark = pytest.mark.django_db


def files(client):
    """Each file of the zip as its rows."""
    content = b"".join(client.get("/everything.zip").streaming_content)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        tables = (name for name in archive.namelist() if name.endswith(".csv"))
        read = {name: archive.read(name).decode("utf-8-sig") for name in tables}
    return {name: list(csv.DictReader(io.StringIO(text))) for name, text in read.items()}


def test_everything_is_in_it(keyholder):
    jar, bath = stocked("500 g", name="Crystals"), adopted(name="Upright")
    operations.use(jar, amount=100_000, by=signed(1))

    found = files(keyholder)

    assert set(found) == {
        f"{name}.csv"
        for name in (
            *("materials", "containers", "places", "movements", "entries", "bath events"),
            *("copper recovered", "inductions", "supplier classes", "printed labels", "changes of facts"),
            *("counts", "moves", "openings", "safety sheets", "orders", "invoices", "receipts", "shortages", "answers"),
            *("plates", "preparations", "weighings", "parcels", "photographs", "bites", "bite readings", "bite stops"),
            *("own efficiencies", "cathodes", "sheets", "hangings", "cathode weighings", "strips", "copper contents"),
            *("drums", "deposits", "inspections", "drum weighings", "test results", "findings", "refusals"),
            *("disposals", "receivers' papers", "incidents", "what followed incidents", "local advice"),
        )
    }
    [container] = found["containers.csv"]
    assert (container["Code"], container["Amount"]) == (jar.code, "400 g")
    assert [row["In or out"] for row in found["movements.csv"]] == ["in", "out"]
    assert {row["Bath"] for row in found["bath events.csv"]} == {bath.name}
    assert len(found["entries.csv"]) == 3


def test_more_lines_go_along_than_are_read_at_once(keyholder):
    jar = stocked("500 g")
    counted = EntryKind.known("counted")
    written = {"kind": counted, "done_by": PersonFactory(), "happened_at": day(1), "recorded_at": day(2)}
    entries = Entry.objects.bulk_create(Entry(**written) for _ in range(1_100))
    Count.objects.bulk_create(Count(entry=each, container=jar, amount=500_000) for each in entries)

    assert len(files(keyholder)["counts.csv"]) == 1_100


def test_what_was_known_before_goes_along(keyholder):
    thinner = MaterialFactory(flash_point_c=4)
    thinner.flash_point_c = 12
    operations.change_material(thinner, by=signed(1, note="newer sheet"))

    [row] = files(keyholder)["changes of facts.csv"]

    assert (row["Kind"], row["Number"], row["Fact"]) == ("inventory.material", str(thinner.pk), "flash_point_c")
    assert (row["Before"], row["Since"], row["Why"], row["Struck"]) == ("4.0", "12.0", "newer sheet", "")


def test_what_was_copied_from_a_sheet_and_printed_goes_along(keyholder):
    jar = stocked("500 g", name="Crystals")
    copied(jar.material, ("H319", "Causes serious eye irritation."), signal_word="Warning")
    label_printed(jar.material)

    found = files(keyholder)

    assert found["supplier classes.csv"][0]["Hazards"] == "H319 Causes serious eye irritation."
    assert found["printed labels.csv"][0]["Statements"] == "H319"


def test_a_struck_entry_says_who_struck_it_and_why(keyholder):
    strike(entry(), by=signed(1), reason="=never")

    [row] = files(keyholder)["entries.csv"]

    assert row["Why struck"] == "'=never"
    assert row["Struck by"]


def test_long_books_are_read_in_turns(keyholder, monkeypatch):
    monkeypatch.setattr(everything, "AT_ONCE", 2)
    for _ in range(5):
        stocked("1 kg")

    assert len(files(keyholder)["movements.csv"]) == Movement.objects.count() == 5


def test_the_containers_of_a_book_are_already_there_when_brought_in_again(keyholder):
    stocked("500 g", name="Crystals"), stocked("3 L", name="Thinner", dimension="volume", shown_unit="L")
    content = b"".join(keyholder.get("/everything.zip").streaming_content)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        reading = Reading(lists.read(archive.read("containers.csv"), "containers.csv"), Choices(), {})

    planned = importing.plan(reading, Studio(place=Place.objects.first()))

    assert {line.outcome for line in planned.lines} == {Outcome.THERE}


def test_a_member_does_not_take_the_book_away(member):
    assert member.get("/everything.zip").status_code == 403


def test_what_left_and_what_went_wrong_goes_along(keyholder):
    went = drum()
    put(went, 4)
    disposal = handed_over(went, document_kind="note", document_number="7")
    paper_of(disposal, number="7 copy")
    incidents.follow_up(reported(injury="left eye"), words="Rinsed.", closes=True, by=signed(2))

    found = files(keyholder)

    [handed] = found["disposals.csv"]
    assert (handed["record"], handed["drum"], handed["document"]) == (str(disposal), "W1", "note 7")
    assert float(handed["net g"]) == pytest.approx(4080, rel=0.05)
    assert found["receivers' papers.csv"][0]["number"] == "7 copy"
    assert found["incidents.csv"][0]["how"] == "left eye"
    assert found["what followed incidents.csv"][0]["closes"] == "True"


def test_what_was_said_and_found_out_goes_along(keyholder):
    vessel = drum()
    found_out(vessel, drips=False)
    said("sewer-limit", cu_mg_per_l=0.5, answer="Half a milligram.")

    found = files(keyholder)

    [told] = found["local advice.csv"]
    assert (told["who said so"], told["copper mg/L"]) == ("City waste office", "0.5")
    assert [line["What"] for line in found["findings.csv"]] == ["drips: no"]


def test_every_kind_of_line_tells_of_itself_but_no_secret_address(keyholder):
    lines = {line: line.exported_as or str(line._meta.verbose_name_plural) for line in every_line()}

    found = files(keyholder)

    assert len(set(lines.values())) == len(lines)
    assert {line for line, name in lines.items() if f"{name}.csv" not in found} == {CalendarAddress}
