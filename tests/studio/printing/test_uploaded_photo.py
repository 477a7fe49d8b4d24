"""What is taken for a photograph, what of it is kept, and what is refused."""

import struct
import zlib
from io import BytesIO

import pillow_heif
import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils.datastructures import MultiValueDict
from PIL import Image, ImageCms, ImageFile, ImageOps
from pypdf import PdfReader

from studio.pages import documents
from studio.pages.documents import DocumentField
from studio.printing import uploaded_photo
from tests.studio.printing.test_uploaded_pdf import sheet

MAKER, PLACE = "Camera of somebody", "Somebody's own studio"
SIDEWAYS = 6  # the camera was turned: Exif 2.3, orientation
EVERY_FORMAT = ("JPEG", "PNG", "HEIF")


def photo(form="JPEG", size=(640, 480), mode="RGB", **kept) -> bytes:
    """Black above, white below, taken with the camera turned, at a place."""
    picture = Image.new("RGB", size, "white")
    picture.paste("black", (0, 0, size[0], size[1] // 2))
    if mode == "RGBA":
        picture.putalpha(ImageOps.invert(picture.convert("L")))
    picture = picture.convert(mode)
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = SIDEWAYS, MAKER
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[27] = "N", (48.0, 8.0, 1.0), PLACE.encode()
    exif[0x8825] = place
    file = BytesIO()
    picture.save(file, form, exif=exif.tobytes(), **kept)
    return file.getvalue()


def chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def announcing(width: int, height: int) -> bytes:
    """A small PNG that unpacks to a picture of any size (PNG 1.2, 4.1)."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


def brought(*files: bytes | tuple[str, bytes]):
    named = [each if isinstance(each, tuple) else (f"{number}.jpg", each) for number, each in enumerate(files)]
    sent = MultiValueDict({"file": [SimpleUploadedFile(name, content) for name, content in named]})
    field = DocumentField()
    return field.clean(field.widget.value_from_datadict({}, sent, "file"))


def refusal(*files) -> str:
    with pytest.raises(ValidationError) as refused:
        brought(*files)
    return " ".join(refused.value.messages)


def read_back(document) -> PdfReader:
    document.file.seek(0)
    return PdfReader(document.file)


def test_a_photograph_becomes_a_page_upright_and_without_its_place():
    for form in EVERY_FORMAT:
        content = photo(form)
        assert MAKER.encode() in content and PLACE.encode() in content

        document = brought(content)

        [page] = read_back(document).pages
        kept = page.images[0].image
        # turned by the camera: what lay above lies at the right
        assert kept.size == (480, 640), form
        assert kept.getpixel((10, 320))[0] > 200 and kept.getpixel((470, 320))[0] < 50, form
        document.file.seek(0)
        whole = document.file.read()
        for secret in (MAKER, PLACE, "Exif", "GPS"):
            assert secret.encode() not in whole, form
        assert not dict(kept.getexif()) and "comment" not in kept.info


def test_several_photographs_are_one_document_in_their_order():
    document = brought(photo(size=(600, 400)), photo("HEIF", size=(400, 600)), photo("PNG", size=(300, 300)))

    sizes = [page.images[0].image.size for page in read_back(document).pages]

    assert sizes == [(400, 600), (600, 400), (300, 300)]
    heights = [round(max(page.mediabox.width, page.mediabox.height)) for page in read_back(document).pages]
    assert heights == [842, 842, 842]  # ISO 216: 297 mm are 841.9 points


def test_the_same_photographs_make_the_same_document():
    assert brought(photo(), photo("PNG")).sha256 == brought(photo(), photo("PNG")).sha256
    assert brought(photo()).sha256 != brought(photo(size=(300, 300))).sha256


def test_a_large_photograph_is_made_smaller():
    kept = uploaded_photo.read(SimpleUploadedFile("a.jpg", photo(size=(5000, 2500))), longest_px=2000)

    assert kept.size == (1000, 2000)


def test_every_kind_of_picture_is_read():
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    kinds = {
        "grey": photo(mode="L"),
        "four inks": photo(mode="CMYK"),
        "lets through": photo("PNG", mode="RGBA"),
        "a palette": photo("PNG", mode="P"),
        "with a profile": photo(icc_profile=wide),
        "with a profile that is none": photo(icc_profile=b"not a profile"),
    }

    for kind, content in kinds.items():
        kept = uploaded_photo.read(SimpleUploadedFile("a", content), longest_px=2000)
        assert (kept.mode, kept.size, kept.info) == ("RGB", (480, 640), {}), kind


def test_what_lets_through_lies_on_white():
    kept = uploaded_photo.read(SimpleUploadedFile("a.png", photo("PNG", mode="RGBA")), longest_px=2000)

    assert kept.getpixel((10, 320)) == (255, 255, 255)


def test_what_is_hostile_or_broken_is_refused_with_a_sentence(monkeypatch):
    # as it stands in a process that has laid out a paper
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    monkeypatch.setattr(documents, "LARGEST_PHOTO_BYTES", 100_000)
    heic = photo("HEIF")
    refusals = [
        ((photo()[:700],), "broken"),
        ((photo("PNG")[:200],), "broken"),
        ((heic[: len(heic) // 2],), "broken"),
        ((b"\xff\xd8\xff" + bytes(500),), "broken"),
        ((b"\x00\x00\x00\x1cftypheic" + bytes(500),), "broken"),
        ((announcing(100, 100),), "broken"),
        ((announcing(30_000, 30_000),), "more than 60 million dots"),
        ((announcing(9_000, 8_000),), "more than 60 million dots"),
        ((announcing(2_000_000_000, 2_000_000_000),), "more than 60 million dots"),
        ((photo() + bytes(200_000),), "0.jpg has"),
        ((photo(), sheet()), "1.jpg is no photograph"),
        ((sheet(), sheet()), "Bring one PDF, or photographs of its pages"),
        ((photo(), ("list.gif", b"GIF89a" + bytes(20))), "list.gif is no photograph"),
        ((b"GIF89a" + bytes(100),), "nor a photograph as JPEG, PNG or HEIC"),
        ((b"<svg xmlns='http://www.w3.org/2000/svg'/>",), "nor a photograph"),
        ((b"",), "empty"),
        ((photo(), b""), "empty"),
        ((photo(size=(8, 8)),) * 21, "That is 21 pages; bring 20 at most"),
    ]

    for files, sentence in refusals:
        assert sentence in refusal(*files), sentence


def test_a_pdf_stays_as_it_is_and_nothing_is_needed():
    document = brought(sheet())

    assert document.file.read() == sheet()
    assert brought() == documents.Document()


def test_a_name_says_nothing():
    assert len(read_back(brought(("invoice.pdf", photo("HEIF")))).pages) == 1
    assert not uploaded_photo.is_photo(b"\x00\x00\x00\x1cftypavif")
    assert pillow_heif.options.DISABLE_SECURITY_LIMITS is False
