"""Whoever is refused finds the way on: where another page helps, the refusal names it."""

import ast
import re
from collections.abc import Iterator
from typing import NamedTuple

from tests.invented_language import ROOT

KINDS = {"Refused", "NotEnoughStock", "Questioned"}
# it stands already, it was struck, something else comes first, or belongs elsewhere: another page shows or does that
ELSEWHERE = re.compile(
    r"\b(already|struck|first(?! page)|instead|another|is away|meanwhile|own page|nobody knows|not inducted)\b",
    re.IGNORECASE,
)
NO_PAGE_HELPS = {
    "baths.operations.pour_into": "another bath is chosen on the form",
    "baths.operations.refuse_undissolved": "less salt or warmer water is typed on the form",
    "baths.salt.mixed_from": "the water is typed on the form",
    "cathodes.operations.hang": "another bath is chosen on the form",
    "cathodes.operations.replace": "another cathode is chosen on the form",
    "inventory.append_only.check_facts": "whatever it is of, the figures stand on the form together",
    "inventory.book.refuse_wrong_clock": "the clock of a machine is set outside the book",
    "inventory.facts.change": "nothing was changed on the form",
    "inventory.ledger.move": "another place is chosen on the form",
    "inventory.ledger.rebuild_on_hand": "the strike that calls it names the entries in the way",
    "inventory.ledger.shelve": "a code of another kind is typed on the form",
    "orders.operations.order": "the packs are counted on the form",
    "people.invitations.accept": "whoever has no account opens no page of the book",
    "people.invitations.take_back": "the page that it stands on says whose are open",
    "people.members.refuse_unreadable": "the list is put right on the form",
    "people.operations.begin": "the address it was sent from is opened again",
    "people.operations.open_account": "another name is typed on the form",
    "people.tablets.mark": "another name is typed on the form",
    "shelf.bringing_in.write_lines": "another file or other ticks, on the form",
    "waste.advice._refuse_incomplete": "the kind of waste is chosen on the form",
    "waste.findings._kept": "what nothing asks for stands on no form",
    "waste.findings.find": "the answers are given on the form",
    "workshop.operations.empty_the_demo": "an own book is never emptied",
}


class Site(NamedTuple):
    where: str
    field: ast.expr | None
    said: str
    has_ways: bool


def sites() -> Iterator[Site]:
    """Every place where something is refused: what it says, and whether it says what helps."""
    for path in sorted([*ROOT.glob("inventory/*.py"), *ROOT.glob("studio/**/*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        room = ".".join(path.relative_to(ROOT).with_suffix("").parts).removeprefix("studio.")
        for function in (each for each in ast.walk(tree) if isinstance(each, ast.FunctionDef)):
            for call in (each for each in ast.walk(function) if isinstance(each, ast.Call)):
                if getattr(call.func, "id", "") in KINDS and call.args:
                    words = (part.value for part in ast.walk(call) if isinstance(part, ast.Constant))
                    said = " ".join(word for word in words if isinstance(word, str))
                    ways = any(keyword.arg in ("ways", "kept_by") for keyword in call.keywords)
                    yield Site(f"{room}.{function.name}", call.args[0], said, ways)


def is_answered_on_its_form(site: Site) -> bool:
    """It names the answer to change, and nothing else that has to be done or looked at."""
    return not (isinstance(site.field, ast.Constant) and site.field.value is None) and not ELSEWHERE.search(site.said)


def test_a_refusal_that_another_page_helps_leads_there():
    without = {
        f"{site.where}: {site.said[:70]}"
        for site in sites()
        if not (site.has_ways or is_answered_on_its_form(site) or NO_PAGE_HELPS.get(site.where))
    }

    assert not without, "\n".join(sorted(without))


def test_every_reason_for_no_way_is_still_needed():
    bare = {site.where for site in sites() if not site.has_ways and not is_answered_on_its_form(site)}

    assert set(NO_PAGE_HELPS) - bare == set()
