"""
What is done with the current. Each is one entry in one transaction.

A bite is its start, its readings and its stop. What it did to the bath is written with the stop.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.copper import biting, cell_current
from chemistry.copper.biting import Gap
from chemistry.measured import Measured, digits, plain
from chemistry.quantity import quantity
from chemistry.working import Figure
from inventory import book as inventory
from inventory.book import Signed
from inventory.dates import day_or_clock
from inventory.models import Entry
from inventory.refusals import Questioned, Refused
from studio.baths import operations as baths
from studio.baths.models import Bath
from studio.bites import calibration, kinds, plates
from studio.bites.kinds import READ, STARTED, STOPPED, WHOLE
from studio.bites.models import Bite, BiteReading, BiteStop, OwnEfficiency, Plate
from studio.people.inductions import Task, refuse_uninducted

ONE_MINUTE = timedelta(minutes=1)
# a later line rests on the earlier ones and is struck before them
IN_TURN = (STOPPED, READ, STARTED, WHOLE)


@dataclass(frozen=True, kw_only=True)
class CurrentReading:
    """What the supply's display showed, so many minutes into a bite."""

    minutes: float
    amps: float
    volts: float | None = None


@dataclass(frozen=True, kw_only=True)
class Setting:
    plate: Plate | None = None
    state: int = 1
    exposed: Measured | None = None
    cathode_cm2: float | None = None
    gap_cm: float | None = None
    volts_set: float | None = None

    @property
    def name(self) -> str:
        return str(self.plate or "a plate")


@dataclass(frozen=True, kw_only=True)
class Ending:
    """How a bite ended: after so many minutes, give or take, with what the supply did by itself on the way."""

    minutes: float
    is_about: bool = False
    gap: Gap | None = None
    counted_ah: float | None = None
    ml_each: float = baths.DRIP_ML

    @property
    def minutes_sd(self) -> float:
        return biting.ABOUT_SD_MIN if self.is_about else biting.WATCH_SD_MIN


def start(
    bath: Bath,
    *,
    setting: Setting,
    by: Signed,
    planned_min: float | None = None,
    beside_anyway: bool = False,
    metal_anyway: bool = False,
) -> Entry:
    """The current goes on, by the clock of this machine."""
    with baths.beside(
        bath, STARTED, _("Started a bite of %(name)s in %(bath)s") % {"name": setting.name, "bath": bath}, by
    ) as entry:
        refuse_uninducted(Task.BATH, by)
        # asked for its refusal alone: of an unread tank nobody knows what the current goes through
        baths.state_at(bath, entry.happened_at)
        with entry.unless(beside_anyway):
            refuse_in_use(bath)
        refuse_running(setting.plate)
        if setting.plate:
            with entry.unless(metal_anyway):
                plates.refuse_no_copper(setting.plate, "plate_pk")
        begin(bath, setting, entry, planned_min=planned_min)
    return entry


def read(bite: Bite, *, amps: float, by: Signed, volts: float | None = None, unusual_anyway: bool = False) -> Entry:
    moment = by.happened_at or timezone.now()
    # one moment for both: the entry would be dated later than its reading by as long as the lock was waited for
    reading = CurrentReading(minutes=minutes_until(bite, moment), amps=amps, volts=volts)
    words = _said([reading])
    with baths.beside(
        bite.bath, READ, _("Read %(bite)s: %(words)s") % {"bite": bite, "words": words}, replace(by, happened_at=moment)
    ) as entry:
        refuse_ended(bite)
        with entry.unless(unusual_anyway):
            question_unusual(bite.bath, setting_of(bite), [reading], entry)
        record_readings(bite, [reading], entry)
    return entry


def stop(
    bite: Bite,
    *,
    by: Signed,
    amps: float | None = None,
    volts: float | None = None,
    is_about: bool = False,
    off_at: datetime | None = None,
    back_at: datetime | None = None,
    counted_ah: float | None = None,
    ml_each: float = baths.DRIP_ML,
    unusual_anyway: bool = False,
) -> Entry:
    """
    The current is off; charge and drips go into the bath's log.

    off_at, back_at: when the supply went off by itself and came back, as in a power cut.
    """
    moment = by.happened_at or timezone.now()
    ending = Ending(
        minutes=minutes_until(bite, moment),
        is_about=is_about,
        gap=gap_in(bite, off_at, back_at, moment),
        counted_ah=counted_ah,
        ml_each=ml_each,
    )
    last = [CurrentReading(minutes=ending.minutes, amps=amps, volts=volts)] if amps is not None else []
    words = _("Stopped the %(bite)s after %(minutes)s min") % {"bite": bite, "minutes": plain(ending.minutes, 0)}
    with baths.writing(bite.bath, STOPPED, words, replace(by, happened_at=moment)) as entry:
        # only under the lock: two people at one supply may both tap stop
        refuse_ended(bite)
        with entry.unless(unusual_anyway):
            question_unusual(bite.bath, setting_of(bite), last, entry)
        record_readings(bite, last, entry)
        end(bite, ending, entry)
    return entry


def note(
    bath: Bath,
    *,
    setting: Setting,
    ending: Ending,
    by: Signed,
    readings: Sequence[CurrentReading] = (),
    planned_min: float | None = None,
    unusual_anyway: bool = False,
    metal_anyway: bool = False,
) -> Entry:
    """
    A bite is written down after the fact, whole: `by` says when it began.

    Nobody is asked for an induction: the copper has moved, and a book without it would be untrue. The bench tells.
    Another metal than copper is refused as it is before the current: no sum here is one of it.
    """
    # left empty it has just ended, as its form says
    began = by.happened_at or timezone.now() - ending.minutes * ONE_MINUTE
    refuse_unfinished(began, ending)
    words = _said(readings, ending)
    subject = _("Bitten in %(bath)s: %(name)s, %(words)s") % {"bath": bath, "name": setting.name, "words": words}
    with baths.writing(bath, WHOLE, subject, replace(by, happened_at=began)) as entry:
        baths.state_at(bath, began)
        if setting.plate:
            with entry.unless(metal_anyway):
                plates.refuse_no_copper(setting.plate, "plate_pk")
        with entry.unless(unusual_anyway):
            question_unusual(bath, setting, readings, entry)
        # no question about a plate beside it or one that is away: to refuse undoes nothing that has happened
        bite = begin(bath, setting, entry, planned_min=planned_min)
        record_readings(bite, readings, entry)
        end(bite, ending, entry)
    return entry


@transaction.atomic
def put_right(
    bite: Bite,
    *,
    reason: str,
    by: Signed,
    bath: Bath,
    setting: Setting,
    ending: Ending,
    readings: Sequence[CurrentReading] = (),
    planned_min: float | None = None,
    unusual_anyway: bool = False,
    metal_anyway: bool = False,
) -> Entry:
    """A bite is struck, whole, and written down anew, whole: its lines stay readable and stop counting."""
    # both at once and in one order, or two corrections could each hold the bath that the other waits for
    list(Bath.objects.select_for_update().filter(pk__in=[bite.bath_id, bath.pk]).order_by("pk"))
    refuse_struck(bite)
    # before the new one is written: while the old bite stands its charge would be in the bath twice
    for entry in entries_of(bite):
        inventory.strike(entry, by=by, reason=reason)
    return note(
        bath,
        setting=setting,
        ending=ending,
        by=by,
        readings=readings,
        planned_min=planned_min,
        unusual_anyway=unusual_anyway,
        metal_anyway=metal_anyway,
    )


def say_efficiency(*, electrode: str, share: float, half_width: float, reason: str, by: Signed) -> Entry:
    """A keyholder says what the current moves here; weighings go on teaching from there. Struck, the usual is back."""
    own = OwnEfficiency(electrode=electrode, share=share, half_width=half_width, reason=reason)
    words = _("Said what the current moves %(get_electrode_display)s: %(own)s, %(reason)s") % {
        "get_electrode_display": own.get_electrode_display(),
        "own": own,
        "reason": reason,
    }
    with inventory.entry(kinds.EFFICIENCY, words, by) as entry:
        own.entry = entry
        own.save()
    return entry


def entries_of(bite: Bite) -> list[Entry]:
    """The standing entries a bite is made of, in the order in which they can be struck."""
    lines = Bite.objects.filter(pk=bite.pk), BiteReading.objects.filter(bite=bite), BiteStop.objects.filter(bite=bite)
    first, *others = (each.order_by().values("entry") for each in lines)
    # line by line: joined to all three, every entry of the book would be looked at
    written: Any = first.union(*others)  # its stubs know of no rows that are chosen by others of another model
    entries = Entry.objects.standing().filter(pk__in=written)
    entries = entries.select_related("done_by", "struck_by").latest_first()
    return sorted(entries, key=lambda entry: IN_TURN.index(entry.kind))


def charge_of(readings: Iterable[BiteReading], stop: BiteStop) -> Figure | None:
    """What passed in a bite, by its readings or by the supply's own count; None while nobody has said."""
    if stop.is_counted:
        return biting.counted_charge(stop.charge_ah or 0.0)
    return charge_by_readings(readings, minutes=stop.minutes, minutes_sd=stop.minutes_sd, gap=stop.gap)


def charge_by_readings(
    readings: Iterable[BiteReading], *, minutes: float, minutes_sd: float, gap: Gap | None
) -> Figure | None:
    # a reading past the stop belongs to no minute of the bite
    taken = [(reading.minutes, reading.amps) for reading in readings if reading.minutes <= minutes]
    if not taken:
        return None
    return biting.charge(taken, minutes=minutes, minutes_sd=minutes_sd, gap=gap)


def begin(bath: Bath, setting: Setting, entry: Entry, *, planned_min: float | None) -> Bite:
    # two bites begun at once could both lay bare the same copper
    if setting.plate:
        plates.lock(setting.plate)
        plates.refuse_too_large(setting.exposed, setting.plate)
    exposed = setting.exposed
    return Bite.objects.create(
        entry=entry,
        happened_at=entry.happened_at,
        bath=bath,
        plate=setting.plate,
        state=setting.state,
        exposed_cm2=exposed.value if exposed else None,
        exposed_sd_cm2=exposed.sd if exposed else None,
        cathode_cm2=setting.cathode_cm2,
        gap_cm=setting.gap_cm,
        volts_set=setting.volts_set,
        planned_min=planned_min,
    )


def record_readings(bite: Bite, readings: Sequence[CurrentReading], entry: Entry) -> None:
    BiteReading.objects.bulk_create(
        BiteReading(entry=entry, bite=bite, minutes=reading.minutes, amps=reading.amps, volts=reading.volts)
        for reading in readings
    )


def end(bite: Bite, ending: Ending, entry: Entry) -> None:
    """The stop, and what the bite did to the bath."""
    readings = bite.standing_readings()
    # the supply counted every moment: its readings only say how it went
    if ending.counted_ah is not None:
        charge: Figure | None = biting.counted_charge(ending.counted_ah)
    else:
        charge = charge_by_readings(readings, minutes=ending.minutes, minutes_sd=ending.minutes_sd, gap=ending.gap)
    BiteStop.objects.create(
        entry=entry,
        bite=bite,
        minutes=ending.minutes,
        minutes_sd=ending.minutes_sd,
        off_from_min=ending.gap.begins_min if ending.gap else None,
        off_until_min=ending.gap.ends_min if ending.gap else None,
        charge_ah=charge.value if charge else None,
        charge_sd_ah=charge.sd if charge else None,
        is_counted=ending.counted_ah is not None,
        drips_ml=ending.ml_each,
    )
    baths.record_bite(
        bite.bath,
        entry,
        charge_ah=charge.value if charge else None,
        words=f"{bite.plate or 'a plate'}: {_said(readings, ending)}",
        drips_ml=ending.ml_each,
    )


def setting_of(bite: Bite) -> Setting:
    return Setting(plate=bite.plate, state=bite.state, exposed=bite.exposed)


def _said(readings: Sequence[CurrentReading | BiteReading], ending: Ending | None = None) -> str:
    """
    A bite in a few words.

    >>> _said([CurrentReading(minutes=1, amps=1.2), CurrentReading(minutes=20, amps=1.1)], Ending(minutes=28))
    '1.2 to 1.1 A for 28 min'
    """
    if ending and ending.counted_ah is not None:
        return _("%(counted_ah)s A·h in %(minutes)s min") % {
            "counted_ah": digits(ending.counted_ah),
            "minutes": plain(ending.minutes, 0),
        }
    amps = [digits(reading.amps) for reading in readings]
    # a steady current would read 1.2 to 1.2 A
    current = " to ".join(dict.fromkeys((amps[0], amps[-1]))) + " A" if amps else _("current not read")
    if ending:
        return (
            _("%(current)s for %(minutes)s min") % {"current": current, "minutes": plain(ending.minutes, 0)}
            if amps
            else _("%(minutes)s min, %(current)s") % {"minutes": ending.minutes, "current": current}
        )
    volts = readings[-1].volts if readings else None
    return current if volts is None else _("%(current)s at %(volts)s V") % {"current": current, "volts": digits(volts)}


def minutes_until(bite: Bite, moment: datetime) -> float:
    minutes = bite.minutes_at(moment)
    if minutes < 0:
        raise Refused(
            "happened_at",
            _("It began at %(day_or_clock)s, after %(day_or_clock_2)s.")
            % {"day_or_clock": day_or_clock(bite.happened_at), "day_or_clock_2": day_or_clock(moment)},
        )
    # a moment that has not come is refused by the book, in its own words
    if minutes > biting.LONGEST_MIN and moment <= timezone.now():
        days = round(minutes / 1440)
        words = ngettext(
            "That is %(days)s day after it began; say when it really stopped.",
            "That is %(days)s days after it began; say when it really stopped.",
            days,
        )
        raise Refused("happened_at", words % {"days": days})
    return minutes


def gap_in(bite: Bite, off_at: datetime | None, back_at: datetime | None, stopped_at: datetime) -> Gap | None:
    """The cut that the supply came back from by itself; both its ends must lie inside the bite."""
    if off_at is None or back_at is None:
        return None
    if off_at < bite.happened_at:
        raise Refused(
            "off_at",
            _("The current went on at %(day_or_clock)s only.") % {"day_or_clock": day_or_clock(bite.happened_at)},
        )
    if back_at <= off_at:
        raise Refused(
            "back_at",
            _("It went off at %(day_or_clock)s; it came back after that.") % {"day_or_clock": day_or_clock(off_at)},
        )
    if back_at > stopped_at:
        raise Refused(
            "back_at",
            _("The bite was over at %(day_or_clock)s; it came back before that, or not at all.")
            % {"day_or_clock": day_or_clock(stopped_at)},
        )
    return Gap(begins_min=bite.minutes_at(off_at), ends_min=bite.minutes_at(back_at))


def refuse_unfinished(began: datetime, ending: Ending) -> None:
    stops_at = began + ending.minutes * ONE_MINUTE
    if stops_at > timezone.now():
        raise Refused(
            "minutes",
            _("It would stop at %(day_or_clock)s, which has not come yet; start it, or say when it began.")
            % {"day_or_clock": day_or_clock(stops_at)},
        )


def refuse_in_use(bath: Bath) -> None:
    bite = Bite.objects.running().filter(bath=bath).select_related("entry__done_by", "plate").first()
    if bite:
        until = _(" until %(day_or_clock)s") % {"day_or_clock": day_or_clock(bite.ends_at)} if bite.ends_at else ""
        raise Questioned(
            "beside_anyway",
            _("%(bath)s is in use%(until)s by %(done_by)s: %(value)s hangs in it.")
            % {"bath": bath, "until": until, "done_by": bite.entry.done_by, "value": bite.plate or "a plate"},
            _("Tick to bite a second plate beside it; each then needs its own reading of the current."),
            ways=[(_("The bite that runs"), bite.get_absolute_url())],
        )


def refuse_running(plate: Plate | None) -> None:
    if plate is None:
        return
    # two baths lock two rows: only the plate's own keeps it from hanging in both
    plates.lock(plate)
    bite = Bite.objects.running().filter(plate=plate).select_related("bath").first()
    if bite:
        raise Refused(
            None,
            _("%(plate)s is in %(bath)s since %(day_or_clock)s: stop that bite first.")
            % {"plate": plate, "bath": bite.bath, "day_or_clock": day_or_clock(bite.happened_at)},
            ways=[(_("The bite that runs"), bite.get_absolute_url())],
        )
    if plates.is_away(plate):
        ways = [(_("It came back"), f"{reverse('bites:bring_back')}?plate={plate.pk}")]
        raise Refused(
            None, _("%(plate)s is away, by the book. Write down that it came back first.") % {"plate": plate}, ways=ways
        )


def refuse_ended(bite: Bite) -> None:
    stop = bite.standing_stop()
    if stop:
        raise Refused(
            None,
            _("%(done_by)s stopped it at %(day_or_clock)s. Put that right if it is wrong.")
            % {"done_by": stop.entry.done_by, "day_or_clock": day_or_clock(stop.stopped_at)},
            ways=[(_("The bite as it stands"), bite.get_absolute_url())],
        )
    refuse_struck(bite)


def refuse_struck(bite: Bite) -> None:
    # read anew: the entry in hand was fetched before the lock
    if Entry.objects.get(pk=bite.entry_id).is_struck:
        said = _("This bite was struck out of the book meanwhile.")
        raise Refused(None, said, ways=[(_("Why it was struck"), bite.entry.get_absolute_url())])


def question_unusual(bath: Bath, setting: Setting, readings: Sequence[CurrentReading], entry: Entry) -> None:
    """Ask once more where a current is far from what this bath usually takes."""
    if setting.exposed is None or not readings:
        return
    state = baths.state_at(bath, entry.happened_at)
    usual = calibration.usual_density(bath, state.strength_g_per_l)
    for reading in readings if usual else ():
        assert usual
        if cell_current.is_far_from_usual(100 * reading.amps / setting.exposed.value, usual):
            raise Questioned("unusual_anyway", *unlike_usual(reading, setting.exposed, usual))


def unlike_usual(reading: CurrentReading, exposed: Measured, usual: Figure) -> tuple[str, str]:
    """What is odd about it, and what to look at."""
    expected_a = usual.value * exposed.value / 100
    amps, cm2 = digits(reading.amps), quantity(exposed.value, "cm²", 3)
    said = _("%(amps)s A on %(cm2)s is far from usual here, which would be about %(expected_a)s A.") % {
        "amps": amps,
        "cm2": cm2,
        "expected_a": plain(expected_a, 1),
    }
    # the two stand side by side on the display: where the volts would be usual amps, they were likely exchanged
    swapped = reading.volts is not None and not cell_current.is_far_from_usual(
        100 * reading.volts / exposed.value, usual
    )
    ask = (
        _("Were amps and volts swapped?") if swapped else _("Is the exposed area right, and are these amps, not volts?")
    )
    return said, _("%(ask)s Tick if it is as it was read.") % {"ask": ask}
