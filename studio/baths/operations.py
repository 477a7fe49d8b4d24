"""What is done to a bath. Each is one entry in one transaction: stock, log and estimate move together."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import bath as bath_model
from chemistry.bath import (
    Adopted,
    BathState,
    Bitten,
    DryingRate,
    Event,
    LevelRead,
    Reading,
    Removed,
    RemovedByLevel,
    SolutionAdded,
    TakenOut,
    WaterAdded,
    figures,
)
from chemistry.copper import removal
from chemistry.quantity import quantity
from chemistry.solution import evaporation
from chemistry.solution.strengths import strength
from inventory import book, facts
from inventory.asked_often import asked_often
from inventory.book import Signed
from inventory.models import Container, Entry
from inventory.refusals import Questioned, Refused
from studio.baths import estimate, event_log, kinds
from studio.baths.acid import AcidPortion, soured
from studio.baths.event_log import UNDATED
from studio.baths.models import Answer, Bath, BathEvent
from studio.baths.salt import Portion, crystals_added, mixed_from, said_portions, take_from_the_shelf

Kind = BathEvent.Kind
FILLING = (Kind.MIXED, Kind.ADOPTED, Kind.WATER_ADDED, Kind.CRYSTALS_ADDED)
CARRYING_SALT = (Kind.BITTEN, *BathEvent.TAKING, Kind.SOLUTION_ADDED, Kind.POURED_IN)

DRIP_ML = 6.0  # carried out on one plate: 4 to 8 mL, common practice, no source
DRIP_SD_SHARE = 0.25
SPILL_SD_SHARE = 0.25  # a guess at a puddle: common practice, no source


def set_up(bath: Bath, *, by: Signed) -> Entry:
    """A tank gets its page; it stays unread until somebody mixes or adopts a bath in it."""
    with book.entry(kinds.TANK_SET_UP, _("Set up the tank %(name)s") % {"name": bath.name}, by) as entry:
        save_tank(bath, entry)
    return entry


def change(bath: Bath, *, by: Signed) -> Entry:
    """The tank's own figures change: its marks, its range, its room; the drying to expect follows."""
    with writing(bath, kinds.TANK_CHANGED, _("Changed the figures of %(name)s") % {"name": bath.name}, by) as entry:
        save_tank(bath, entry)
        # an unread tank has nothing to dry, and its log must not begin with a rate
        if estimate.at_moment(bath, entry.happened_at):
            record_lid(bath, entry, lid_on=lid_is_on(bath, entry.happened_at))
    return entry


def adopt(
    bath: Bath,
    adopted: Adopted,
    *,
    lid_on: bool,
    by: Signed,
    level: str = "",
) -> Entry:
    """
    A bath that was there before the book comes into it, as well as it is known.

    A tank that was not in the book either comes into it with its bath, in the same entry.
    level: the volume as it was read.
    """
    refuse_above_the_rim(bath, adopted.volume_l, "level", level)
    told = _("%(litres)s at about %(strength)s")
    with_acid = _("%(litres)s at about %(strength)s, with about %(acid)s of acid")
    words = (with_acid if adopted.acid_g_per_l else told) % {
        "litres": quantity(adopted.volume_l, "L", 3),
        "strength": strength(adopted.strength_g_per_l),
        "acid": quantity(adopted.acid_g_per_l or 0.0, "g/L", 2),
    }
    with writing(bath, kinds.ADOPTED, _("Adopted %(bath)s: %(words)s") % {"bath": bath, "words": words}, by) as entry:
        mark_the_fill(bath, adopted.volume_l, entry)
        record(bath, entry, adopted, words)
        record_lid(bath, entry, lid_on=lid_on)
    return entry


def mix(
    bath: Bath,
    *,
    water_l: float,
    salt: Sequence[Portion],
    by: Signed,
    water_from: Container | None = None,
    temperature_c: float = 20.0,
    by_cups: bool = False,
    acid: AcidPortion | None = None,
    lid_on: bool = True,
) -> Entry:
    """Begin a bath anew from water, crystals and perhaps acid; what is on the shelf leaves it in the same entry."""
    mixed = mixed_from(water_l=water_l, salt=salt, temperature_c=temperature_c, by_cups=by_cups)
    [after] = bath_model.replay([mixed])
    poured = acid.poured_into(after) if acid else None
    after = soured(after, poured)
    refuse_above_the_rim(bath, after.volume_l, "water_l")
    refuse_undissolved(after, temperature_c, "salt")
    words = _("%(said_portions)s in %(water_l)s of water") % {
        "said_portions": said_portions(salt),
        "water_l": quantity(water_l, "L", 4),
    }
    told = _("Mixed %(bath)s: %(words)s, with %(acid)s") if poured else _("Mixed %(bath)s: %(words)s")
    said = told % {"bath": bath, "words": words, "acid": poured and poured.words}
    with writing(bath, kinds.MIXED, said, by) as entry:
        mark_the_fill(bath, after.volume_l, entry)
        take_from_the_shelf(salt, water_from, water_l, entry, acid=poured and poured.taken)
        record(bath, entry, mixed, words)
        if poured:
            record(bath, entry, poured.added, poured.words)
        record_lid(bath, entry, lid_on=lid_on)
    return entry


def top_up(
    bath: Bath,
    *,
    water_l: float = 0.0,
    salt: Sequence[Portion] = (),
    by: Signed,
    water_from: Container | None = None,
    temperature_c: float = 20.0,
    by_cups: bool = False,
    acid: AcidPortion | None = None,
    salt_anyway: str = "",
    weak_anyway: bool = False,
) -> Entry:
    """
    Water, crystals or both go in, and acid after them.

    Crystals are questioned when only water can have left, water when it takes a bath below its range. salt_anyway: why
    they go in all the same.
    """
    if not water_l and not salt and not acid:
        raise Refused("water_l", _("Nothing to add yet: give water, crystals or both."))
    water = [_("%(water_l)s of water") % {"water_l": quantity(water_l, "L", 3)}] if water_l else []
    said = get_text_list([*water, *([said_portions(salt)] if salt else []), *([acid.said] if acid else [])], _("and"))
    with writing(bath, kinds.TOPPED_UP, _("Topped up %(bath)s: %(said)s") % {"bath": bath, "said": said}, by) as entry:
        before = state_at(bath, entry.happened_at)
        if salt:
            with entry.unless(salt_anyway.strip()):
                question_salt(bath, before, water_l, salt, entry)
        if water_l:
            watered = WaterAdded(day=UNDATED, litres=water_l, temperature_c=temperature_c)
            record(bath, entry, watered, _("%(water_l)s of water") % {"water_l": quantity(water_l, "L", 3)})
        if salt:
            record(bath, entry, crystals_added(salt, by_cups), said_portions(salt))
        # worked out from what was just written, so that the check and the log cannot differ
        after = state_after(entry, bath, before)
        poured = acid.poured_into(after) if acid else None
        # all of it at once: its jars are locked in one order
        take_from_the_shelf(salt, water_from, water_l, entry, acid=poured and poured.taken)
        if poured:
            after = soured(after, poured)
            record(bath, entry, poured.added, poured.words)
        refuse_above_the_rim(bath, after.volume_l, "water_l")
        with entry.unless(weak_anyway):
            if water_l:
                question_weak(bath, before, after)
        if salt:
            # what went in cold comes to the warmth of the room, and dissolves then
            refuse_undissolved(after, max(temperature_c, bath.air_c), "salt", holding=_("this bath"))
    return entry


def add_solution(bath: Bath, added: SolutionAdded, *, by: Signed) -> Entry:
    """Ready-made solution, or the first still rinse, goes into the bath."""
    words = _("%(litres)s of solution at %(strength_g_per_l)s") % {
        "litres": quantity(added.litres, "L", 3),
        "strength_g_per_l": strength(added.strength_g_per_l),
    }
    with writing(
        bath,
        kinds.SOLUTION_ADDED,
        _("Added to %(bath)s: %(words)s") % {"bath": bath, "words": words},
        by,
    ) as entry:
        before = state_at(bath, entry.happened_at)
        record(bath, entry, added, words)
        refuse_above_the_rim(bath, state_after(entry, bath, before).volume_l, "litres")
    return entry


def read(bath: Bath, reading: Reading, *, words: str, by: Signed) -> Entry:
    """
    What was measured: the level on the dipstick or the marks, a hydrometer's own figure, or copper by titration.

    A titration is the one reading that acid and table salt do not mislead.
    """
    if isinstance(reading, LevelRead):
        refuse_above_the_rim(bath, reading.volume_l, "level", words)
    with writing(bath, kinds.READ, _("Read %(bath)s: %(words)s") % {"bath": bath, "words": words}, by) as entry:
        state_at(bath, entry.happened_at)
        record(bath, entry, reading, words)
    return entry


def strain(bath: Bath, *, litres_lost: float, crystals_g: float, by: Signed, crystals_anyway: bool = False) -> Entry:
    """
    Filtering: a little bath stays in the towel, and crystals that were taken out with it.

    Crystals are questioned when the room never gets cold enough for any to be lying there.
    """
    words = _("strained, %(litres_lost)s lost") % {"litres_lost": quantity(litres_lost, "L", 2)}
    if crystals_g:
        words = _("strained, %(litres)s lost, %(grams)s of crystals taken out") % {
            "litres": quantity(litres_lost, "L", 2),
            "grams": quantity(crystals_g, "g", 3),
        }
    with writing(bath, kinds.STRAINED, f"{bath}: {words}", by) as entry:
        before = state_at(bath, entry.happened_at)
        if crystals_g:
            with entry.unless(crystals_anyway):
                question_crystals(bath, before)
        refuse_more_than_is_there(bath, before, litres_lost, "litres")
        record(bath, entry, Removed(day=UNDATED, litres=litres_lost, crystals_g=crystals_g), words)
    return entry


def question_crystals(bath: Bath, before: BathState) -> None:
    if not figures.may_drop_crystals(before, bath.coldest_c):
        raise Questioned(
            "crystals_anyway",
            _("At %(strength_g_per_l)s none can be lying in it: the room gets no colder than %(coldest_c)s.")
            % {
                "strength_g_per_l": strength(before.strength_g_per_l),
                "coldest_c": quantity(bath.coldest_c, "°C", decimals=0),
            },
            _("Look again whether they are blue. Tick to write them all the same."),
        )


def remove(bath: Bath, kind: str, words: str, removed: TakenOut, *, by: Signed) -> Entry:
    """Bath leaves the tank, by whichever kind of entry says so."""
    with writing(bath, kind, f"{bath}: {words}", by) as entry:
        before = state_at(bath, entry.happened_at)
        refuse_more_than_is_there(bath, before, removed.litres_at(before.liquid_g_per_l)[0], "litres")
        record_level_before(bath, entry, removed, before)
        record(bath, entry, removed, words)
    return entry


def record_level_before(bath: Bath, entry: Entry, taken: TakenOut, state: BathState) -> BathState:
    """
    Who tells a pour by two levels has measured: the first is a reading, and held out where the book is far off it.

    Returned is the bath with it.
    """
    if not isinstance(taken, RemovedByLevel):
        return state
    words = _("level before: %(litres)s") % {"litres": quantity(taken.before_l, "L", 4)}
    record(bath, entry, taken.level_before, words)
    reading = replace(taken.level_before, day=state.day)
    return state if bath_model.is_far_off(state, reading) else bath_model.replay([reading], start=state)[-1]


def take_out(bath: Bath, taken: TakenOut, *, where_to: str, by: Signed) -> Entry:
    """Part of the bath goes elsewhere, told by the jug, by a scale or by the level before and after."""
    if isinstance(taken, RemovedByLevel):
        refuse_above_the_rim(bath, taken.before_l, "level_before")
    return remove(
        bath,
        kinds.TAKEN_OUT,
        _("%(words)s out, %(where_to)s") % {"words": taken.words, "where_to": where_to},
        taken,
        by=by,
    )


def pour_into(bath: Bath, taken: TakenOut, *, into: Bath, by: Signed) -> Entry:
    """
    Some of a bath goes into another tank of the book, which holds it from then on: one entry about both.

    A tank that was unread is begun by it.
    """
    if isinstance(taken, RemovedByLevel):
        refuse_above_the_rim(bath, taken.before_l, "level_before")
    if into == bath:
        raise Refused("into", _("That is the same bath; choose another one."))
    named = {"amount": taken.words, "bath": bath, "into": into}
    subject = _("Poured %(amount)s of %(bath)s into %(into)s") % named
    with writing(bath, kinds.POURED_OVER, subject, by, into=into) as entry:
        source, before = state_at(bath, entry.happened_at), estimate.at_moment(into, entry.happened_at)
        source = record_level_before(bath, entry, taken, source)
        refuse_more_than_is_there(bath, source, taken.litres_at(source.liquid_g_per_l)[0], "litres")
        record(bath, entry, taken, _("%(amount)s out, into %(into)s") % named)
        # what it brings follows from what left the other one, now and whenever more is known of that
        write_event(into, entry, Kind.POURED_IN, {}, _("%(amount)s out of %(bath)s") % named)
        brought = removal.poured_into(replace(taken, day=source.day), source, before)
        [after] = bath_model.replay([replace(brought, day=before.day if before else UNDATED)], start=before)
        refuse_above_the_rim(into, after.volume_l, "litres")
        if not before:
            # nobody is asked about a lid by this: it stands as the other one did then, until somebody says so
            record_lid(into, entry, lid_on=lid_is_on(bath, entry.happened_at))
    return entry


def spill(bath: Bath, *, litres: float, by: Signed) -> Entry:
    """Bath that ended on the bench or the floor; the amount is a guess."""
    spilled = Removed(day=UNDATED, litres=litres, sd_l=SPILL_SD_SHARE * litres)
    return remove(
        bath, kinds.SPILL, _("about %(litres)s spilled") % {"litres": quantity(litres, "L", 2)}, spilled, by=by
    )


def drips(bath: Bath, *, plates: int, by: Signed, ml_each: float = DRIP_ML) -> Entry:
    """What plates carried out on their faces."""
    words = ngettext("drips of %(plates)s plate, %(ml)s each", "drips of %(plates)s plates, %(ml)s each", plates) % {
        "plates": plates,
        "ml": quantity(ml_each, "mL"),
    }
    return remove(bath, kinds.DRIPS, words, dripped(plates * ml_each), by=by)


def record_bite(bath: Bath, entry: Entry, *, charge_ah: float | None, words: str, drips_ml: float) -> None:
    """
    What a bite did to a bath, inside an entry of `writing`: charge that moved copper, and drips of the plate.

    A charge that nobody read moves copper all the same, but the book cannot say how much.
    """
    # an unread bath may be bitten in: the charge counts once somebody says what is in it
    before = estimate.at_moment(bath, entry.happened_at)
    if charge_ah is not None:
        record(bath, entry, Bitten(day=UNDATED, charge_ah=charge_ah), words)
    if drips_ml:
        if before:
            refuse_more_than_is_there(bath, before, drips_ml / 1000, "ml_each")
        record(bath, entry, dripped(drips_ml), _("drips of %(drips_ml)s") % {"drips_ml": quantity(drips_ml, "mL")})


def cover(bath: Bath, *, lid_on: bool, by: Signed) -> Entry:
    """The lid goes on or comes off; drying stops or begins."""
    with writing(
        bath, kinds.LID, (_("Lid on: %(bath)s") if lid_on else _("Lid off: %(bath)s")) % {"bath": bath}, by
    ) as entry:
        state_at(bath, entry.happened_at)
        record_lid(bath, entry, lid_on=lid_on)
    return entry


def answer(reading: BathEvent, *, choice: str, by: Signed) -> Entry:
    """Say what to make of a reading that was held out: the answer is an entry of its own."""
    said = Answer.Choice(choice).label
    with writing(reading.bath, kinds.ANSWERED, f"{said}: {reading.words}", by, since=reading.entry) as entry:
        Answer.objects.create(reading=reading, entry=entry, choice=choice)
    return entry


@transaction.atomic
def touch(baths: Iterable[Bath]) -> None:
    """Replay baths whose log changed under them, as a strike does; in one order, so that no two wait on each other."""
    estimate.refresh(Bath.objects.select_for_update().filter(pk__in=[bath.pk for bath in baths]).order_by("pk"))


def lid_is_on(bath: Bath, at: datetime) -> bool:
    said = BathEvent.objects.standing().filter(bath=bath, kind=Kind.DRYING_RATE, happened_at__lte=at)
    last = said.in_order().last()
    return last is not None and last.covers_the_bath


def drying_g_per_day(bath: Bath, *, lid_on: bool) -> float:
    """Water an uncovered bath of this surface is expected to lose in this room; under a lid none. [g/day]"""
    if lid_on:
        return 0.0
    return evaporation.water_lost_g_per_day(
        area_cm2=bath.surface_cm2,
        water_c=bath.air_c,
        air_c=bath.air_c,
        relative_humidity=bath.relative_humidity_percent / 100,
        water_activity=evaporation.water_activity((bath.range_low_g_per_l + bath.range_high_g_per_l) / 2),
    )


def only_water_can_have_left(bath: Bath, before: Entry | None = None) -> bool:
    """Whether nothing but drying has touched the bath since its last top-up: no bite, no drips, nothing taken out."""
    # lids and readings tell nothing of what went in or out
    telling = estimate.log(bath).filter(kind__in=(*FILLING, *CARRYING_SALT))
    if before:
        telling = telling.filter(happened_at__lte=before.happened_at)
        # of what happened in the same minute only what was written before it
        telling = telling.exclude(happened_at=before.happened_at, entry_id__gte=before.pk)
    last = telling.last()
    return last is not None and (last.kind in FILLING or last.begins)


def save_tank(bath: Bath, entry: Entry) -> None:
    """Write a tank, and its place if that is new."""
    if bath.place._state.adding:
        bath.place.save()
        # assigned again for its key, which it has only now
        bath.place = bath.place
    if bath._state.adding:
        bath.check_facts()
        bath.save()
    else:
        facts.change(bath, bath.facts(), entry=entry)


def mark_the_fill(bath: Bath, volume_l: float, entry: Entry) -> None:
    """Where nobody gave a usual fill, a bath that is begun fills its tank."""
    if not bath.fill_is_given and bath.fill_l != volume_l:
        facts.change(bath, {"fill_l": volume_l}, entry=entry)


@contextmanager
def writing(
    bath: Bath, kind: str, subject: str, by: Signed, *, into: Bath | None = None, since: Entry | None = None
) -> Iterator[Entry]:
    """
    One entry that touches a bath or two: rows locked, revisions raised, estimates brought up to date.

    since: an earlier entry of which it says something.
    """
    # a tank that was never written has no row to lock yet
    with book.entry(kind, subject, by) as entry:
        if bath._state.adding:
            save_tank(bath, entry)
        touched = {each.pk: each for each in filter(None, (bath, into))}
        place = estimate.place_of(since or entry)

        def reached() -> list[int]:
            # written late it moves those into which these were poured since; in one order for everybody, or two people
            # could each hold the bath that the other waits for
            return sorted(estimate.reached_from(dict.fromkeys(touched, place)))

        def lock(keys: list[int]) -> None:
            for pk in keys:
                lock_row(touched.get(pk) or Bath(pk=pk))

        book.lock_together(reached, lock)
        yield entry
        estimate.refresh(touched.values(), place)


@contextmanager
def beside(bath: Bath, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    """One entry about a bath that leaves what is in it alone, as when its current goes on: nothing is replayed."""
    with book.entry(kind, subject, by) as entry:
        lock_row(bath)
        yield entry
        estimate.carry_on(bath)


def lock_row(bath: Bath) -> None:
    [(bath.revision, bath.estimated_revision, bath.estimated_model)] = revisions_locked(bath.pk)


@asked_often
def revisions_locked(bath: int) -> "QuerySet[Bath, tuple[int, int, int]]":
    # the row of its place is left alone: two tanks in one room are written at once
    locked = Bath.objects.select_for_update(of=("self",)).filter(pk=bath)
    return locked.values_list("revision", "estimated_revision", "estimated_model")


def record(bath: Bath, entry: Entry, event: Event, words: str) -> BathEvent:
    """Write one event into the log of a bath, inside an entry of `writing`."""
    return write_event(bath, entry, type(event).__name__, event_log.figures_of(event), words)


def write_event(bath: Bath, entry: Entry, kind: str, figures: event_log.Figures, words: str) -> BathEvent:
    return BathEvent.objects.create(
        bath=bath,
        entry=entry,
        happened_at=entry.happened_at,
        kind=kind,
        values=figures,
        schema=event_log.SCHEMA,
        # a long name of a plate must not lose the event that it stands in
        words=words[:160],
    )


def record_lid(bath: Bath, entry: Entry, *, lid_on: bool) -> None:
    rate = drying_g_per_day(bath, lid_on=lid_on)
    words = (
        _("lid on")
        if lid_on
        else _("lid off, about %(rate)s of water a day expected") % {"rate": quantity(rate, "g", decimals=0)}
    )
    record(bath, entry, DryingRate(day=UNDATED, g_per_day=rate), words)


def state_at(bath: Bath, moment: datetime) -> BathState:
    """What the book says of the bath at a moment; refused while it is unread."""
    state = estimate.at_moment(bath, moment)
    if state is None:
        ways = [
            (_("Mix a bath in it"), reverse("baths:mix", args=[bath.pk])),
            (_("Adopt the bath that is in it"), reverse("baths:adopt", args=[bath.pk])),
        ]
        raise Refused(
            "happened_at", _("%(bath)s was unread then: mix it or adopt it first.") % {"bath": bath}, ways=ways
        )
    return state


def state_after(entry: Entry, bath: Bath, before: BathState) -> BathState:
    events = [event.on_day(before.day) for event in entry.bath_events.filter(bath=bath).order_by("pk")]
    return [before, *bath_model.replay(filter(None, events), start=before)][-1]


def question_salt(bath: Bath, before: BathState, water_l: float, salt: Sequence[Portion], entry: Entry) -> None:
    if not only_water_can_have_left(bath, entry):
        return
    watered = bath_model.replay([WaterAdded(day=before.day, litres=water_l)], start=before)[-1] if water_l else before
    if watered.strength_g_per_l < bath.range_low_g_per_l:
        return
    added = replace(crystals_added(salt, by_cups=False), day=before.day)
    salted = bath_model.replay([added], start=watered)[-1]
    raise Questioned(
        "salt_anyway",
        _(
            "No bite ran and nothing was taken out since the last top-up, so only water has left: "
            "water alone gives %(strength_g_per_l)s, with the crystals it becomes "
            "%(strength_g_per_l_2)s."
        )
        % {
            "strength_g_per_l": strength(watered.strength_g_per_l),
            "strength_g_per_l_2": strength(salted.strength_g_per_l),
        },
        _("Say why the crystals go in all the same."),
    )


def question_weak(bath: Bath, before: BathState, after: BathState) -> None:
    low = bath.range_low_g_per_l
    if after.strength_g_per_l < low <= before.strength_g_per_l:
        raise Questioned(
            "weak_anyway",
            _("This leaves it weak, at %(strength_g_per_l)s; its range begins at %(low)s.")
            % {
                "strength_g_per_l": strength(after.strength_g_per_l),
                "low": strength(low),
            },
            _("Tick to add the water all the same."),
        )


def refuse_above_the_rim(bath: Bath, volume_l: float, field: str, level: str = "") -> None:
    """level: the same volume as it was read, such as in centimetres."""
    if volume_l > bath.rim_l:
        stands = level or quantity(volume_l, "L", 3)
        ways = [] if bath._state.adding else [(_("Its level now"), reverse("baths:read_level", args=[bath.pk]))]
        raise Refused(
            field,
            _("That would stand at %(stands)s; %(bath)s runs over at %(rim_l)s.")
            % {"stands": stands, "bath": bath, "rim_l": quantity(bath.rim_l, "L", 3)},
            ways=ways,
        )


def refuse_more_than_is_there(bath: Bath, state: BathState, litres: float, field: str) -> None:
    if litres >= state.volume_l:
        ways = [(_("Read its level"), reverse("baths:read_level", args=[bath.pk]))]
        raise Refused(
            field, _("Only %(volume_l)s is in the bath.") % {"volume_l": quantity(state.volume_l, "L", 3)}, ways=ways
        )


def refuse_undissolved(state: BathState, temperature_c: float, field: str, holding: str = "") -> None:
    settled = bath_model.settle(state, temperature_c=temperature_c)
    # a gram less than the sum says is within what a kitchen scale can tell
    if settled.crystals_g > 1:
        raise Refused(
            field,
            _(
                "At %(temperature_c)s %(holding)s can hold only %(liquid_strength_g_per_l)s: "
                "about %(crystals_g)s would stay on the floor. Warm it first, or add less."
            )
            % {
                "temperature_c": quantity(temperature_c, "°C", decimals=0),
                "holding": holding or _("this water"),
                "liquid_strength_g_per_l": strength(settled.liquid_strength_g_per_l),
                "crystals_g": quantity(settled.crystals_g, "g", decimals=0),
            },
        )


def dripped(ml: float) -> Removed:
    return Removed(day=UNDATED, litres=ml / 1000, sd_l=DRIP_SD_SHARE * ml / 1000)
