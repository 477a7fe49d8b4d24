"""
Binds tagged papers into one that can still be read aloud.

Its objects are copied one by one and dropped: a long paper would otherwise lie in memory as a whole, many times over.
Import this module late: it takes a tenth of a second.
"""

from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

from pypdf import PdfReader
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    TextStringObject,
)

CATALOG, PAGES, TREE, NUMBERS, OUTLINE = range(1, 6)  # the objects of the whole; those of its papers follow
OF_THE_WHOLE = ("/Lang", "/ViewerPreferences", "/MarkInfo", "/Metadata")
STRUCTURES_OF_PAGE, STRUCTURE_OF_LINK = "/StructParents", "/StructParent"
OF_THE_FILE = ("/ObjStm", "/XRef", "/Catalog", "/Pages", "/StructTreeRoot")


def bind(papers: Iterable[tuple[str, bytes]], into: Path) -> None:
    """Papers with their titles as one, listed in its outline; what is said of the whole is what the first says."""
    with into.open("wb") as file:
        binder = _Binder(file)
        for title, paper in papers:
            binder.add(title, PdfReader(BytesIO(paper)))
        binder.end()


def count_pages(paper: bytes) -> int:
    return len(PdfReader(BytesIO(paper)).pages)


class _Binder:
    """
    Writes a PDF (ISO 32000-1, 7.5) while its papers come.

    Every page, and every link on it, names by number which structure its marks belong to (14.7.4.4); the numbers of
    each paper follow those of the papers before it, as those of its objects do.
    """

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.written: dict[int, int] = {}
        self.taken, self.structures_taken = OUTLINE, 0
        self.pages, self.documents, self.numbers = ArrayObject(), ArrayObject(), ArrayObject()
        self.listed: list[tuple[str, IndirectObject]] = []
        self.root, self.info = DictionaryObject(), DictionaryObject()
        file.write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def add(self, title: str, paper: PdfReader) -> None:
        trailer: Any = paper.trailer
        root = trailer["/Root"].get_object()
        tree = root["/StructTreeRoot"].get_object()
        moved = {root.raw_get("/Pages").idnum: PAGES, root.raw_get("/StructTreeRoot").idnum: TREE}
        move = _Move(self.taken, self.structures_taken, moved)
        if not self.pages:
            self.root = move.of(DictionaryObject({name: root.raw_get(name) for name in map(NameObject, OF_THE_WHOLE)}))
            self.info = move.of(trailer["/Info"].get_object())
        pages = [move.of(page.indirect_reference) for page in paper.pages]
        self.listed.append((title, pages[0]))
        self.pages.extend(pages)
        self.documents.extend(move.of(tree["/K"]))
        numbers = tree["/ParentTree"].get_object()["/Nums"]
        for number, structure in zip(numbers[::2], numbers[1::2], strict=True):
            self.numbers.extend([NumberObject(number + self.structures_taken), move.of(structure)])
        for number, each in _objects(paper):
            self._write(number + self.taken, move.of(each))
        self.taken += int(trailer["/Size"])
        self.structures_taken += max(numbers[::2]) + 1

    def end(self) -> None:
        outline = [self.taken + number for number in range(1, len(self.listed) + 1)]
        self._write(PAGES, _dictionary(Type="/Pages", Kids=self.pages, Count=len(self.pages)))
        self._write(TREE, _dictionary(Type="/StructTreeRoot", K=self.documents, ParentTree=_to(NUMBERS)))
        self._write(NUMBERS, _dictionary(Nums=self.numbers))
        self._write(OUTLINE, _dictionary(First=_to(outline[0]), Last=_to(outline[-1]), Count=len(outline)))
        for number, (title, page) in zip(outline, self.listed, strict=True):
            beside = {"Prev": _to(number - 1)} if number > outline[0] else {}
            beside |= {"Next": _to(number + 1)} if number < outline[-1] else {}
            leads_to = ArrayObject([page, NameObject("/Fit")])
            self._write(
                number, _dictionary(Title=TextStringObject(title), Parent=_to(OUTLINE), Dest=leads_to, **beside)
            )
        whole = _dictionary(Type="/Catalog", Pages=_to(PAGES), StructTreeRoot=_to(TREE), Outlines=_to(OUTLINE))
        self._write(CATALOG, DictionaryObject(self.root | whole))
        self._write_trailer(outline[-1] + 1)

    def _write(self, number: int, each: PdfObject) -> None:
        self.written[number] = self.file.tell()
        self.file.write(b"%d 0 obj\n" % number)
        each.write_to_stream(self.file)
        self.file.write(b"\nendobj\n")

    def _write_trailer(self, size: int) -> None:
        began = self.file.tell()
        self.file.write(b"xref\n0 %d\n0000000000 65535 f \n" % size)
        for number in range(1, size):
            at = self.written.get(number)
            self.file.write(b"0000000000 00000 f \n" if at is None else b"%010d 00000 n \n" % at)
        self.file.write(b"trailer\n")
        _dictionary(Size=size, Root=_to(CATALOG), Info=self.info).write_to_stream(self.file)
        self.file.write(b"\nstartxref\n%d\n%%%%EOF\n" % began)


class _Move:
    """Puts objects of one paper among those of the whole."""

    def __init__(self, taken: int, structures_taken: int, moved: dict[int, int]) -> None:
        self.taken, self.structures_taken, self.moved = taken, structures_taken, moved

    def of(self, each: Any) -> Any:
        if isinstance(each, IndirectObject):
            return _to(self.moved.get(each.idnum, each.idnum + self.taken))
        if isinstance(each, DictionaryObject):
            for name in each:
                each[name] = self._value(name, each.raw_get(name))
        elif isinstance(each, ArrayObject):
            return ArrayObject(self.of(one) for one in list.__iter__(each))
        return each

    def _value(self, name: str, value: Any) -> Any:
        if name in (STRUCTURES_OF_PAGE, STRUCTURE_OF_LINK):
            return NumberObject(value + self.structures_taken)
        return self.of(value)


def _objects(paper: PdfReader) -> Iterator[tuple[int, Any]]:
    """What is drawn and what it means; not how its own file is put together."""
    numbers = sorted({number for known in paper.xref.values() for number in known} | set(paper.xref_objStm))
    for number in numbers:
        each = paper.get_object(IndirectObject(number, 0, paper))
        if each is not None and not (isinstance(each, DictionaryObject) and each.get("/Type") in OF_THE_FILE):
            yield number, each


def _to(number: int) -> IndirectObject:
    return IndirectObject(number, 0, None)


def _dictionary(**values: Any) -> DictionaryObject:
    return DictionaryObject({NameObject(f"/{name}"): _object(value) for name, value in values.items()})


def _object(value: Any) -> PdfObject:
    if isinstance(value, int):
        return NumberObject(value)
    return NameObject(value) if type(value) is str else value
