"""What is done to drums. Each is one entry in one transaction, with the other side of the act where it has one."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import F, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.measured import Measured, digits
from chemistry.quantity import quantity
from chemistry.waste import drum as sums
from chemistry.waste import streams
from inventory import book, facts
from inventory.asked_often import asked_often
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Container, Entry, Place
from inventory.refusals import Questioned, Refused
from inventory.wording import translated
from studio.baths.models import Bath, BathEvent
from studio.cathodes.models import Strip
from studio.waste import content, hazards, kinds, whereabouts
from studio.waste.models import Deposit, Drum, DrumWeighing, Inspection, TestResult
from studio.workshop.models import Workshop

Source = Deposit.Source


@dataclass(frozen=True, kw_only=True)
class Allowance:
    """Why something goes in that is asked about; only a keyholder allows it."""

    reason: str = ""
    is_keyholder: bool = False


@dataclass(frozen=True, kw_only=True)
class DepositRequest:
    """
    What goes into a drum.

    copper_g: an estimate, where nothing that comes with it tells the copper.
    bath: that its liquid came from, where no event of it tells.
    words: how much of what, where its kind does not say it; called: what somebody calls it besides.
    """

    drum: Drum
    kind: str
    source: str = Source.OTHER
    litres: Measured | None = None
    mass_g: Measured | None = None
    copper_g: Measured | None = None
    pieces: int | None = None
    event: BathEvent | None = None
    bath: Bath | None = None
    strip: Strip | None = None
    container: Container | None = None
    from_drum: Drum | None = None
    words: str = ""
    called: str = ""
    allowance: Allowance = Allowance()

    @property
    def amount(self) -> str:
        """
        >>> DepositRequest(drum=Drum(name="W1"), kind="rinse", litres=Measured(4.5, 0.2, "L")).amount
        '4.5 L'
        """
        if self.litres:
            return quantity(self.litres.value, "L", 3)
        if self.mass_g:
            is_heavy = self.mass_g.value >= 1000
            return quantity(self.mass_g.value / 1000, "kg", 3) if is_heavy else quantity(self.mass_g.value, "g", 3)
        return ngettext("%(number)s piece", "%(number)s pieces", self.pieces or 0) % {"number": self.pieces}

    @property
    def said(self) -> str:
        """
        How much of what, and in their own words what they called it.

        >>> DepositRequest(drum=Drum(name="W1"), kind="rinse", litres=Measured(4.5, 0.2, "L"), called="Tuesday").said
        '4.5 L of plate rinse water (Tuesday)'
        """
        if self.words:
            return self.words
        what = translated(streams.stream(self.kind).title).split(" (")[0]
        said = _("%(amount)s of %(what)s") % {"amount": self.amount, "what": what[0].lower() + what[1:]}
        return f"{said} ({self.called})" if self.called else said


def start_drum(drum: Drum, *, by: Signed, allowance: Allowance = Allowance()) -> Entry:
    """A vessel is set up for one kind of waste; it is begun with the first drop."""
    kind = streams.stream(drum.kind)
    with book.entry(
        kinds.SET_UP, _("Set up drum %(name)s for %(kind)s") % {"name": drum.name, "kind": kind}, by
    ) as entry:
        refuse_a_second(drum)
        # as if vented at first, so that what only a tight lid makes wrong stands beside the lid
        refuse_unfit(streams.objections(drum.kind, vessel=drum.vessel, is_vented=True), "vessel", allowance, entry)
        refuse_unfit(objections_to_the_lid(drum), "is_vented", allowance, entry)
        drum.entry, drum.reason = entry, allowance.reason
        drum.save()
    return entry


def move(drum: Drum, *, place: Place, by: Signed) -> Entry:
    with writing(drum, kinds.MOVED, _("Moved %(drum)s to %(place)s") % {"drum": drum, "place": place}, by) as entry:
        facts.change(drum, {"place": place}, entry=entry)
    return entry


def weigh_empty(drum: Drum, *, tare_g: float, by: Signed) -> Entry:
    """What the vessel weighs empty is learnt, or put right; every weighing of it tells its content by that."""
    said = _("%(drum)s weighs %(kg)s empty") % {"drum": drum, "kg": quantity(tare_g / 1000, "kg", 4)}
    with writing(drum, kinds.TARED, said, by) as entry:
        lighter = (
            drum.weighings.standing().filter(gross_g__lt=tare_g - F("half_width_g")).select_related("entry").first()
        )
        if lighter:
            named = {"day": long_day(lighter.entry.happened_at), "weighing": lighter}
            said = _("On %(day)s it weighed less with what was in it: %(weighing)s.") % named
            raise Refused("tare_g", said, ways=[(_("The line in the book"), lighter.entry.get_absolute_url())])
        facts.change(drum, {"tare_g": tare_g}, entry=entry)
    return entry


def deposit(put: DepositRequest, *, by: Signed) -> Entry:
    """Something goes into a drum."""
    with book.entry(kinds.FILLED, _("Into %(drum)s: %(said)s") % {"drum": put.drum, "said": put.said}, by) as entry:
        put_in(put, entry=entry)
    return entry


def put_in(put: DepositRequest, *, entry: Entry) -> Deposit:
    """The drum's side of an act, inside its entry. Call it after a bath is locked, and before a container is."""
    drum = lock(put.drum)
    refuse_nothing(put)
    refuse_in_the_past(drum, entry)
    whereabouts.refuse_gone([drum])
    now = content.content_of_drum(drum)
    # against all that is in it by now: written down late, it meets what went in since all the same
    refuse_what_it_is(put, now, entry)
    refuse_another_kind(put, now, entry)
    then = now if now.ends_before(entry) else content.content_of_drum(drum, before=entry)
    refuse_too_full(put, then)
    if then is not now and not now.is_seen_since(entry):
        refuse_too_full(put, now)  # what went in later, or at the very same moment, takes room too
    return Deposit.objects.create(entry=entry, **row_of(put))


def pour_over(drum: Drum, *, into: DepositRequest, by: Signed) -> Entry:
    """Some of a drum, or all of it, goes into another one, its share of the copper with it."""
    with book.entry(
        kinds.FILLED,
        _("Poured %(amount)s of %(drum)s into %(drum_2)s") % {"amount": into.amount, "drum": drum, "drum_2": into.drum},
        by,
    ) as entry:
        # in one order for everybody, or two people pouring to and fro could each wait for the other
        for each in sorted((drum, into.drum), key=lambda one: one.pk):
            lock(each)
        pour(drum, into=into, entry=entry)
    return entry


def pour(drum: Drum, *, into: DepositRequest, entry: Entry) -> Deposit:
    """Some of a locked drum goes into another one, inside an entry."""
    whereabouts.refuse_gone([drum])
    # then and now: written down late, it must leave enough for what was poured out since
    for then in (content.content_of_drum(drum, before=entry), content.content_of_drum(drum)):
        refuse_more_than_is_there(into, then)
    poured = replace(
        into,
        from_drum=drum,
        source=Source.DRUM,
        words=_("%(amount)s out of %(drum)s") % {"amount": into.amount, "drum": drum},
    )
    return put_in(poured, entry=entry)


def look_over(
    drum: Drum, *, found: str, by: Signed, full_percent: float | None = None, is_put_out: bool = False
) -> Entry:
    """Somebody looked at a drum, and how full it stood."""
    look = Inspection(drum=drum, found=found, full_percent=full_percent, is_put_out=is_put_out)
    with writing(
        drum, kinds.LOOKED_OVER, _("Looked over %(drum)s: %(look)s") % {"drum": drum, "look": look}, by
    ) as entry:
        look.entry = entry
        look.save()
    return entry


def weigh(drum: Drum, *, gross_g: float, half_width_g: float, by: Signed) -> Entry:
    """A drum with its lid and all that is in it."""
    weighing = DrumWeighing(drum=drum, gross_g=gross_g, half_width_g=half_width_g)
    with writing(
        drum, kinds.WEIGHED, _("Weighed %(drum)s: %(weighing)s") % {"drum": drum, "weighing": weighing}, by
    ) as entry:
        # an empty drum may read less than its empty weight by as much as the scale is off
        if drum.tare_g and gross_g < drum.tare_g - half_width_g:
            ways = [(_("Its empty weight"), reverse("waste:weigh_empty", args=[drum.pk]))]
            said = _("Empty it weighs %(tare_g)s; look again at the scale.") % {
                "tare_g": quantity(drum.tare_g / 1000, "kg", 4)
            }
            raise Refused("gross_g", said, ways=ways)
        weighing.entry = entry
        weighing.save()
    return entry


def record_test(drum: Drum, *, result: TestResult, by: Signed) -> Entry:
    """A test of what is in a drum, with its report; it goes before what the deposits add up to."""
    result.drum = drum
    with writing(drum, kinds.TESTED, _("Tested %(drum)s: %(result)s") % {"drum": drum, "result": result}, by) as entry:
        before = content.content_of_drum(drum, before=entry)
        if not before.deposits:
            ways = [(_("Put something in"), reverse("waste:deposit", args=[drum.pk]))]
            raise Refused("happened_at", _("There was nothing in %(drum)s then.") % {"drum": drum}, ways=ways)
        # written last: a refusal leaves no file behind
        result.entry = entry
        result.save()
    return entry


@contextmanager
def writing(drum: Drum, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """One entry about one drum, one at a time."""
    with book.entry(kind, subject, by) as entry:
        lock(drum)
        whereabouts.refuse_gone([drum])
        refuse_in_the_past(drum, entry)
        yield entry


def lock(drum: Drum) -> Drum:
    """One at a time, and none for a drum that was struck meanwhile."""
    [locked] = drums_locked(drum.pk)
    locked.entry = book.as_it_stands(locked.entry_id)
    if locked.entry.is_struck:
        raise Refused(
            None,
            _("%(locked)s was struck out of the book: %(strike_reason)s.")
            % {"locked": locked, "strike_reason": locked.entry.strike_reason},
            ways=[(_("Why it was struck"), locked.entry.get_absolute_url())],
        )
    return locked


@asked_often
def drums_locked(drum: int) -> QuerySet[Drum]:
    return Drum.objects.select_for_update(of=("self",)).filter(pk=drum)


def row_of(put: DepositRequest) -> dict[str, Any]:
    litres, mass, copper = put.litres, put.mass_g, put.copper_g or guessed_copper(put)
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
        "bath": put.bath,
        "strip": put.strip,
        "container": put.container,
        "from_drum": put.from_drum,
        # cut and not refused: a long name must not keep what happened out of the book
        "words": put.said[:160],
        "reason": put.allowance.reason,
    }


def guessed_copper(put: DepositRequest) -> Measured | None:
    """What cleaner, towels and mud bring, where nothing that comes with them tells it."""
    # these have their copper from the bath or the drum, as those stand whenever somebody asks
    if put.event or put.from_drum:
        return None
    if put.source == Source.CLEANER and put.pieces:
        return sums.in_cleaner(put.pieces)
    if put.source == Source.TOWELS and put.pieces:
        return sums.on_towels(put.pieces)
    if put.source == Source.MUD and put.mass_g:
        return sums.in_mud(put.mass_g.value)
    return None


def refuse_a_second(drum: Drum) -> None:
    # one name at a time: whoever sets up another drum waits
    Workshop.objects.select_for_update().first()
    if there := whereabouts.drums_on_site().filter(name__iexact=drum.name).first():
        ways = [(_("The drum of that name"), there.get_absolute_url())]
        raise Refused(
            "name",
            _("There is a drum called %(name)s already; give this filling another name.") % {"name": drum.name},
            ways=ways,
        )


def refuse_nothing(put: DepositRequest) -> None:
    if not (put.litres and put.litres.value or put.mass_g and put.mass_g.value or put.pieces):
        raise Refused("amount", _("Say how much goes in: volume, weight or pieces."))


def refuse_more_than_is_there(put: DepositRequest, before: content.Content) -> None:
    for unit, asked, there in (("litres", put.litres, before.volume), ("grams", put.mass_g, before.mass)):
        # the high end: the last litres out of a drum may well be more than its sum
        if asked and there and asked.value > there.high:
            raise Refused(
                "amount",
                _("%(drum)s holds %(value)s %(unit)s.")
                % {"drum": before.drum, "value": digits(there.value, 3), "unit": there.unit},
                ways=[(_("What is in it"), before.drum.get_absolute_url())],
            )
        if asked and there is None:
            ways = [(_("Say how full it is"), reverse("waste:look_over", args=[before.drum.pk]))]
            said = _("Nobody knows how many %(unit)s %(drum)s holds; measure it otherwise.") % {
                "unit": unit,
                "drum": before.drum,
            }
            raise Refused("amount", said, ways=ways)


def refuse_in_the_past(drum: Drum, entry: Entry) -> None:
    if entry.happened_at < drum.entry.happened_at:
        said = _("%(drum)s was set up later than that.") % {"drum": drum}
        raise Refused("happened_at", said, ways=[(_("Its page"), drum.get_absolute_url())])


def refuse_what_it_is(put: DepositRequest, now: content.Content, entry: Entry) -> None:
    """A jar is judged by what it is, and so is what is poured over: whatever kind it is called."""
    jar = put.container.material if put.container else None
    source = content.content_of_drum(put.from_drum) if put.from_drum else None
    found = list(hazards.objections(put.kind, into=now, jar=jar, poured_over=source))
    refuse_unfit(found, "drum", put.allowance, entry)


def refuse_another_kind(put: DepositRequest, now: content.Content, entry: Entry) -> None:
    """Its own kind was looked at when the drum was set up; another kind is looked at, and asked about."""
    drum = now.drum
    kinds = [kind for kind in now.kinds if kind != put.kind]
    if put.kind == drum.kind and not kinds:
        return
    found = streams.objections(put.kind, vessel=drum.vessel, is_vented=drum.is_vented, beside=kinds)
    if put.kind in now.kinds:
        # what a keyholder allowed once is not asked about again
        found = [objection for objection in found if objection.refused]
    refuse_unfit(found, "drum", put.allowance, entry)
    if put.kind not in now.kinds:
        why = _("%(drum)s is for %(stream)s; this is %(stream_2)s.") % {
            "drum": drum,
            "stream": drum.stream,
            "stream_2": streams.stream(put.kind),
        }
        ask_for_a_reason(why, put.allowance, entry)


def objections_to_the_lid(drum: Drum) -> list[streams.Objection]:
    """What only a closed lid makes wrong."""
    vented = streams.objections(drum.kind, vessel=drum.vessel, is_vented=True)
    as_it_is = streams.objections(drum.kind, vessel=drum.vessel, is_vented=drum.is_vented)
    return [objection for objection in as_it_is if objection not in vented]


def refuse_unfit(objections: list[streams.Objection], field: str, allowance: Allowance, entry: Entry) -> None:
    """What is refused is refused whoever asks; what is only asked about, a keyholder may allow who says why."""
    refuse_refused(objections, field)
    for objection in objections:
        ask_for_a_reason(objection.why, allowance, entry, "reason" if field == "drum" else field)


def refuse_refused(objections: Iterable[streams.Objection], field: str = "drum") -> None:
    for objection in objections:
        if objection.refused:
            ways = [(_("Begin another drum"), reverse("waste:start_drum"))]
            raise Refused(field, objection.why, ways=ways)


def ask_for_a_reason(why: str, allowance: Allowance, entry: Entry, field: str = "reason") -> None:
    if not allowance.is_keyholder:
        raise Questioned(field, why, _("Only a keyholder may allow it all the same."))
    with entry.unless(allowance.reason.strip()):
        raise Questioned(field, why, _("Say why it goes in all the same."))


def refuse_too_full(put: DepositRequest, before: content.Content) -> None:
    if put.litres is None or put.litres.value <= before.room_left_l:
        return
    another = [(_("Begin another drum"), f"{reverse('waste:start_drum')}?kind={put.kind}")]
    if before.is_full:
        raise Refused("amount", _("%(drum)s is full: begin another drum.") % {"drum": put.drum}, ways=another)
    raise Refused(
        "amount",
        _(
            "%(drum)s takes %(max)s more: it is full at %(FULL_AT_PERCENT)s %%, so that what is in "
            "it can swell and be poured. Put the rest into another drum."
        )
        % {
            "drum": put.drum,
            "max": quantity(max(before.room_left_l, 0), "L", 2),
            "FULL_AT_PERCENT": streams.FULL_AT_PERCENT,
        },
        ways=another,
    )
