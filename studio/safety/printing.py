"""A label in the largest letters that its words leave room for; a word that has none is never cut off."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from studio.printing import papers
from studio.printing.label_sizes import LEAST_PT, SIZES, letters_that_fill
from studio.safety.labels import LabelSheet

PX_PER_MM, PX_PER_PT = 96 / 25.4, 96 / 72  # CSS Values and Units Module Level 3, 5.2


@dataclass(frozen=True, kw_only=True)
class ComposedLabel:
    """A label on its size or as one of a sheet, in the letters that fill it; fits: whether its words have room."""

    shown: dict[str, Any]
    fits: bool

    def pdf(self, copies: int = 1) -> bytes:
        sheet: LabelSheet | None = self.shown["sheet"]
        page = sheet.page if sheet else "A4"
        wanted = {**self.shown, "sheets": on_sheets(sheet, copies) if sheet else []}
        template = "safety/papers/label_sheet.html" if sheet else "safety/papers/label.html"
        rules = f"{self.rules} html {{ font-size: {self.shown['letters']}pt }}"
        return papers.pdf(template, wanted, title=self.title, page=page, rules=rules)

    @property
    def rules(self) -> str:
        """Its measures, as rules of a stylesheet."""
        size, sheet = self.shown, self.shown["sheet"]
        width, height, margin = (f"{size[name]:.2f}mm" for name in ("width", "height", "margin"))
        if not sheet:
            return f"@page label {{ size: {width} {height}; margin: {margin} }}"
        across = " landscape" if sheet.is_across else ""
        return (
            f"@page label {{ size: {sheet.page}{across}; margin: {sheet.top_mm}mm 0 0 {sheet.left_mm}mm }} "
            f".label-sheet .hazard-label {{ width: {width}; height: {height}; padding: {margin} }} "
            f".label-sheet .hazard-label:not(:nth-child({sheet.columns}n)) {{ margin-right: {sheet.gap_mm}mm }}"
        )

    @property
    def box(self) -> list[str]:
        """On a page, in its pixels: width and height, margin, and width and height within it."""
        sides = (self.shown["width"], self.shown["height"], self.shown["margin"], *self.shown["within"])
        return [f"{side * PX_PER_MM:.1f}" for side in sides]

    @property
    def letters_px(self) -> str:
        return f"{self.shown['letters'] * PX_PER_PT:.1f}"

    @property
    def at(self) -> datetime:
        """When it would be printed."""
        return timezone.localtime()

    @property
    def title(self) -> str:
        return _("Label: %(name)s") % {"name": self.shown["label"]["name"]}


def on_sheets(sheet: LabelSheet, copies: int) -> list[range]:
    """
    How many stand on each sheet.

    >>> from studio.safety.labels import sheet_for
    >>> [len(each) for each in on_sheets(sheet_for("a7", "A4"), 9)]
    [8, 1]
    """
    starts = range(0, copies, sheet.on_a_sheet)
    return [range(min(sheet.on_a_sheet, copies - start)) for start in starts]


def compose(content: dict, size: str, context: dict, sheet: LabelSheet | None = None) -> ComposedLabel:
    """
    Fill a label with what `studio.safety.labels` put together.

    context: workshop, printed_by, code and caution, as `studio.papers.pdf` and the template want them.
    """
    area = SIZES[size]
    margin = area.margin_mm
    width, height = (sheet.width_mm, sheet.height_mm) if sheet else (area.width_mm, area.height_mm)
    shown: dict[str, Any] = {"label": content, "size": size, "sheet": sheet, **context}
    shown |= {"width": width, "height": height, "margin": margin, "within": (width - 2 * margin, height - 2 * margin)}
    alone = ComposedLabel(shown=shown | {"sheet": None}, fits=False)
    html = papers.html("safety/papers/label.html", alone.shown, title=alone.title)
    fitted = letters_that_fill(html, alone.rules)
    letters = fitted or LEAST_PT
    return ComposedLabel(shown=shown | {"letters": letters}, fits=bool(fitted))
