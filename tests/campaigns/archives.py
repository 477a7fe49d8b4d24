"""
Half a backup and hostile ones: paths that lead out, links, bombs, other compressions, encryption, names twice, bytes
flipped, cut off anywhere. After each the old book stands or the one of the archive does, and nothing else has changed.
"""

import io
import os
import stat
import tempfile
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from random import Random
from time import perf_counter

from django.conf import settings
from django.db import connection
from django.test import override_settings

from inventory.models import Person
from studio.server import backups
from tests.campaigns.table import table

IN_A_TEST_DATABASE = True
SHORT, LONG = 12, 2_000
DOCUMENT = "uploads/sheets/sulfate.pdf"
OUT = "../../outside"
BOMB_BYTES = 64 << 20


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, began, rows = Random(seed), perf_counter(), []
    with tempfile.TemporaryDirectory(prefix="mordant-archives-") as name:
        around = Path(name)
        data = around / "deep" / "data"
        (data / "uploads" / "sheets").mkdir(parents=True)
        with override_settings(DATA=data, MEDIA_ROOT=data / "uploads"):
            (data / DOCUMENT).write_bytes(b"%PDF- as the supplier sent it")
            Person.objects.create(name="Of the archive")
            sound = backups.make(around / "stick").read_bytes()
            Person.objects.create(name="Since then")
            for what, spoil, often in ways(long):
                came = {"restored": 0, "refused": 0}
                for _ in range(often):
                    came[tried(around, spoil(sound, luck))] += 1
                rows.append([what, often, came["refused"], came["restored"]])
    told = table(["an archive", "tries", "refused, the old book stands", "restored whole"], rows)
    return f"{told}\n{perf_counter() - began:.0f} s"


def ways(long: bool) -> list[tuple[str, Callable[[bytes, Random], bytes], int]]:
    many = LONG if long else SHORT
    return [
        ("cut off somewhere", lambda sound, luck: sound[: luck.randrange(len(sound))], many),
        ("with bytes flipped", flipped, many),
        ("with a path that leads out", partial_with(f"{OUT}.txt"), 1),
        ("with a document's path that leads out", partial_with(f"uploads/../{OUT}.txt"), 1),
        ("with an absolute path", partial_with("/tmp/mordant-outside.txt"), 1),
        ("with a path of another system", partial_with("..\\..\\outside.txt"), 1),
        ("with a link instead of a document", linked, 1),
        ("with a bomb", lambda sound, luck: more(sound, "uploads/bomb", bytes(BOMB_BYTES), shown=1 << 50), 1),
        (
            "with a bomb that hides its size",
            lambda sound, luck: more(sound, "uploads/bomb", bytes(BOMB_BYTES), shown=1),
            1,
        ),
        ("with its database twice", lambda sound, luck: more(sound, database_name(), b"not a book"), 1),
        ("with a folder for its database", without_database, 1),
        ("with a name of 300 letters", partial_with("uploads/" + "n" * 300), 1),
        ("of another compression", compressed(zipfile.ZIP_LZMA), 1),
        ("of an unknown compression", marked(8, 10, 97), 1),
        ("that is encrypted", marked(6, 8, 1), 1),
        ("that is empty", lambda sound, luck: b"", 1),
        ("inside another", lambda sound, luck: more(b"", "book.zip", sound), 1),
    ]


def tried(around: Path, archive: bytes) -> str:
    """What came of it: whichever book stands, stands whole, and nothing has changed around it."""
    file = around / "tried.zip"
    file.write_bytes(archive)
    before, outside = sorted(names()), tree(around)
    said = ""
    try:
        backups.restore(file)
    except backups.Failed as failure:
        said = str(failure)
    finally:
        connection.close()
    assert tree(around) == outside, f"{said}: {tree(around) ^ outside}"
    assert not Path("/tmp/mordant-outside.txt").exists()
    if said:
        assert sorted(names()) == before, said
        assert (settings.MEDIA_ROOT / "sheets" / "sulfate.pdf").exists(), said
        return "refused"
    assert names() == {"Of the archive"}, names()
    assert all(path.resolve().is_relative_to(settings.MEDIA_ROOT) for path in settings.MEDIA_ROOT.rglob("*"))
    with suppress(FileNotFoundError):
        assert not (settings.MEDIA_ROOT / "bomb").stat().st_size
    Person.objects.create(name="Since then")
    (settings.MEDIA_ROOT / "sheets" / "sulfate.pdf").write_bytes(b"%PDF- as the supplier sent it")
    return "restored"


def names() -> set[str]:
    return set(Person.objects.values_list("name", flat=True))


def tree(around: Path) -> set[str]:
    """What lies outside the data folder."""
    return {str(path) for path in around.rglob("*") if not path.is_relative_to(settings.DATA)}


def database_name() -> str:
    return backups.database_copy().NAME


def flipped(sound: bytes, luck: Random) -> bytes:
    torn = bytearray(sound)
    for _ in range(luck.choice([1, 1, 4, 32])):
        torn[luck.randrange(len(torn))] ^= luck.randrange(1, 256)
    return bytes(torn)


def more(sound: bytes, name: str, content: bytes, *, shown: int = 0, mode: int = 0) -> bytes:
    """One more member; shown: how large the list at the end says that it is."""
    held = io.BytesIO(sound)
    with zipfile.ZipFile(held, "a", zipfile.ZIP_DEFLATED) as file:
        each = zipfile.ZipInfo(name)
        each.compress_type = zipfile.ZIP_DEFLATED
        if mode:
            each.external_attr = mode << 16
        with suppress(UserWarning):
            file.writestr(each, content)
        if shown:
            each.file_size = shown
    return held.getvalue()


def partial_with(name: str) -> Callable[[bytes, Random], bytes]:
    return lambda sound, luck: more(sound, name, b"came from elsewhere")


def bomb(shown: int) -> Callable[[bytes, Random], bytes]:
    return lambda sound, luck: more(sound, "uploads/bomb", bytes(BOMB_BYTES), shown=shown)


def linked(sound: bytes, luck: Random) -> bytes:
    return more(sound, "uploads/link", os.fsencode("/etc/passwd"), mode=stat.S_IFLNK | 0o777)


def without_database(sound: bytes, luck: Random) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as file:
        file.writestr(f"{database_name()}/", b"")
    return held.getvalue()


def compressed(how: int) -> Callable[[bytes, Random], bytes]:
    def anew(sound: bytes, luck: Random) -> bytes:
        held = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(sound)) as old, zipfile.ZipFile(held, "w", how) as new:
            for each in old.namelist():
                new.writestr(each, old.read(each))
        return held.getvalue()

    return anew


def marked(local: int, central: int, value: int) -> Callable[[bytes, Random], bytes]:
    """Its first member said to be of another make, in front of it and in the list at the end."""

    def anew(sound: bytes, luck: Random) -> bytes:
        torn = bytearray(sound)
        for place in (local, torn.index(b"PK\x01\x02") + central):
            torn[place : place + 2] = value.to_bytes(2, "little")
        return bytes(torn)

    return anew
