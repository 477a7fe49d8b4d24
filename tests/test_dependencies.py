"""Every library that is installed with the book may be, by its own licence."""

import re
from importlib.metadata import PackageNotFoundError, distribution, metadata
from pathlib import Path

LOCK = Path(__file__).resolve().parent.parent / "studio" / "requirements-nodes.lock"  # which holds all of the other
# permissive ones; weak copyleft that asks nothing of a program that uses the library; and fonts
FREE = re.compile(
    r"MIT|BSD|Apache|ISC|PSF|Python Software|HPND|Historical Permission|LGPL|Lesser General|MPL|Mozilla|OFL|Open Font|"
    r"ZPL|Zlib|Unlicense|CC0",
    re.IGNORECASE,
)
ZLIB = "Permission is granted to anyone to use this software for any purpose, including commercial applications"


def licence_of(name: str) -> str:
    """As its package says it: by SPDX, by its classifiers, by the first line of its text, or by all of it."""
    told = metadata(name)
    classifiers = [
        each.rpartition(" :: ")[2] for each in told.get_all("Classifier") or () if each.startswith("License")
    ]
    said = " ".join(filter(None, [told.get("License-Expression"), *classifiers, (told.get("License") or "")[:80]]))
    files = [file.read_text() for file in distribution(name).files or () if not said and file.stem == "LICENSE"]
    return said or ("Zlib" if any(ZLIB in " ".join(text.split()) for text in files) else "")


def test_every_library_of_the_lock_has_a_licence_that_lets_it_be_used():
    names = re.findall(r"^([A-Za-z0-9._-]+)==", LOCK.read_text(), re.MULTILINE)
    strange = {}
    for name in names:
        try:
            licence = licence_of(name)
        except PackageNotFoundError:
            continue  # of another system
        if not FREE.search(licence):
            strange[name] = licence
    assert len(names) > 30
    assert strange == {}
