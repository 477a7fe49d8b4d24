"""What is recalled: a page, a paper and a spreadsheet for whoever checks it."""

import csv
from io import BytesIO, StringIO

import pypdf
import pytest
from django.urls import reverse

from chemistry.evidence import entries
from studio.safety import evidence

pytestmark = pytest.mark.django_db

PAGE = reverse("safety:evidence")


def test_every_recalled_line_is_listed_once_under_the_document_to_open():
    listed = [line for group in evidence.recalled() for line in group.lines]

    assert sorted(listed, key=str) == sorted((entry for entry in entries() if entry.is_recalled), key=str)
    assert all(
        line.documents[:1] == ((group.document,) if group.document else ())
        for group in evidence.recalled()
        for line in group.lines
    )


def test_the_page_counts_them_and_says_how_each_document_was_looked_for(member):
    shown = member.get(PAGE).content.decode()

    recalled = [entry for entry in entries() if entry.is_recalled]
    assert f"rest on memory: {len(recalled)} of {len(entries())}." in shown
    assert all(each.found[1:40] in shown for entry in recalled for each in entry.documents[:1])


def test_the_spreadsheet_holds_every_line_with_its_edition(member):
    answer = member.get(reverse("safety:evidence_csv"))

    head, *rows = csv.reader(StringIO(answer.getvalue().decode().lstrip("\ufeff")))
    assert tuple(head) == evidence.CSV_HEAD
    assert len(rows) == len(entries())
    assert sum(row[5] == "recalled" for row in rows) == sum(entry.is_recalled for entry in entries())


def test_the_paper_has_room_for_an_answer_to_each(member):
    printed = pypdf.PdfReader(BytesIO(member.get(reverse("safety:evidence_paper")).content))

    said = "".join("".join(page.extract_text() for page in printed.pages).split())
    assert printed.metadata.title == "What is recalled"
    assert said.count("Right?") >= len(evidence.recalled())
    assert all("".join(entry.source.split()) in said for entry in entries() if entry.is_recalled)
