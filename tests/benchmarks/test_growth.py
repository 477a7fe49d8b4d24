"""What each kind of page costs in a book of ten years, with nothing kept, beside the same pages of a new one."""

import pytest

from tests.benchmarks import grow

pytestmark = pytest.mark.benchmark_ratio

SIZES = (grow.FEW, 100_000, 1_000_000)  # ten millions by `python -m tests.benchmarks.grow`
# what goes through the whole book is linear: a million would only take ten times as long
WHOLE = SIZES[1]
WITH_BARS = (
    *("bench:bench", "baths:bath", "shelf:container", "shelf:material", "shelf:shelf", "orders:orders", "book:book"),
    *("waste:drum", "waste:months"),
)
FLOOR, GOAL = 1.2, 1.1


def test_a_page_of_a_long_book_costs_what_a_page_of_a_short_one_does(tmp_path, table):
    few, *longer = (
        grow.measured(size, tmp_path / f"{size}", "", ["pages"] if size > WHOLE else [*grow.PARTS]) for size in SIZES
    )

    for size, many in zip(SIZES[1:], longer, strict=True):
        for page in sorted(few["pages"].keys() & many["pages"].keys()):
            ratio = many["pages"][page] / few["pages"][page]
            if page.removesuffix("?[]") in WITH_BARS:
                table.most(f"{page} of {size:,} movements beside {SIZES[0]:,}", ratio, FLOOR, GOAL)
            elif ratio > FLOOR:
                table.most(f"{page} of {size:,} movements beside {SIZES[0]:,}", ratio)
    for name, told in longer[0]["errands"].items():
        table.least(f"{name} of {WHOLE:,} movements, MB/s", told["mb_per_s"])
        table.most(f"{name} of {WHOLE:,} movements, MB of memory", told["mb"])
        table.most(f"{name} of {SIZES[0]:,} movements, MB of memory", few["errands"][name]["mb"])
