"""An existing list on its pages: read, looked at, brought in once, and struck again."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory import importing
from inventory.book import strike
from inventory.models import Container, Entry, Material, Place
from studio.hazards.classification import classify_material
from studio.shelf import bringing_in
from studio.shelf.models import ImportedFile
from tests.factories import PersonFactory, PlaceFactory, signed
from tests.studio.shelf import messy_lists

pytestmark = pytest.mark.django_db

IMPORT = reverse("shelf:import_file")
LIST = b"material,amount,batch\nCrystals,2.5 kg,B7\nTape,3,\nThinner,a little,\n"


def brought(client, content=LIST, name="shelf.csv"):
    return client.post(IMPORT, {"file": SimpleUploadedFile(name, content), "place": PlaceFactory().pk}, follow=True)


def confirmed(client, key=None):
    file = ImportedFile.objects.first()
    return client.post(file.get_absolute_url(), {"key": key or uuid4()}, follow=True)


def changed(client, button="look", **said):
    """What the page asks about a list, sent back as it stands, with some of it changed."""
    file = ImportedFile.objects.first()
    asked = client.get(file.get_absolute_url()).context["asked"]
    said["as_shown"] = asked.as_shown
    as_shown = {field.html_name: "" if field.value() is None else field.value() for field in asked}
    sent = {name: value for name, value in as_shown.items() if value is not False}
    said = {name if name == "as_shown" else f"list-{name.replace('_', '-')}": value for name, value in said.items()}
    return client.post(file.get_absolute_url(), sent | said | {button: "1", "key": uuid4()}, follow=True)


def test_the_preview_says_row_by_row_what_would_happen_and_writes_nothing(keyholder):
    shown = brought(keyholder).content.decode()

    assert all(
        words in shown for words in ("2.5 kg", "new material", "no amount with a unit", "Nothing is written yet")
    )
    assert not Material.objects.exists() and not Entry.objects.exists()


def test_a_list_says_what_its_names_are_known_as(keyholder):
    rows = b"material,amount\nMuriatic acid,1 L\nHydrogen peroxide 35 %,500 mL\nFlake white,100 g\nGreen stuff,1 L\n"

    shown = brought(keyholder, rows).content.decode()
    confirmed(keyholder)

    assert "known as hydrochloric acid, 25 to 37 %" in shown and "known as white lead" in shown
    assert shown.count("known as") == 3
    words = {each.name: classify_material(each, "eu").word for each in Material.objects.all()}
    assert words == {
        "Muriatic acid": "Danger",
        "Hydrogen peroxide 35 %": "Danger",
        "Flake white": "Danger",
        "Green stuff": "needs info",
    }


def test_one_confirmation_is_one_entry_that_says_how_much_came(keyholder):
    brought(keyholder)
    key = uuid4()

    for _ in range(2):
        confirmed(keyholder, key)

    assert [str(entry) for entry in Entry.objects.all()] == ["Brought in 2 containers from shelf.csv"]
    assert Container.objects.count() == 2


def test_the_same_file_is_not_brought_in_twice(keyholder):
    brought(keyholder)
    confirmed(keyholder)

    answer = brought(keyholder)

    assert "That very file was brought in" in answer.content.decode()


def test_a_struck_list_may_be_brought_in_again(keyholder):
    brought(keyholder)
    confirmed(keyholder)
    strike(Entry.objects.get(), by=signed(), reason="wrong shelf")
    assert not Container.objects.on_the_shelf().exists()

    brought(keyholder)
    confirmed(keyholder)

    assert Container.objects.on_the_shelf().count() == 2


def test_a_list_of_what_is_there_brings_nothing(keyholder):
    brought(keyholder)
    confirmed(keyholder)

    shown = brought(keyholder, LIST + b"\n").content.decode()

    assert "already there" in shown
    assert "Nothing in it is new to the book" in shown
    assert "Bring them in" not in shown


def test_copper_sulfate_must_say_which_it_is_first(keyholder):
    shown = brought(keyholder, b"material,amount\nCopper sulphate,1 kg\n").content.decode()

    assert "Blue crystals, pale powder or monohydrate?" in shown


def test_a_preview_that_nobody_brought_in_is_kept_for_a_month(keyholder, today):
    for days in (1, 2, 20, 33):
        today(days)
        brought(keyholder, LIST + b"Day %d,1,\n" % days, name=f"{days}.csv")
        if days == 1:
            confirmed(keyholder)

    assert sorted(ImportedFile.objects.values_list("name", flat=True)) == ["1.csv", "20.csv", "33.csv"]


def test_a_long_list_says_how_far_it_is_to_whoever_waits(keyholder, member, settings, monkeypatch):
    settings.CACHES = settings.CACHES | {"shared": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    monkeypatch.setattr(importing, "ROWS_AT_ONCE", 2)
    address, asked = reverse("shelf:import_progress"), importing.BookAsRead.line
    told = []

    def line(book, number, row):
        told.append(keyholder.get(address).content.decode())
        return asked(book, number, row)

    monkeypatch.setattr(importing.BookAsRead, "line", line)
    brought(keyholder)

    assert told == ["rows: 0 of 3", "rows: 0 of 3", "rows: 2 of 3"]
    confirmed(keyholder)
    assert told[3:] == told[:3] and keyholder.get(address).content == b""
    assert member.get(address).status_code == 403


def test_what_is_said_of_a_row_is_kept_when_other_rows_are_looked_at(keyholder):
    brought(keyholder)

    answer = changed(keyholder, button="page", out_2="on")

    assert answer.redirect_chain[-1][0].endswith("?page=1")
    assert ImportedFile.objects.get().choices["left_out"] == [2]


def test_saying_no_to_a_salt_costs_a_reason_that_stays_in_the_log(keyholder):
    brought(keyholder, b"material,amount\nCopper sulphate,1 kg\n")
    changed(keyholder, bath_0="none")

    refused = confirmed(keyholder).content.decode()
    assert "“Copper sulphate” sounds like copper sulfate" in refused and not Entry.objects.exists()
    file = ImportedFile.objects.get()
    keyholder.post(file.get_absolute_url(), {"key": uuid4(), "note": "a pigment for colour tests"})

    assert Entry.objects.get().note == "a pigment for colour tests"
    assert Material.objects.get().bath_use == ""


@pytest.mark.parametrize(("content", "said"), [(b"", "empty"), (b"material,amount\n", "Under its headings")])
def test_a_file_that_cannot_be_read_says_why(keyholder, content, said):
    answer = brought(keyholder, content)

    assert said in answer.content.decode()
    assert not ImportedFile.objects.exists()


def test_a_long_preview_is_paged_and_asks_the_book_little(keyholder, django_assert_max_num_queries):
    content = b"material,amount\n" + b"".join(b"Tape %d,3\n" % number for number in range(500))
    file = bringing_in.read(content, "long.csv", place=PlaceFactory(), by=PersonFactory())

    with django_assert_max_num_queries(10):
        shown = keyholder.get(file.get_absolute_url(), {"page": 3}).content.decode()

    assert "page 3 of 20" in shown


def test_columns_are_picked_once_and_remembered(keyholder):
    finnish = "Nimi;Määrä;Hylly\nTeippi;2;B\n".encode()
    assert brought(keyholder, finnish).context["plan"].reading.columns == ["material", "amount", ""]

    shown = changed(keyholder, column_2="place")

    assert shown.context["plan"].places == {"B": "shelf"}
    again = brought(keyholder, "Hylly;Nimi;Määrä\nC;Maali;1\n".encode(), name="other.csv")
    assert again.context["plan"].reading.columns == ["place", "material", "amount"]


def test_all_that_is_wrong_is_changed_in_one_go_before_anything_is_written(keyholder):
    rows = b"material,amount,where\nCopper sulphate,1 kg,Cellar\nInk,some,Cellar\nTape,3,Rack\nTape,3,Rack\n"
    brought(keyholder, rows)

    shown = changed(
        keyholder,
        kind_0="bench",
        bath_0="copper_sulfate_anhydrous",
        category_1="Grounds",
        cell_3_amount="2 tins",
        out_5="on",
    )

    assert [str(line.outcome) for line in shown.context["plan"].lines] == [
        "new material",
        "new material",
        "new material",
        "left out",
    ]
    assert not Entry.objects.exists()
    confirmed(keyholder)
    assert Place.objects.get(name="Cellar").kind == "bench"
    assert Material.objects.get(name="Copper sulphate").bath_use == "copper_sulfate_anhydrous"
    assert sorted(jar.shown_on_hand() for jar in Container.objects.select_related("material")) == [
        "1 kg",
        "2 tins",
        "3 pieces",
    ]


def test_a_change_that_was_not_looked_at_is_shown_before_it_is_written(keyholder):
    brought(keyholder, LIST)
    file = ImportedFile.objects.get()

    sent = {"key": uuid4(), "list-heading": "1", "list-row-3": "3", "list-out-3": "on"}
    answer = keyholder.post(file.get_absolute_url(), sent, follow=True)

    assert "Changed as you said. Nothing is written yet" in answer.content.decode()
    assert not Entry.objects.exists()
    changed(keyholder, button="bring")
    assert [str(jar.material) for jar in Container.objects.all()] == ["Crystals"]


def test_what_is_there_can_come_all_the_same_and_stays_chosen(keyholder):
    brought(keyholder)
    confirmed(keyholder)
    brought(keyholder, LIST + b"\n")

    changed(keyholder, again_2="on")
    shown = changed(keyholder)

    assert [str(line.outcome) for line in shown.context["plan"].lines[:2]] == ["new container", "already there"]


def test_a_struck_list_keeps_what_was_typed_and_comes_again_with_it(keyholder):
    brought(keyholder)
    changed(keyholder, cell_4_amount="2 L")
    confirmed(keyholder)
    strike(Entry.objects.get(), by=signed(), reason="wrong shelf")
    file = ImportedFile.objects.get()

    shown = keyholder.get(file.get_absolute_url()).content.decode()

    assert "It was struck. What was typed beside it stands here still." in shown
    assert brought(keyholder).context["plan"].lines[2].shown == "2 L"
    confirmed(keyholder)
    assert Container.objects.on_the_shelf().count() == 3


def test_what_is_sent_and_means_nothing_changes_nothing(keyholder):
    brought(keyholder)
    file = ImportedFile.objects.get()
    for sent in (
        {"list-column-0": "nonsense"},
        {"list-sheet": "999"},
        {"list-kind-9": "shelf"},
        {"list-cell-99-rows": "x"},
        {"list-cell-2-amount": "x" * 400},
        {"list-bath-0": "gold"},
        {"list-heading": "-1"},
    ):
        assert keyholder.post(file.get_absolute_url(), sent | {"look": "1"}, follow=True).status_code == 200

    file.refresh_from_db()
    assert keyholder.get(file.get_absolute_url()).context["plan"].lines[0].shown == "2.5 kg"


def test_a_page_full_of_rows_that_are_not_understood_can_be_sent_back(keyholder):
    names = ["material", "amount", "unit", "count", "size", "category", "place", "code", "batch", "received", "opened"]
    names += ["use by", "purity", "cas", "reorder at", "supplier", "pack", "price", "order code", "note"]
    rows = [",".join([f"Thing {at}", "some", "x", *(f"{name} {at}" for name in names[3:])]) for at in range(60)]
    brought(keyholder, "\n".join([",".join(names), *rows]).encode())

    assert changed(keyholder, cell_2_amount="3").status_code == 200
    assert ImportedFile.objects.get().choices["cells"] == {"2": {"amount": "3"}}


def test_what_was_looked_at_and_is_sent_back_as_it_stands_is_written(keyholder):
    for number, (text, _most) in enumerate(messy_lists.ALL.values()):
        brought(keyholder, text.encode(), name=f"{number}.csv")
        changed(keyholder, thousand="decimals")

        changed(keyholder, button="bring")

        assert Entry.objects.count() == number + 1


def test_what_needs_no_change_is_written_at_once(keyholder):
    brought(keyholder)

    changed(keyholder, button="bring")

    assert Entry.objects.count() == 1
