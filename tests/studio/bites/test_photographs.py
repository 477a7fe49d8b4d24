"""Photographs of plates and proofs: cleaned, found again on the plate's page, struck and taken away like any line."""

import zipfile
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory import book
from inventory.models import Entry
from studio.bench import everything
from studio.bites import plates
from studio.bites.models import Photograph
from studio.pages.documents import Picture
from tests.factories import plate, signed
from tests.studio.printing.test_uploaded_photo import MAKER, PLACE, photo

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def uploads(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def photographed(of, *, shows="proof", state=1, words=""):
    picture = Picture(ContentFile(photo(), "a.jpg"), ContentFile(photo(size=(64, 48)), "b.jpg"), 640, 480)
    return plates.photograph(of, pictures=[picture], shows=shows, state=state, words=words, by=signed(1))


def sent(client, of, *files, **typed):
    pictures = [SimpleUploadedFile(f"{number}.jpg", content) for number, content in enumerate(files)]
    asked = {"key": uuid4(), "shows": "plate", "state": "2", "pictures": pictures, **typed}
    return client.post(reverse("bites:add_photographs", args=[of.pk]), asked)


def test_photographs_are_kept_without_their_place_beside_a_small_one(member, uploads):
    harbour = plate()

    response = sent(member, harbour, photo(size=(4000, 3000)), photo("HEIF"), words="before the aquatint")

    assert response.headers["Location"] == harbour.get_absolute_url()
    assert str(Entry.objects.latest("pk")) == "Took 2 photographs of the plate Harbour"
    large, other = Photograph.objects.order_by("pk")
    assert (large.width, large.height, other.width, other.height) == (1800, 2400, 480, 640)
    assert str(large) == "the plate, state II: before the aquatint"
    kept = list(uploads.rglob("*.jpg"))
    assert len(kept) == 4
    for file in kept:
        content = file.read_bytes()
        assert MAKER.encode() not in content and PLACE.encode() not in content and b"Exif" not in content
    with large.small.open() as small, Image.open(small) as thumbnail:
        assert thumbnail.size == (240, 320)


def test_a_plate_shows_its_photographs_folded_until_they_are_struck(member):
    harbour = plate()
    entry = photographed(harbour, words="first proof")
    [one] = entry.photographs.all()

    page = member.get(harbour.get_absolute_url()).content.decode()
    assert "1 photograph" in page and "first proof" in page and 'loading="lazy"' in page
    for name in ("photograph", "small_photograph"):
        response = member.get(reverse(f"bites:{name}", args=[one.pk]))
        assert response["Content-Type"] == "image/jpeg" and "sandbox" in response["Content-Security-Policy"]
        assert b"".join(response.streaming_content).startswith(b"\xff\xd8\xff")

    book.strike(entry, by=signed(2), reason="another plate")
    assert "first proof" not in member.get(harbour.get_absolute_url()).content.decode()


def test_a_double_tap_keeps_one_photograph(member):
    harbour, key = plate(), uuid4()

    for _ in range(2):
        sent(member, harbour, photo(), key=key)

    assert Photograph.objects.count() == 1


def test_what_is_no_photograph_keeps_nothing(member, uploads):
    refusals = [((b"%PDF-1.7",), "is no photograph"), ((), "needed"), ((photo()[:500],), "broken")]

    for files, sentence in refusals:
        response = sent(member, plate(name=sentence), *files, words="mine")
        assert sentence in str(response.context["form"].errors["pictures"]).lower()
        assert response.context["form"]["words"].value() == "mine"

    assert not list(uploads.rglob("*.jpg"))


def test_the_state_that_was_bitten_last_is_offered(member):
    harbour = plate()
    plates.prepare(harbour, state=3, by=signed(1))

    page = member.get(reverse("bites:add_photographs", args=[harbour.pk]), {"shows": "proof"})

    assert (page.context["form"]["state"].value(), page.context["form"]["shows"].value()) == (3, "proof")


def test_photographs_leave_with_the_book(keyholder):
    photographed(plate())

    archive = zipfile.ZipFile(BytesIO(b"".join(everything.zipped(signed(1).happened_at.tzinfo))))

    table = archive.read("photographs.csv").decode()
    [one] = Photograph.objects.all()
    assert one.file.name in table
    assert {f"uploads/{one.file.name}", f"uploads/{one.small.name}"} < set(archive.namelist())
    assert archive.read(f"uploads/{one.file.name}").startswith(b"\xff\xd8\xff")
