"""Safety sheets: brought along, kept as they are, handed out, missed where there is none."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pypdf import PdfReader

from inventory import book
from inventory.models import Entry, Material, SafetySheet
from tests.factories import MaterialFactory, signed, stocked, today
from tests.studio.orders.shop import PackFactory, SupplierFactory
from tests.studio.printing.test_uploaded_pdf import sheet
from tests.studio.printing.test_uploaded_photo import photo
from tests.studio.safety.shop import constituent

MISSING = reverse("shelf:missing_sheets")


@pytest.fixture(autouse=True)
def uploads(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def filed(client, material, content=None, dated_on="2025-11-03", name="../../etc/passwd.pdf", **typed):
    file = SimpleUploadedFile(name, sheet() if content is None else content, "application/pdf")
    address = reverse("shelf:file_sheet", args=[material.pk])
    return client.post(address, {"key": uuid4(), "file": file, "dated_on": dated_on, **typed})


def refused(response):
    return {name: " ".join(errors) for name, errors in response.context["form"].errors.items()}


def test_a_sheet_is_kept_as_it_is_under_a_name_nobody_chose(member, uploads):
    thinner = MaterialFactory(name="Lacquer thinner")

    response = filed(member, thinner)

    (kept,) = uploads.rglob("*.pdf")
    assert response.headers["Location"] == thinner.get_absolute_url()
    assert kept.read_bytes() == sheet()
    assert "passwd" not in kept.name
    assert str(Entry.objects.get()) == "Filed the safety sheet of Lacquer thinner, dated 3 November 2025"


def test_a_sheet_is_handed_out_to_be_kept_and_never_run(member):
    thinner = MaterialFactory(name="Lacquer thinner")
    filed(member, thinner)

    response = member.get(SafetySheet.objects.get().get_absolute_url())

    assert b"".join(response.streaming_content) == sheet()
    assert response["Content-Disposition"] == 'attachment; filename="safety-sheet-lacquer-thinner-2025-11-03.pdf"'
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in response["Content-Security-Policy"]


def test_the_newest_sheet_is_shown_and_the_older_kept(member):
    thinner = MaterialFactory()
    filed(member, thinner, dated_on="2025-11-03")
    filed(member, thinner, content=sheet() + b"\n", dated_on="2020-01-01")

    assert "Safety sheet of 3 November 2025" in member.get(thinner.get_absolute_url()).content.decode()
    assert "1 January 2020" in member.get(reverse("shelf:file_sheet", args=[thinner.pk])).content.decode()


def test_a_double_tap_files_once(member, uploads):
    thinner, key = MaterialFactory(), uuid4()

    filed(member, thinner, key=key)
    filed(member, thinner, key=key)

    assert SafetySheet.objects.count() == len(list(uploads.rglob("*.pdf"))) == 1


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"content": b"MZ" + bytes(50)}, "file", "not a PDF"),
        ({"content": b"\x89PNG\r\n\x1a\n" + bytes(50)}, "file", "photograph is broken"),
        ({"content": b""}, "file", "empty"),
        ({"dated_on": ""}, "dated_on", "Needed"),
        ({"dated_on": "2150-01-01"}, "dated_on", "has not come yet"),
        ({"dated_on": "soon"}, "dated_on", "valid date"),
    ],
)
def test_what_is_no_sheet_leaves_nothing_behind(member, uploads, typed, field, sentence):
    response = filed(member, MaterialFactory(), **typed)

    assert sentence in refused(response)[field]
    assert not SafetySheet.objects.exists() and not list(uploads.rglob("*.pdf"))


def test_photographs_of_its_pages_are_filed_as_one_sheet(member, uploads):
    pages = [SimpleUploadedFile(f"{number}.jpg", photo()) for number in range(2)]

    filed(member, MaterialFactory(), file=pages)

    (kept,) = uploads.rglob("*.pdf")
    assert len(PdfReader(kept).pages) == 2


def test_the_same_sheet_is_not_filed_twice(member):
    thinner = MaterialFactory()
    filed(member, thinner)

    assert "on file already" in refused(filed(member, thinner, dated_on="2026-01-05"))["file"]


def test_two_gigabytes_are_refused_before_they_are_read(member):
    address = reverse("shelf:file_sheet", args=[MaterialFactory().pk])

    response = member.post(
        address, "nothing of it", content_type="multipart/form-data; boundary=x", CONTENT_LENGTH=str(2 * 1024**3)
    )

    assert response.status_code == 413
    assert "has 2.1 GB; all files together may have 50 MB at most" in response.content.decode()


def test_what_has_no_sheet_says_so_until_it_has(member):
    thinner = stocked("500 g", name="Thinner").material
    stocked("3", name="Brush", dimension="count", shown_unit="piece", category="Abrasives and scrubbing")
    shelf = reverse("shelf:shelf")

    assert member.get(shelf).content.decode().count("sheet not on file") == 1
    assert "Brush" not in member.get(shelf, {"no_sheet": "on"}).content.decode()
    assert "Thinner" in member.get(MISSING).content.decode()
    filed(member, thinner)

    assert "sheet not on file" not in member.get(shelf).content.decode()
    assert "one on file" in member.get(MISSING).content.decode()


def test_what_needs_no_sheet_says_so_on_every_page_and_is_missed_on_none(member):
    spill, none = Material.Category.SPILL, ""
    stands = [
        ({"water": True}, "no sheet needed for water"),
        ({"category": spill, "storage_group": "general"}, "no sheet needed: inert"),
        # nobody said that it is harmless, or something else is known of it
        ({"category": spill}, none),
        ({"category": spill, "storage_group": "carbonate"}, none),
        ({"category": spill, "storage_group": "general", "flash_point_c": 40}, none),
        ({"category": spill, "storage_group": "general", "composition": [constituent("acetone", 1, 2)]}, none),
        ({"storage_group": "general"}, none),
        ({"bath_use": "", "name": "Deionised water"}, none),
    ]
    for facts, said in stands:
        material = stocked("1 L" if facts.get("water") else "1 kg", **facts).material

        assert material.no_sheet_needed == said, facts
        assert Material.objects.without_sheet().filter(pk=material.pk).exists() == (not said), facts
        shown = member.get(material.get_absolute_url()).content.decode()
        assert ("sheet not on file" in shown) == (not said), facts
        assert said[1:] in shown, facts
        listed = member.get(reverse("safety:chemicals")).content.decode()
        assert said in listed, facts
        assert said[1:] in member.get(reverse("safety:open_material", args=[material.pk])).content.decode(), facts


def test_the_list_of_missing_sheets_says_whom_to_ask(member):
    thinner = stocked("500 g", name="Thinner").material
    larkhithe = SupplierFactory(name="Larkhithe", contact="Ida Brook", phone="01 234")
    for amount in (500_000, 1_000_000):
        PackFactory(material=thinner, supplier=larkhithe, amount=amount)
    stocked("500 g", name="Whiting")

    shown = " ".join(member.get(MISSING).content.decode().split())

    assert shown.count("Ask Larkhithe: Ida Brook, 01 234.") == 1
    assert "Nobody is known to sell it." in shown


def test_filing_a_sheet_asks_the_database_little(member, django_assert_max_num_queries):
    thinner = MaterialFactory()
    filed(member, thinner)

    with django_assert_max_num_queries(10):
        member.get(reverse("shelf:file_sheet", args=[thinner.pk]))


def test_a_struck_sheet_is_missed_again(member):
    thinner = MaterialFactory()
    filed(member, thinner)

    book.strike(Entry.objects.get(), by=signed(2), reason="another product's")

    assert list(Material.objects.without_sheet()) == [thinner]


def test_a_sheet_whose_file_is_gone_is_not_there(member, uploads):
    filed(member, MaterialFactory())
    for kept in uploads.rglob("*.pdf"):
        kept.unlink()

    assert member.get(SafetySheet.objects.get().get_absolute_url()).status_code == 404


def test_strangers_get_no_sheet(member, stranger):
    filed(member, MaterialFactory())
    kept = SafetySheet.objects.get()

    assert stranger.get(kept.get_absolute_url()).status_code == 302
    assert stranger.get(MISSING).status_code == 302


def test_missing_sheets_ask_the_database_little(member, django_assert_max_num_queries):
    for number in range(20):
        MaterialFactory(name=f"Material no. {number}")

    with django_assert_max_num_queries(10):
        member.get(MISSING)


def test_a_date_of_tomorrow_is_no_date_of_a_sheet(member):
    tomorrow = today() + timedelta(days=1)

    assert "has not come yet" in refused(filed(member, MaterialFactory(), dated_on=str(tomorrow)))["dated_on"]
