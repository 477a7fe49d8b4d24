"""The letters of the pages, found among the other static files."""

from django.contrib.staticfiles.finders import FileSystemFinder
from django.core.files.storage import FileSystemStorage

from studio.printing.faces import FACES

PREFIX = "fonts"


class FontFinder(FileSystemFinder):
    """Finds the three faces in use as fonts/<file>; the packages hold some fifty more."""

    def __init__(self, app_names=None, *args, **kwargs):
        self.locations = [(PREFIX, str(folder)) for folder in sorted({face.parent for face in FACES})]
        self.storages = {folder: FileSystemStorage(location=folder) for _, folder in self.locations}
        for storage in self.storages.values():
            storage.prefix = PREFIX

    def list(self, ignore_patterns):
        names = {face.name for face in FACES}
        return (found for found in super().list(ignore_patterns) if found[0] in names)
