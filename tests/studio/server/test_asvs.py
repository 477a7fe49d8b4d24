"""The table of a published standard beside the server's code: what it says must be there to be looked at."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
TABLE = ROOT / "studio" / "server" / "ASVS.md"
STANDS = {"met", "partly", "not met", "theirs"}


def rows() -> list[list[str]]:
    lines = [line for line in TABLE.read_text().splitlines() if re.match(r"\| \d", line)]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def test_every_row_says_what_stands_and_how():
    for number, stands, how, _ in rows():
        assert stands in STANDS and how, number


def test_every_test_that_it_names_is_there():
    written = "\n".join(path.read_text() for path in (ROOT / "tests").rglob("*.py"))
    named = {name for row in rows() for name in re.findall(r"`(test_\w+)`", row[-1])}

    assert len(named) > 50
    assert {name for name in named if f"def {name}(" not in written} == set()


def test_every_campaign_that_it_names_is_there():
    named = {name for row in rows() for name in re.findall(r"tests\.campaigns (\w+)", row[-1])}

    assert {name for name in named if not (ROOT / "tests" / "campaigns" / f"{name}.py").exists()} == set() != named


def test_no_requirement_is_named_twice():
    numbers = [number for row in rows() for number in re.findall(r"\b\d+\.\d+\.\d+\b", row[0])]

    assert len(numbers) == len(set(numbers)) > 150
