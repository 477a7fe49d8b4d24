"""What is done to drums. Each is one entry in one transaction, with the other side of the act where it has one."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from chemistry import streams
from chemistry.drum import Known
from inventory import book
from inventory.book import Signed
from inventory.models import Container, Entry
from inventory.refusals import Refused
from studio.baths.models import BathEvent
from studio.cathodes.models import Strip
from studio.waste import content, strikes
from studio.waste.models import Deposit, Drum

Source = Deposit.Source


@dataclass(frozen=True, kw_only=True)
class Allowance:
    """Why something goes in that is asked about; only a keyholder allows it."""

    reason: str = ""
    is_keyholder: bool = False


@dataclass(frozen=True, kw_only=True)
class Put:
    """
    What goes into a drum.

    copper_g: an estimate, where nothing that comes with it tells the copper.
    """

    drum: Drum
    kind: str
    source: str = Source.OTHER
    litres: Known | None = None
    mass_g: Known | None = None
    copper_g: Known | None = None
    pieces: int | None = None
    event: BathEvent | None = None
    strip: Strip | None = None
    container: Container | None = None
    from_drum: Drum | None = None
    words: str = ""
    allowance: Allowance = Allowance()

    @property
    def amount(self) -> str:
        """
        >>> Put(drum=Drum(name="W1"), kind="rinse", litres=Known(4.5, 0.2)).amount
        '4.5 L'
        """
        if self.litres:
            return f"{self.litres.value:.3g} L"
        if self.mass_g:
            return f"{self.mass_g.value / 1000:.3g} kg" if self.mass_g.value >= 1000 else f"{self.mass_g.value:.3g} g"
        return f"{self.pieces} piece{'' if self.pieces == 1 else 's'}"

    @property
    def said(self) -> str:
        return self.words or f"{self.amount} of {Source(self.source).label}"


def start_drum(drum: Drum, *, by: Signed, allowance: Allowance = Allowance()) -> Entry:
    """A vessel is set up for one kind of waste; it is begun with the first drop."""
    kind = streams.stream(drum.kind)
    with book.entry("drum set up", f"Set up drum {drum.name} for {kind}", by) as entry:
        _refuse_a_second(drum)
        _refuse_unfit(streams.objections(drum.kind, vessel=drum.vessel, is_vented=drum.is_vented), "vessel", allowance)
        drum.entry, drum.reason = entry, allowance.reason
        drum.save()
    return entry


def deposit(put: Put, *, by: Signed) -> Entry:
    """Something goes into a drum."""
    with book.entry("drum filled", f"Into {put.drum}: {put.said}", by) as entry:
        put_in(put, entry=entry)
    return entry


def put_in(put: Put, *, entry: Entry) -> Deposit:
    """The drum's side of an act, inside its entry. Call it after a bath is locked, and before a container is."""
    drum = lock(put.drum)
    _refuse_nothing(put)
    before = content.of_one(drum, before=entry)
    _refuse_in_the_past(drum, entry)
    strikes.refuse_gone([drum])
    _refuse_another_kind(put, before)
    _refuse_too_full(put, before)
    return Deposit.objects.create(entry=entry, **_row(put))


@contextmanager
def writing(drum: Drum, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """One entry about one drum, one at a time."""
    with book.entry(kind, subject, by) as entry:
        lock(drum)
        _refuse_in_the_past(drum, entry)
        yield entry


def lock(drum: Drum) -> Drum:
    """One at a time, and none for a drum that was struck meanwhile."""
    locked = Drum.objects.select_for_update(of=("self",)).select_related("entry").get(pk=drum.pk)
    if locked.entry.is_struck:
        raise Refused(None, f"{locked} was struck out of the book: {locked.entry.strike_reason}.")
    return locked


def _row(put: Put) -> dict:
    litres, mass, copper = put.litres, put.mass_g, put.copper_g
    return {
        "drum": put.drum,
        "kind": put.kind,
        "source": put.source,
        "litres": litres and litres.value,
        "litres_sd": litres and litres.sd,
        "mass_g": mass and mass.value,
        "mass_sd_g": mass and mass.sd,
        "copper_g": copper and copper.value,
        "copper_sd_g": copper and copper.sd,
        "pieces": put.pieces,
        "event": put.event,
        "strip": put.strip,
        "container": put.container,
        "from_drum": put.from_drum,
        "words": put.said[:160],
        "reason": put.allowance.reason if put.kind != put.drum.kind else "",
    }


def _refuse_a_second(drum: Drum) -> None:
    named = Drum.objects.standing().filter(name__iexact=drum.name)
    if named.exists():
        raise Refused("name", f"There is a drum called {drum.name} already; give this filling another name.")


def _refuse_nothing(put: Put) -> None:
    if not (put.litres and put.litres.value or put.mass_g and put.mass_g.value or put.pieces):
        raise Refused("litres", "Say how much goes in: litres, grams or pieces.")


def _refuse_in_the_past(drum: Drum, entry: Entry) -> None:
    if entry.happened_at < drum.entry.happened_at:
        raise Refused("happened_at", f"{drum} was set up later than that.")


def _refuse_another_kind(put: Put, before: content.Content) -> None:
    """Its own kind was looked at when the drum was set up; another kind is looked at, and asked about."""
    drum = before.drum
    kinds = [kind for kind in before.kinds if kind != put.kind]
    if put.kind == drum.kind and not kinds:
        return
    found = streams.objections(put.kind, vessel=drum.vessel, is_vented=drum.is_vented, beside=kinds)
    if put.kind in before.kinds:
        found = [objection for objection in found if objection.refused]
    _refuse_unfit(found, "drum", put.allowance)
    if put.kind not in before.kinds:
        _ask_for_a_reason(f"{drum} is for {drum.stream}; this is {streams.stream(put.kind)}.", put.allowance)


def _refuse_unfit(objections: list[streams.Objection], field: str, allowance: Allowance) -> None:
    """What is refused is refused whoever asks; what is only asked about, a keyholder may allow who says why."""
    for objection in objections:
        if objection.refused:
            raise Refused(field, objection.why)
    if objections:
        _ask_for_a_reason(objections[0].why, allowance)


def _ask_for_a_reason(why: str, allowance: Allowance) -> None:
    if not allowance.is_keyholder:
        raise Refused("reason", f"{why} Only a keyholder may allow it all the same.")
    if not allowance.reason.strip():
        raise Refused("reason", f"{why} Say why it goes in all the same.")


def _refuse_too_full(put: Put, before: content.Content) -> None:
    if put.litres is None or put.litres.value <= before.room_left_l:
        return
    if before.is_full:
        raise Refused("litres", f"{put.drum} is full: begin another drum.")
    raise Refused(
        "litres",
        f"{put.drum} takes {max(before.room_left_l, 0):.2g} L more: it is full at {streams.FULL_AT_PERCENT} %, so that "
        "what is in it can swell and be poured. Put the rest into another drum.",
    )
