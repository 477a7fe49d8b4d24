"""
What is typed is never lost: every form of every page, found by looking, with words in each field that takes any.

Taken, each of its words stands in the book's line or on a page that the line leads to. Refused, the page that comes
back holds all that was typed. Left for another page, by whatever button it offers, it comes back with all of it.
"""

import html
import re
from collections import Counter
from collections.abc import Iterator
from random import Random
from time import perf_counter
from unittest.mock import patch

from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import reverse

from inventory.models import Entry
from studio.printing import papers, press
from tests.campaigns import forms
from tests.campaigns.table import table
from tests.test_access import thrown_away

IN_A_TEST_DATABASE = True
WORDS = re.compile(r"words [0-9a-f]{6}")
# of the browser, or made anew by each page
NOT_TYPED = re.compile(r"csrfmiddlewaretoken|(.*-)?key|as_shown|seconds_ago")
LEAVES = re.compile(r'<button[^>]*name="leave"[^>]*value="([^"]+)"')
INSIDE = re.compile(r'<a [^>]*href="(/[^"#]*)')
SIGN_OUT = "/people/sign-out/"
LOOKED_AT = 12  # pages that a line leads to
A_FEW_FORMS = 16


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    began, counted, lost = perf_counter(), Counter(), []
    with transaction.atomic():
        try:
            client, reader = forms.keyholder(), forms.keyholder()
            addresses = {name: url for name, url in forms.addresses().items() if only in name}
            found = [each for each in forms.writing_pages(client, addresses) if forms.is_by_hand(each[0])]
            some = found if long or only else Random(seed).sample(found, min(A_FEW_FORMS, len(found)))
            for name, address, number in some:
                for what, fault in tried(client, reader, name, address, number):
                    counted[what] += 1
                    lost += [f"{name}, form {number}, {what}: {fault}"] if fault else []
        finally:
            transaction.set_rollback(True)
    told = table(["what", "number"], counted.items())
    assert not lost, "\n".join([told, *lost])
    return f"{told}\n{perf_counter() - began:.0f} s"


def tried(client: Client, reader: Client, name: str, address: str, number: int) -> Iterator[tuple[str, str]]:
    """Each thing that was tried of one form, and what of it was lost."""
    cache.clear()
    last = Entry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    with thrown_away():
        refused: list[forms.Sent] = []
        sent = forms.fill_and_send(forms.again(client), address, number, forms.plain_words, refused=refused)
        for each in refused:
            yield "refused", missing(shown(each.answer, each.form), each.typed, each.form)
        if not sent.is_taken:
            yield "not taken", forms.said_of(sent)
            return
        # a file stands under a name of the book's own, which says nothing of where it came from
        told = {field: [each for each in values if isinstance(each, str)] for field, values in sent.typed.items()}
        typed = set(WORDS.findall(str(told)))
        found = set()
        for page in led_to(reader, sent, last):
            found |= typed & set(WORDS.findall(page))
            if found == typed:
                break
        names = [field for field, values in told.items() if set(WORDS.findall(str(values))) - found]
        yield "taken", f"nowhere afterwards: {names}" if names else ""
    for way in ways_of(client, address):
        with thrown_away():
            yield "left and come back to", left_for(client, sent, way)


def led_to(client: Client, sent: forms.Sent, last: int) -> Iterator[str]:
    """The pages of what was written, the page that follows, and those that they lead to."""
    entries = [entry.get_absolute_url() for entry in Entry.objects.filter(pk__gt=last)]
    to = sent.answer.headers.get("Location", sent.form.url)
    seen, waiting = set(), [*entries, to, reverse("book:book"), sent.form.url]
    further: list[str] = []
    for at, address in enumerate(waiting):
        page = page_of(client, address)
        seen.add(address)
        yield page
        # what the line is of, not the menu around it
        if at <= len(entries):
            further += INSIDE.findall(page[page.find("<main") : page.find("</main")])
    for address in [html.unescape(each) for each in dict.fromkeys(further) if SIGN_OUT not in each][:LOOKED_AT]:
        if address not in seen:
            yield page_of(client, address)


def page_of(client: Client, address: str) -> str:
    """What stands there, or on the paper that it is."""
    printed: list[str] = []
    blank = papers.pdf("print.html", {}, title="Blank")
    with patch.object(press, "print_alone", lambda document, **how: printed.append(document) or blank):
        answer = forms.again(client).get(address)
    if answer.headers.get("Content-Type", "").startswith("text/html"):
        printed.append(answer.content.decode())
    elif answer.streaming:
        list(answer.streaming_content)
    return html.unescape("".join(printed))


def shown(answer, form: forms.Form) -> dict:
    """What the form of a page holds; of several with one address, all of them."""
    found: dict = {}
    for each in forms.Sent(form, {}, answer).forms_again:
        found |= forms.as_shown(each)
    return found


def missing(kept: dict, typed: dict, form: forms.Form) -> str:
    """Which of what was typed does not stand in a form any longer."""
    lost, pressed = {}, {each.name for each in form.buttons} - {each.name for each in form.controls}
    for name, values in typed.items():
        sent = [value for value in values if isinstance(value, str) and value.strip()]
        is_asked_again = "password" in name or name in ("pin", "again", "code")
        if name not in pressed and not NOT_TYPED.fullmatch(name) and not is_asked_again and sent:
            there = [" ".join(str(each).split()) for each in kept.get(name, [])]
            if gone := [each for each in sent if " ".join(each.split()) not in there]:
                lost[name] = gone
    return f"what was typed is gone: {lost}" if lost else ""


def ways_of(client: Client, address: str) -> list[str]:
    return [html.unescape(way) for way in LEAVES.findall(forms.again(client).get(address).content.decode())]


def left_for(client: Client, sent: forms.Sent, way: str) -> str:
    browser = forms.again(client)
    answer = browser.post(sent.form.url, {**sent.typed, "leave": way})
    if answer.status_code != 302 or "back=" not in answer.headers["Location"]:
        return f"{way} was not led to: {answer.status_code}"
    came_back = browser.get(sent.form.url)
    if "Here is what you had typed" not in came_back.content.decode():
        return f"back from {way}, nobody says that it is not written yet"
    return missing(shown(came_back, sent.form), sent.typed, sent.form)
