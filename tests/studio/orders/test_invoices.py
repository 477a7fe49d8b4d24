"""Invoices of suppliers: a PDF or photographs of its pages, found on the supplier's page."""

from io import BytesIO
from uuid import uuid4

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory import book
from inventory.models import Entry
from studio.orders.models import Invoice
from tests.factories import signed
from tests.studio.orders.shop import SupplierFactory, invoiced
from tests.studio.printing.test_uploaded_pdf import sheet
from tests.studio.printing.test_uploaded_photo import photo

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def uploads(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def filed(client, supplier, *files, **typed):
    named = [SimpleUploadedFile(f"{number}.jpg", content) for number, content in enumerate(files)]
    asked = {"key": uuid4(), "file": named, "dated_on": "2026-03-04", "number": "R 17", **typed}
    return client.post(reverse("orders:file_invoice", args=[supplier.pk]), asked)


def test_an_invoice_is_filed_from_two_photographs_and_handed_out_as_one_document(member):
    supplier = SupplierFactory(name="Copperworks")

    response = filed(member, supplier, photo(), photo("HEIF"))

    assert response.headers["Location"] == supplier.get_absolute_url()
    assert str(Entry.objects.latest("pk")) == "Filed from Copperworks: invoice R 17 of 4 March 2026"
    assert "Invoice R 17 of 4 March 2026" in member.get(supplier.get_absolute_url()).content.decode()
    handed = member.get(Invoice.objects.get().get_absolute_url())
    assert len(pypdf.PdfReader(BytesIO(b"".join(handed.streaming_content))).pages) == 2
    assert handed["Content-Disposition"] == 'attachment; filename="invoice-copperworks-2026-03-04.pdf"'


def test_what_is_no_invoice_is_explained_and_keeps_nothing(member, uploads):
    supplier = SupplierFactory()
    filed(member, supplier, sheet())
    refusals = [
        ((), {}, "file", "Needed"),
        ((b"MZ",), {}, "file", "nor a photograph"),
        ((sheet() + b"\n",), {"dated_on": "2150-01-01"}, "dated_on", "has not come yet"),
        ((sheet(),), {}, "file", "on file already"),
    ]

    for files, typed, field, sentence in refusals:
        form = filed(member, supplier, *files, **typed).context["form"]
        assert sentence in " ".join(form.errors[field]), field

    assert len(list(uploads.rglob("*.pdf"))) == Invoice.objects.count() == 1


def test_a_struck_invoice_is_shown_no_longer(member):
    supplier = SupplierFactory()
    one = invoiced(supplier, number="R 17")
    assert "R 17" in member.get(supplier.get_absolute_url()).content.decode()

    book.strike(one.entry, by=signed(2), reason="of somebody else")

    assert "R 17" not in member.get(supplier.get_absolute_url()).content.decode()
