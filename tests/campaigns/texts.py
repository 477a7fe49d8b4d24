"""
Hostile text in every free-text field of every form, in names of files and in cells of a list; then every page, paper,
label, feed and export that can be reached is looked at: what was typed stands there as text, and does nothing.

Three texts take turns among the fields: markup, a formula, and lines that would begin something new.
"""

import csv
import html
import io
from collections import Counter
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from itertools import product
from random import Random
from time import perf_counter
from unittest.mock import patch

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client

from inventory import headings
from studio.people.roles import MEMBER, VIEWER
from studio.printing import papers, press
from tests.campaigns import forms
from tests.campaigns.table import table
from tests.factories import PersonFactory
from tests.studio.conftest import sign_in

IN_A_TEST_DATABASE = True
MARKUP = "<script>x7()</script><img src=x onerror=x7()>\"'{{x7}}"
FORMULA = "=x7(1)"
LINES = "x7\r\nX-Evil: x7"
TEXTS = (MARKUP, FORMULA, LINES)
SHORT_FORMS, SHORT_PAGES, LONG_PAGES = 40, 40, 5_000


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    began, counted, faults = perf_counter(), Counter(), []
    with transaction.atomic():
        try:
            client = forms.keyholder()
            for turn in range(len(TEXTS) if long else 1):
                typed_in(client, seed + turn, only, counted, most=None if long else SHORT_FORMS)
            for role, visitor in visitors(client).items():
                for address, what in reached(visitor, LONG_PAGES if long else SHORT_PAGES, Random(seed)):
                    counted[f"looked at as {role}"] += 1
                    faults += [f"{role}, {address}: {fault}" for fault in what]
        finally:
            transaction.set_rollback(True)
    told = table(["what", "number"], counted.items())
    assert not faults, "\n".join([told, *faults])
    return f"{told}\n{perf_counter() - began:.0f} s"


def typed_in(client: Client, turn: int, only: str, counted: Counter, *, most: int | None) -> None:
    """most: forms, picked by luck; None for all."""
    luck = Random(turn)

    def hostile(name: str) -> str:
        text = luck.choice(TEXTS)
        counted["fields and names of files"] += 1
        # a name that is there already would be refused
        return f"{text} {luck.randrange(10_000)}" if name != "file" else text.replace("/", "")

    addresses = {name: url for name, url in forms.addresses().items() if only in name}
    pages = list(forms.writing_pages(client, addresses))
    found = [each for each in pages if forms.is_by_hand(each[0])]
    some = found if most is None else luck.sample(found, min(most, len(found)))
    for browser, name, url, number in forms.one_after_the_other(client, some):
        cache.clear()
        try:
            with transaction.atomic():
                sent = forms.fill_and_send(browser, url, number, hostile)
                assert sent.answer.status_code < 500, f"{name} stumbled over {sent.typed}"
        except IndexError:
            counted["forms whose thing an earlier one has ended"] += 1
            continue
        counted["forms sent"] += 1
        counted["forms taken"] += sent.is_taken
    bring_a_list(client, hostile, counted)


def bring_a_list(client: Client, hostile: Callable[[str], str], counted: Counter) -> None:
    """A list with each text in each column there is: what a cell does not understand goes into the note."""
    columns = {name: words.partition("|")[0] for name, words in headings.WORDS.items()}
    written = io.StringIO()
    lines = csv.DictWriter(written, columns)
    lines.writerow(columns)
    for number, (text, name) in enumerate(product(TEXTS, columns)):
        lines.writerow({"material": f"Thing {number}", "amount": "3 pieces"} | {name: text})
    rows = written.getvalue()

    def list_of(control) -> SimpleUploadedFile:
        return SimpleUploadedFile(f"{MARKUP.replace('/', '')}.csv", rows.encode(), content_type="text/csv")

    sent = forms.fill_and_send(forms.again(client), "/shelf/import/", 0, hostile, {"file": list_of})
    assert sent.is_taken, forms.said_of(sent)
    preview = sent.answer.headers["Location"]
    counted["cells of a list"] += len(TEXTS) * len(columns)
    last = len(forms.forms_on(client.get(preview).content.decode(), preview)) - 1
    counted["lists brought in"] += forms.fill_and_send(forms.again(client), preview, last, hostile).is_taken


def visitors(keyholder: Client) -> dict[str, Client]:
    found = {"keyholder": keyholder, "stranger": Client(raise_request_exception=False)}
    for role in (MEMBER, VIEWER):
        found[role] = Client(raise_request_exception=False)
        sign_in(found[role], PersonFactory(role=role, name=f"Looks as {role}"))
    return found


class Looked(HTMLParser):
    """A page: where it leads, and what on it would act."""

    def __init__(self):
        super().__init__()
        self.links, self.acting = [], []

    def handle_starttag(self, tag, attributes):
        told = dict(attributes)
        if tag == "script" and not told.get("src"):
            self.acting.append("a script of the page's own")
        if tag in ("img", "iframe", "object", "embed") and told.get("src") == "x":
            self.acting.append(f"<{tag} src=x>")
        self.acting += [f"{tag} {name}" for name in told if name.startswith("on")]
        for name in ("href", "src", "action"):
            if (told.get(name) or "").strip().lower().startswith(("javascript:", "vbscript:")):
                self.acting.append(f"{tag} {name}={told[name]}")
        if tag == "a" and told.get("href"):
            self.links.append(told["href"])


def reached(client: Client, most: int, luck: Random) -> Iterator[tuple[str, list[str]]]:
    """Addresses found by following links, each with what is wrong there."""
    printed: list[str] = []
    blank = papers.pdf("print.html", {}, title="Blank")

    def print_nothing(document: str, **how) -> bytes:
        printed.append(document)
        return blank

    waiting, seen = ["/", "/safety/open/", "/first-aid/", *forms_addresses(client)], set()
    with patch.object(press, "print_alone", print_nothing):
        while waiting and len(seen) < most:
            address = waiting.pop(luck.randrange(len(waiting)))
            if address in seen:
                continue
            seen.add(address)
            printed.clear()
            answer = forms.again(client).get(address)
            body = b"".join(answer.streaming_content) if answer.streaming else answer.content
            kind = answer.headers.get("Content-Type", "")
            text = body.decode(errors="replace")
            faults = [f"answered {answer.status_code}"] if answer.status_code in (500, 502) else []
            faults += wrong_with(kind, text, answer)
            for page in printed:
                faults += [f"on paper: {fault}" for fault in wrong_with("text/html", page, answer)]
            yield address, faults
            if kind.startswith("text/html"):
                page = Looked()
                page.feed(text)
                inside = [
                    link.partition("#")[0] for link in page.links if link.startswith("/") and "sign-out" not in link
                ]
                waiting += [link for link in inside if link and link not in seen]


def forms_addresses(client: Client) -> list[str]:
    """The exports and feeds that a link may not lead to."""
    return ["/book/?_export=csv", "/shelf/?_export=csv", "/bench/everything/", "/waste/months/"]


def wrong_with(kind: str, text: str, answer) -> Iterator[str]:
    if kind.startswith(("text/html", "image/svg")):
        page = Looked()
        page.feed(text)
        yield from page.acting
        if "x7()" in html.unescape(text) and "<script>x7" in text:
            yield "the script stands there as markup"
    elif kind.startswith("text/csv"):
        # a cell that begins a formula would be worked out by a spreadsheet
        if any(cell.strip('"').startswith(("=x7", "@x7")) for line in text.splitlines() for cell in line.split(",")):
            yield "a formula begins a cell"
    elif kind.startswith("text/calendar") and any(line.startswith("X-Evil") for line in text.splitlines()):
        yield "a line of its own"
    if any("x-evil" in name.lower() or "\n" in str(value) for name, value in answer.headers.items()):
        yield "a header of its own"
