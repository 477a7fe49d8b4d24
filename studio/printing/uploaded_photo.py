"""
A photograph is its picture and nothing else: turned upright, without the place where it was taken, encoded anew.

Import this module late: it takes a fifth of a second.
"""

from collections.abc import Iterable
from contextlib import suppress
from io import BytesIO
from threading import Lock

import pillow_heif
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from PIL import Image, ImageCms, ImageFile, ImageOps
from pypdf import PdfWriter

MOST_PIXELS = 60_000_000  # a phone of 48 megapixels, and some
PAGE_PX, PICTURE_PX, THUMBNAIL_PX = 2200, 2400, 320  # the longer side; a page of A4 then has 188 dots an inch
QUALITY = 80
LONG_SIDE_IN = 11.69  # of A4
FORMATS = ("JPEG", "PNG", "HEIF")
BEGINNINGS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")
HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")

pillow_heif.register_heif_opener(thumbnails=False)
# one after another: a picture of 60 million dots takes 180 MB while it is read
one_at_a_time = Lock()


def is_photo(beginning: bytes) -> bool:
    """By its content: a name ends in whatever somebody typed."""
    return beginning.startswith(BEGINNINGS) or (beginning[4:8] == b"ftyp" and beginning[8:12] in HEIC_BRANDS)


def read(file: UploadedFile, *, longest_px: int) -> Image.Image:
    """Its picture, upright and at most so long; ValidationError with the reason where there is none to be had."""
    # who lays out papers lets halves pass for all of this process: half a paper would be kept as the whole
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        file.seek(0)
        with one_at_a_time, Image.open(file, formats=FORMATS) as photo:
            # before anything is unpacked: a small file can announce billions of dots
            if photo.width * photo.height > MOST_PIXELS:
                raise Image.DecompressionBombError
            photo.draft("RGB", (longest_px, longest_px))
            photo.thumbnail((longest_px, longest_px))
            return plain(ImageOps.exif_transpose(photo))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        most = MOST_PIXELS // 1_000_000
        said = ngettext(
            "That photograph has more than %(most)s million dots. Take it anew with fewer.",
            "That photograph has more than %(most)s million dots. Take it anew with fewer.",
            most,
        )
        raise ValidationError(said % {"most": most}) from error
    except Exception as error:  # a broken file makes the reader trip in ways that it does not announce
        raise ValidationError(_("That photograph is broken and cannot be read. Take it anew.")) from error


def plain(photo: Image.Image) -> Image.Image:
    """On white where it lets through, in everyday colours, with nothing written beside the picture."""
    if photo.has_transparency_data:
        clear = photo.convert("RGBA")
        photo = Image.new("RGB", clear.size, "white")
        photo.paste(clear, mask=clear.getchannel("A"))
    profile = photo.info.get("icc_profile")
    upright = photo.convert("RGB")
    if profile and photo.mode == "RGB":
        # the wide colours of a phone would look dull where their profile is gone
        with suppress(ImageCms.PyCMSError):
            ImageCms.profileToProfile(upright, BytesIO(profile), ImageCms.createProfile("sRGB"), inPlace=True)
    upright.info = {}
    return upright


def small(picture: Image.Image) -> Image.Image:
    thumbnail = picture.copy()
    thumbnail.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX))
    return thumbnail


def as_jpeg(picture: Image.Image) -> bytes:
    file = BytesIO()
    picture.save(file, "JPEG", quality=QUALITY, optimize=True)
    return file.getvalue()


def as_pdf(pages: Iterable[Image.Image]) -> bytes:
    """One document of as many sheets, each as long as one of A4."""
    whole = PdfWriter()
    for page in pages:
        sheet = BytesIO()
        page.save(sheet, "PDF", resolution=max(page.size) / LONG_SIDE_IN, quality=QUALITY)
        whole.append(sheet)
    # who made it with what is nobody's business
    whole.metadata = None
    file = BytesIO()
    whole.write(file)
    return file.getvalue()
