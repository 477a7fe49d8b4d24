"""Drums, and what is done to them, in the days of the tests' book."""

from datetime import date

from chemistry.waste.drum import poured, weighed
from inventory.models import Entry
from studio.waste import advice, disposals, findings, incidents, operations
from studio.waste.disposals import Taken
from studio.waste.models import Disposal, Drum, Incident, LocalAdvice, ReceiverPaper
from studio.waste.operations import Allowance, DepositRequest
from tests.factories import PlaceFactory, day, signed

NOTHING = Allowance()
KEYHOLDER = Allowance(reason="nobody else takes it", is_keyholder=True)


def drum(
    kind: str = "rinse", at: float = 0, *, name: str = "W1", by=None, allowance: Allowance = NOTHING, **facts
) -> Drum:
    """A vessel of 20 L, set up so many days into the book."""
    place = facts.pop("place", None) or PlaceFactory()
    usual = {"vessel": "hdpe", "capacity_l": 20, "is_vented": True}
    made = Drum(name=name, kind=kind, place=place, **usual | facts)
    return operations.start_drum(made, by=by or signed(at), allowance=allowance).drums.get()


def put(
    into: Drum, litres: float | None = None, *, grams: float | None = None, at: float = 1, by=None, **what
) -> Entry:
    """So much of what the drum is for, unless it is said otherwise."""
    amount = {"litres": litres and poured(litres), "mass_g": grams and weighed(grams)}
    what.setdefault("kind", into.kind)
    return operations.deposit(DepositRequest(drum=into, **amount, **what), by=by or signed(at))


def found_out(vessel: Drum, at: float = 3, **answers) -> Entry:
    """What somebody found out about a drum, because the rules ask."""
    return findings.find(vessel, answers=answers, by=signed(at))


def said(kind: str = LocalAdvice.Kind.ANSWER, at: float = 0, **facts) -> Entry:
    """What an office said, written down so many days into the book."""
    usual = {"asked": "City waste office", "answer": "Ask us again.", "said_on": date(2026, 3, 2)} | facts
    return advice.record(LocalAdvice(kind=kind, **usual), by=signed(at))


def handed_over(*drums: Drum, at: float = 5, by=None, taken=(), **facts) -> Disposal:
    """Drums that a carrier took away, so many days into the book."""
    usual = {"route": "collector", "receiver": "Quarry Lane Carriers", "counted_to": day(at), "keep_until": day(2000)}
    disposal = Disposal(**usual | facts)
    going = [*(Taken(drum=each) for each in drums), *taken]
    return disposals.hand_over(disposal, taken=going, by=by or signed(at)).disposal


def paper_of(disposal: Disposal, at: float = 8, **facts) -> ReceiverPaper:
    """Their signed copy, unless it is said otherwise."""
    paper = ReceiverPaper(**{"is_signed_copy": True} | facts)
    return disposals.file_paper(disposal, paper=paper, by=signed(at)).receiver_paper


def reported(at: float = 1, **facts) -> Incident:
    """Something that went wrong so many days into the book."""
    incident = Incident(**{"kind": "spill", "what_happened": "The jug tipped over."} | facts)
    return incidents.report(incident, by=signed(at)).incident
