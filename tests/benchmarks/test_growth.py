"""What each kind of page costs in a book of ten years, with nothing kept, beside the same pages of a new one."""

import pytest

from tests.benchmarks import grow

pytestmark = pytest.mark.benchmark_ratio

SIZES = (grow.FEW, 100_000)  # a million and more by `python -m tests.benchmarks.grow`
WITH_BARS = (
    *("bench:bench", "baths:bath", "shelf:container", "shelf:material", "shelf:shelf", "orders:orders", "book:book"),
    *("waste:drum", "waste:months"),
)
FLOOR, GOAL = 1.2, 1.1


def test_a_page_of_a_long_book_costs_what_a_page_of_a_short_one_does(tmp_path, table):
    few, many = (grow.measured(size, tmp_path / f"{size}", "", [*grow.PARTS]) for size in SIZES)

    for page in sorted(few["pages"].keys() & many["pages"].keys()):
        bars = (FLOOR, GOAL) if page.removesuffix("?[]") in WITH_BARS else ()
        ratio = many["pages"][page] / few["pages"][page]
        table.most(f"{page} of {SIZES[1]:,} movements beside {SIZES[0]:,}", ratio, *bars)
    for name, told in many["errands"].items():
        table.least(f"{name} of {SIZES[1]:,} movements, MB/s", told["mb_per_s"])
        table.most(f"{name} of {SIZES[1]:,} movements, MB of memory", told["mb"])
