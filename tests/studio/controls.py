"""What stands in the forms of a page before anybody has typed: each control with its label, values and choices."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Control:
    name: str
    kind: str
    value: str = ""
    options: list[tuple[str, str]] = field(default_factory=list)  # value and words
    chosen: str = ""


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.controls: list[Control] = []
        self.inside: Control | None = None
        self.words = ""

    def handle_starttag(self, tag, attrs):
        told = {name: value or "" for name, value in attrs}
        if tag in ("input", "textarea", "select") and told.get("name"):
            kind = told.get("type", "text") if tag == "input" else tag
            self.inside = Control(told["name"], kind, told.get("value", ""))
            self.controls.append(self.inside)
            if "checked" in told:
                self.inside.chosen = self.inside.value
        elif tag == "option" and self.inside:
            self.inside.options.append((told.get("value", ""), ""))
            if "selected" in told:
                self.inside.chosen = told.get("value", "")
        self.words = ""

    def handle_data(self, data):
        self.words += data

    def handle_endtag(self, tag):
        if tag == "option" and self.inside and self.inside.options:
            value, _ = self.inside.options[-1]
            self.inside.options[-1] = value, " ".join(self.words.split())
        elif tag == "textarea" and self.inside:
            self.inside.value = self.words.strip()
        self.words = ""


def controls(html: str) -> list[Control]:
    """
    >>> [each] = controls('<select name="u"><option>g</option><option value="oz" selected>oz</option></select>')
    >>> each.options, each.chosen
    ([('', 'g'), ('oz', 'oz')], 'oz')
    """
    reader = _Reader()
    reader.feed(html)
    return reader.controls


def amounts(html: str) -> Iterator[tuple[Control, Control]]:
    """Each number with the unit beside it."""
    by_name = {each.name: each for each in controls(html)}
    for name, number in by_name.items():
        unit = by_name.get(f"{name[:-2]}_1") if name.endswith("_0") else None
        if unit and unit.kind == "select":
            yield number, unit
