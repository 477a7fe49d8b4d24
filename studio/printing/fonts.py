"""The letters of the pages, found among the other static files and cut down to what pages are written with."""

from io import BytesIO
from pathlib import Path

from django.contrib.staticfiles.finders import FileSystemFinder
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage

from studio.printing.faces import FACES

PREFIX = "fonts"
# Latin with all its accents; spaces, dashes and quotes; digits below the line; €, arrows, Δ Ω μ − ≈ ≤ ≥
LETTERS = (
    *(*range(0x20, 0x7F), *range(0xA0, 0x180), 0x2009, 0x2011, 0x2013, 0x2014, 0x2018, 0x2019, 0x201C, 0x201D, 0x2026),
    *(0x202F, 0x2032, 0x2033, *range(0x2080, 0x208A), 0x20AC, *range(0x2190, 0x2194)),
    *(0x394, 0x3A9, 0x3BC, 0x2212, 0x2248, 0x2264, 0x2265),
)


def cut_down(face: Path) -> bytes:
    """A tenth of what a phone would have to load otherwise, without what only papers need."""
    from fontTools import subset  # for the start that collects static files, and no other

    options = subset.Options(flavor="woff2", hinting=False, layout_features=[])
    subsetter, written = subset.Subsetter(options), BytesIO()
    subsetter.populate(unicodes=LETTERS)
    with subset.load_font(str(face), options) as font:
        subsetter.subset(font)
        subset.save_font(font, written, options)
    return written.getvalue()


class Faces(FileSystemStorage):
    """A folder of faces, each under the name that its letters have on pages; `path` is that of the whole face."""

    def path(self, name: str) -> str:
        return super().path(name.replace(".woff2", ".ttf"))

    def _open(self, name: str, mode: str = "rb") -> ContentFile:
        return ContentFile(cut_down(Path(self.path(name))), name)


class FontFinder(FileSystemFinder):
    """Finds the three faces in use as fonts/<name>.woff2; the packages hold some fifty more."""

    def __init__(self, app_names=None, *args, **kwargs):
        self.locations = [(PREFIX, str(folder)) for folder in sorted({face.parent for face in FACES})]
        self.storages = {folder: Faces(location=folder) for _, folder in self.locations}
        for storage in self.storages.values():
            storage.prefix = PREFIX

    def find_location(self, root, path, prefix=None):
        # nothing was collected yet: the whole face, which a browser reads as well
        return super().find_location(root, path.replace(".woff2", ".ttf"), prefix)

    def list(self, ignore_patterns):
        names = {face.name for face in FACES}
        found = super().list(ignore_patterns)
        return ((name.replace(".ttf", ".woff2"), storage) for name, storage in found if name in names)
