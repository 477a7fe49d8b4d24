"""What a slow phone waits for, and what goes over its line: the bench, and the page behind a scanned code."""

import pytest

from tests.bench_acts import slowed_down
from tests.studio.browser import PHONE, chromium, demo, demo_folder, sign_in  # noqa: F401  # fixtures

pytestmark = pytest.mark.benchmark_ratio

FIRST_TEXT_MS, FIRST_VISIT_KB, NEXT_VISIT_KB = 1500, 60, 15
SHIFT = (0.1, 0.0)  # (floor, goal): up to a tenth nobody loses their place; web.dev/cls, from memory
SEEN = """() => new Promise(told => new PerformanceObserver(seen => told(seen.getEntries()
  .find(each => each.name === 'first-contentful-paint').startTime)).observe({type: 'paint', buffered: true}))"""
SHIFTED = """() => new Promise(told => { let whole = 0
  new PerformanceObserver(seen => { for (const each of seen.getEntries()) whole += each.value })
    .observe({type: 'layout-shift', buffered: true}); setTimeout(() => told(whole), 500) })"""


@pytest.mark.parametrize(("name", "path"), [("bench", "/"), ("a scanned code", "/safety/open/c/C1/")])
def test_a_slow_phone(chromium, demo, table, name, path):  # noqa: F811
    with chromium.new_context(viewport=PHONE, base_url=demo) as hers:
        sign_in(hers.new_page())
        # a browser that has never been here, but for who it is
        with chromium.new_context(viewport=PHONE, base_url=demo, storage_state=hers.storage_state()) as fresh:
            page = fresh.new_page()
            devtools = slowed_down(page)
            devtools.send("Network.enable")
            taken: list[float] = []
            devtools.on("Network.loadingFinished", lambda end: taken.append(end["encodedDataLength"] / 1e3))
            for visit, most_kb in (("first", FIRST_VISIT_KB), ("next", NEXT_VISIT_KB)):
                taken.clear()
                page.goto(path, wait_until="networkidle", timeout=60_000)
                table.most(f"{name} on a slow phone, {visit} visit: first text, ms", page.evaluate(SEEN), FIRST_TEXT_MS)
                table.most(f"{name} on a slow phone, {visit} visit: layout shift", page.evaluate(SHIFTED), *SHIFT)
                table.most(f"{name} on a slow phone, {visit} visit: over the line, kB", sum(taken), most_kb)
