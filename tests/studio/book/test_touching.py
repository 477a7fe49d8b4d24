import pytest
from django.urls import reverse

from inventory import book, ledger
from tests.factories import PlaceFactory, adopted, declared, signed, stocked


def found(client, text) -> list[str]:
    rows = client.get(reverse("book:book_csv"), {"text": text})
    lines = b"".join(rows).decode("utf-8-sig").splitlines()[1:]
    return [line.split(",")[4] for line in lines]


def written(line, act, **how):
    with book.entry(declared("shelf"), line, signed(1)) as entry:
        act(entry=entry, **how)


@pytest.mark.parametrize("asked", ["{}", " {} ", "lower"])
def test_a_code_finds_every_line_that_touched_its_container(member, asked):
    jar, other = stocked("500 g"), stocked("500 g")
    written("a use", ledger.use, container=jar, amount=1000)
    written("a count", ledger.count, container=jar, amount=400_000)
    written("a move", ledger.move, container=jar, to_place=PlaceFactory())
    written("another use", ledger.use, container=other, amount=1000)
    text = jar.code.lower() if asked == "lower" else asked.format(jar.code)

    assert found(member, text) == ["received", "a use", "a count", "a move"]


def test_a_code_finds_no_line_of_a_container_whose_code_only_begins_like_it(member):
    jar = stocked("500 g")
    with book.entry(declared("shelf"), "a longer code", signed()) as entry:
        ledger.receive(jar.material, 1000, entry=entry, place=jar.place, code=f"{jar.code}-B")

    assert found(member, jar.code) == ["received"]


def test_a_baths_name_finds_what_is_in_its_log_and_what_only_speaks_of_it(member):
    bath = adopted(name="Tall box")
    adopted(name="Upright tank")
    with book.entry(declared("note"), "Swept below Tall box", signed(2)):
        pass
    adoption = bath.events.first().entry

    lines = found(member, "tall box")

    assert lines == [adoption.subject, "Swept below Tall box"]
