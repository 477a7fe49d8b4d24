"""
The README's pictures, taken of the demo as it is today: `.venv/bin/python -m tests.pictures`.

Pages are photographed in a real browser, papers are drawn from their PDF.
"""

import tempfile
from pathlib import Path

import pypdfium2
from playwright.sync_api import BrowserContext, sync_playwright

from tests.studio.opened import opened

PICTURES = Path(__file__).resolve().parents[1] / ".readme"
WIDE, PHONE = {"width": 1280, "height": 800}, {"width": 360, "height": 720}
PAGES = {
    "bench": ("/", WIDE),
    "bench-phone": ("/", PHONE),
    "bath": ("/baths/2/", WIDE),
    "top-up-phone": ("/baths/1/top-up/", PHONE),
    "shelf": ("/shelf/", WIDE),
    "waste": ("/waste/", WIDE),
}
PAPERS = {
    "bath-card": "/baths/2/card/",
    "summary": "/safety/baths/1/summary/",
    "disposal": "/waste/disposals/1/paper/",
}
DPI = 60


def take(context: BrowserContext, address: str) -> None:
    page = context.new_page()
    page.goto(address)
    page.fill("[name=username]", "maren")
    page.fill("[name=password]", "tallow-street")
    page.click("main button")
    page.wait_for_url(lambda url: "sign-in" not in url)
    for name, (path, size) in PAGES.items():
        page.set_viewport_size(size)
        page.goto(address + path)
        page.wait_for_load_state("networkidle")
        page.screenshot(path=PICTURES / f"{name}.png")
    for name, path in PAPERS.items():
        draw(context.request.get(address + path).body(), PICTURES / f"{name}.png")


def draw(paper: bytes, picture: Path) -> None:
    """The first page of a paper as a picture."""
    pypdfium2.PdfDocument(paper)[0].render(scale=DPI / 72).to_pil().save(picture, optimize=True)


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as data, opened(Path(data)) as book, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        take(browser.new_context(), book.address)
        browser.close()


if __name__ == "__main__":
    main()
