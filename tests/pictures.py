"""
The README's pictures, taken of the demo as it is today: `.venv/bin/python -m tests.pictures`.

Pages are photographed in a real browser, papers are drawn from their PDF. `tests.pictures after` photographs ten pages
in their whole length on a phone instead, into files that begin with that word.
"""

import io
import sys
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

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
WHOLE = {
    "bench": "/",
    "bath": "/baths/2/",
    "drum": "/waste/9/",
    "waste": "/waste/",
    "jar": "/shelf/c/C7/",
    "shelf": "/shelf/",
    "use": "/shelf/use/",
    "safety": "/safety/",
    "start-a-bite": "/plates/62/bite/",
    "scanned": "/safety/open/c/C7/",
}
SIGNED_OUT = {"scanned"}
DPI, COLOURS = 60, 48


def take_whole(browser: Browser, address: str, when: str) -> None:
    """Ten pages from top to bottom, in few colours, because they stay in the repository."""
    signed_in, stranger = (browser.new_context(viewport=PHONE) for _ in range(2))
    sign_in(signed_in.new_page(), address)
    for name, path in WHOLE.items():
        page = (stranger if name in SIGNED_OUT else signed_in).new_page()
        page.goto(address + path)
        page.wait_for_load_state("networkidle")
        picture = Image.open(io.BytesIO(page.screenshot(full_page=True)))
        half = picture.convert("RGB").resize(
            (picture.width * 2 // 3, picture.height * 2 // 3), Image.Resampling.LANCZOS
        )
        half.quantize(COLOURS, kmeans=2, dither=Image.Dither.NONE).save(PICTURES / f"{when}-{name}.png", optimize=True)
        page.close()


def sign_in(page: Page, address: str) -> None:
    page.goto(address)
    page.fill("[name=username]", "maren")
    page.fill("[name=password]", "tallow-street")
    page.click("main button")
    page.wait_for_url(lambda url: "sign-in" not in url)


def take(context: BrowserContext, address: str) -> None:
    page = context.new_page()
    sign_in(page, address)
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
        if when := "".join(sys.argv[1:]):
            take_whole(browser, book.address, when)
        else:
            take(browser.new_context(), book.address)
        browser.close()


if __name__ == "__main__":
    main()
