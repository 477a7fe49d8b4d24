"""A book that is served below a path of a host which has others too."""

import json
import re
import signal
import sqlite3
from collections import Counter
from contextlib import closing
from html import unescape
from http import HTTPStatus
from urllib.error import HTTPError
from urllib.parse import urlsplit

import pytest
from django.urls import resolve
from playwright.sync_api import expect

from tests import nodes
from tests.postgres import free_port
from tests.studio.opened import opened

pytestmark = pytest.mark.nodes
BELOW = "/mordant"
LINK = re.compile(r'(?:href|src|action|formaction|hx-get|hx-post|data-[a-z-]+)="([^"#]*)[#"]')
CODE = re.compile(r"<desc>(http[^<]*)</desc>")
OF_EACH = 2  # pages of a kind are alike
LEFT_OUT = {"people:sign_out", "bench:everything"}


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """The demo's year as an own book behind a proxy, which is the only one to be reached from elsewhere."""
    folder, port = tmp_path_factory.mktemp("below"), free_port()
    with opened(folder / "data") as demo:
        demo.close(signal.SIGINT)
    with closing(sqlite3.connect(folder / "data" / "mordant.sqlite3")) as book, book:
        book.execute("UPDATE workshop_workshop SET is_demo = 0")
    environ = {"MORDANT_URL": f"http://127.0.0.1:{port}{BELOW}/", "MORDANT_PROXIES": "1"}
    bind = f"127.0.0.1:{free_port()}"
    with (
        opened(folder / "data", MORDANT_BIND=bind, **environ) as book,
        nodes.proxy([book.address], folder, port=port) as address,
    ):
        yield book, address, folder


@pytest.fixture(scope="module")
def maren(house):
    return nodes.Browser(house[1] + BELOW, name="maren", password="tallow-street").sign_in()


def opened_by(maren, path):
    try:
        return maren.opener.open(maren.address + path, timeout=120)
    except HTTPError as refusal:
        # where a form is sent to nothing may be read
        assert refusal.code == HTTPStatus.METHOD_NOT_ALLOWED, f"{path} answers {refusal.code}"
        return refusal


def test_every_link_of_every_kind_of_page_leads_below_it(house, maren):
    seen, ahead, kinds, codes = set(), ["/", "/safety/open/", "/first-aid/"], Counter(), set()
    while ahead:
        path = ahead.pop(0)
        kind = resolve(urlsplit(path).path).view_name
        if path in seen or kinds[kind] >= OF_EACH or kind in LEFT_OUT:
            continue
        seen.add(path)
        kinds[kind] += 1
        with opened_by(maren, path) as answer:
            assert urlsplit(answer.url).path.startswith(f"{BELOW}/"), (path, answer.url)
            if not answer.headers["Content-Type"].startswith("text/html"):
                continue
            page = answer.read().decode()
        codes |= set(CODE.findall(page))
        links = {unescape(link) for link in LINK.findall(page) if link.startswith("/")}
        astray = {link for link in links if not link.startswith(f"{BELOW}/") or link.startswith(f"{BELOW}{BELOW}")}
        assert not astray, (path, astray)
        inside = {link.removeprefix(BELOW) for link in links}
        assert not [link for link in inside if link.startswith("//")], path
        ahead += sorted(link for link in inside if not link.startswith("/static/") and "CODE" not in link)

    assert len(kinds) > 60
    assert codes and all(code.startswith(f"{house[1]}{BELOW}/") for code in codes)
    assert all(maren.opener.open(code, timeout=60).status == 200 for code in sorted(codes)[:5])
    print(f"{len(seen)} pages of {len(kinds)} kinds, {len(codes)} codes")


def test_cookies_stay_below_it(maren):
    jar = next(each.cookiejar for each in maren.opener.handlers if hasattr(each, "cookiejar"))

    assert {cookie.path for cookie in jar} == {f"{BELOW}/"}


def test_static_files_open_below_it(maren):
    styles = re.findall(r'href="(/[^"]+\.css)"', maren.read("/"))

    assert styles and all(maren.read(style.removeprefix(BELOW)) for style in styles)


def test_a_proxy_may_take_the_path_off(house, maren):
    book, _, folder = house
    with nodes.proxy([book.address], folder, rule=f"http-request replace-path {BELOW}/(.*) /\\1") as address:
        assert f'href="{BELOW}/shelf/"' in maren.read("/", at=address + BELOW)


def test_what_is_kept_for_the_day_without_a_network_lies_below_it(house, chromium):
    address = house[1] + BELOW
    kept = json.loads(nodes.answer(f"{address}/safety/open/kept.json")[1])
    assert kept["pages"] and all(path.startswith(f"{BELOW}/") for path in [*kept["pages"], *kept["codes"]])

    with chromium.new_context() as phone:
        page = phone.new_page()
        page.goto(f"{address}/safety/open/")
        scope = page.evaluate("navigator.serviceWorker.ready.then((registration) => registration.scope)")
        expect(page.locator("#kept")).to_contain_text("saved on", timeout=60_000)
        phone.set_offline(True)
        page.goto(f"{address}/first-aid/")

        assert scope == f"{address}/"
        assert page.locator("h1").is_visible()
