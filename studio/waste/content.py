"""What is in drums: their standing deposits and measurements replayed to a moment, in a few queries for all of them."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property, partial
from operator import attrgetter
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.measured import Measured, kept, within
from chemistry.solution import sulfuric
from chemistry.waste import drum as sums
from chemistry.waste import streams
from chemistry.waste.drum import Contribution
from chemistry.waste.vocabulary import VOCABULARY
from chemistry.working import Figure
from inventory.asked_often import asked_often
from inventory.dates import long_day, short_day
from inventory.models import Entry, Material
from studio.waste import copper, whereabouts
from studio.waste.copper import Brought
from studio.waste.models import Deposit, Drum, DrumWeighing, Finding, Inspection, TestResult

Quantity = TestResult.Quantity
WasteLine = Deposit | Inspection | DrumWeighing | TestResult | Finding

WITH_DEPOSITS = ("entry__done_by", "event__bath", "bath", "strip__cathode", "container__material", "from_drum")
AFTER_ALL = 2**63 - 1  # the number of no entry
# what nobody asks of what went in, and takes as long to read as all the rest
UNASKED = (
    *("entry__key", "entry__form_digest", "entry__strike_reason", "entry__note"),
    *(f"{bath}__{large}" for bath in ("bath", "event__bath") for large in ("marks", "forgotten")),
)
NEARLY_ALL = 1 - 1e-9  # of a drum
PERCENT_FROM_MG_PER_KG = 10_000
# of what happened at the same moment, what was written down first comes first
IN_ORDER = attrgetter("entry.happened_at", "entry_id", "pk")
WORKED_OUT = ("volume", "mass", "copper", "acid", "kinds")  # of all lines so far


@dataclass(frozen=True)
class Determination:
    """
    What somebody measured of a drum, or found out about it; ended_by: what went in next.

    Everything that goes in ends it, more of the very same too: the book cannot tell that two portions are alike. What
    is poured out ends nothing: it takes its share of everything.
    """

    line: TestResult | Finding
    ended_by: Deposit | None = None

    @property
    def holds(self) -> object:
        """What of it holds now; None where nothing does."""
        return VOCABULARY[self.line.key].after_more(self.line.value) if self.ended_by else self.line.value

    @property
    def is_over(self) -> bool:
        return self.ended_by is not None and self.holds is None

    @property
    def said(self) -> str:
        """Of one that is over."""
        done = _("Measured") if isinstance(self.line, TestResult) else _("Answered")
        return _("%(done)s before %(ended_by)s went in, on %(happened_at)s: %(line)s.") % {
            "done": done,
            "ended_by": self.ended_by,
            "happened_at": long_day(self.line.entry.happened_at),
            "line": self.line,
        }


@dataclass
class Content:
    """
    A drum at a place in the book: its lines in order, and what they add up to.

    answers: by what they are of; those that came along from another drum stand beside its own. not_of_baths: what went
    in of which nobody can say that it is out of a bath and water alone. acid_unsaid: what came out of baths of which
    nobody has said whether they hold sulfuric acid. most_acid_g_per_l: of the sourest liquid that went in. given_up:
    what jars brought, whichever drum it went into first. guessed: kinds that a jar or a spill was taken for.
    holds_more: since somebody last saw how full it stands, something went in whose litres nobody knows.
    """

    drum: Drum
    deposits: list[Deposit] = field(default_factory=list)
    inspections: list[Inspection] = field(default_factory=list)
    weighings: list[DrumWeighing] = field(default_factory=list)
    asked: list[TestResult | Finding] = field(default_factory=list)
    answers: dict[str, list[Determination]] = field(default_factory=dict)
    not_of_baths: list[Deposit] = field(default_factory=list)
    acid_unsaid: list[str] = field(default_factory=list)
    most_acid_g_per_l: float = 0.0
    given_up: list[Material] = field(default_factory=list)
    guessed: set[str] = field(default_factory=set)
    came_over: list[str] = field(default_factory=list)
    holds_more: bool = False
    poured_out: list[Deposit] = field(default_factory=list)
    litre_parts: list[Contribution] = field(default_factory=list)
    mass_parts: list[Contribution] = field(default_factory=list)
    copper_parts: list[Contribution] = field(default_factory=list)
    acid_parts: list[Contribution] = field(default_factory=list)
    room_l: float | None = None

    @property
    def started_at(self) -> datetime | None:
        """The first drop."""
        return self.deposits[0].entry.happened_at if self.deposits else None

    @property
    def looked_at(self) -> datetime:
        """When somebody last looked it over; else since when it stands there."""
        return self.inspections[-1].entry.happened_at if self.inspections else self.drum.entry.happened_at

    @property
    def is_wrong(self) -> bool:
        """What the last look found, until another finds it put right."""
        return bool(self.inspections) and self.inspections[-1].found == Inspection.Found.WRONG

    @property
    def rags_since(self) -> datetime | None:
        """Since when rags that heat up by themselves lie in it; None once they were put out of the building."""
        put_out = [IN_ORDER(look) for look in self.inspections if look.is_put_out]
        # by what went in, not by what the drum is for: one oiled rag in another drum heats up as well
        waiting = [
            deposit
            for deposit in self.deposits
            if deposit.stream.self_heats and not (put_out and IN_ORDER(deposit) < put_out[-1])
        ]
        return waiting[0].entry.happened_at if waiting else None

    def is_seen_since(self, entry: Entry) -> bool:
        """Whether somebody saw how full it stands after an entry."""
        at = (entry.happened_at, entry.pk)
        return any(IN_ORDER(look)[:2] > at for look in self.inspections if look.full_percent is not None)

    def ends_before(self, entry: Entry) -> bool:
        """Whether all that was written of it stands before an entry in the book."""
        written = (*self.deposits, *self.poured_out, *self.inspections, *self.weighings, *self.asked)
        return all(IN_ORDER(line)[:2] < (entry.happened_at, entry.pk) for line in written)

    @cached_property
    def kinds(self) -> list[str]:
        """Its own, and whatever else went in, here or in a drum that was poured over into it."""
        went_in = (deposit.kind for deposit in self.deposits)
        return list(dict.fromkeys([self.drum.kind, *went_in, *self.came_over]))

    @cached_property
    def volume(self) -> Figure | None:
        """Of what is poured; solids are weighed."""
        return sums.volume(self.litre_parts) if self.drum.is_liquid else None

    @cached_property
    def mass(self) -> Figure | None:
        return sums.mass(self.mass_parts)

    @cached_property
    def copper(self) -> Figure | None:
        return sums.copper(self.copper_parts)

    @cached_property
    def acid(self) -> Figure | None:
        """Sulfuric acid that came with bath, as far as anybody said."""
        return sums.acid(self.acid_parts)

    @property
    def acid_per_l(self) -> Figure | None:
        acid, volume = self.acid, self.volume
        return sums.acid_per_litre(acid, volume) if acid and volume and volume.value else None

    @property
    def acid_by_weight(self) -> Figure | None:
        acid, mass = self.acid, self.mass
        return sums.acid_by_weight(acid, mass) if acid and mass and mass.value else None

    @property
    def copper_at_least(self) -> Figure | None:
        """What is known of the copper, where some of what went in is not; None where all or nothing is known."""
        known = [part for part in self.copper_parts if part.copper_g]
        return sums.copper(known) if known and self.copper is None else None

    @property
    def copper_per_l(self) -> Figure | None:
        copper, volume = self.copper, self.volume
        # a drum that was poured out altogether has no litres to divide by
        return sums.per_litre(copper, volume) if copper and volume and volume.value else None

    @property
    def copper_per_kg(self) -> Figure | None:
        copper, mass = self.copper, self.mass
        return sums.per_kilogram(copper, mass) if copper and mass and mass.value else None

    @property
    def copper_by_weight(self) -> Figure | None:
        """In per cent, where milligrams in a kilogram have become too many to be read."""
        copper, mass, per_kg = self.copper, self.mass, self.copper_per_kg
        if copper and mass and per_kg and per_kg.value >= PERCENT_FROM_MG_PER_KG:
            return sums.by_weight(copper, mass)
        return per_kg

    @property
    def is_solid_metal(self) -> bool:
        return bool(self.kinds) and all(streams.STREAMS[kind].is_solid_metal for kind in self.kinds)

    @property
    def full_percent(self) -> float | None:
        """Of the vessel, to the brim; None while nobody has said how much room what is in it takes."""
        return None if self.room_l is None else 100 * self.room_l / self.drum.capacity_l

    @property
    def is_full(self) -> bool:
        return self.full_percent is not None and self.full_percent >= streams.FULL_AT_PERCENT

    @property
    def room_left_l(self) -> float:
        """Up to the stop; what nobody measured takes none."""
        return streams.FULL_AT_PERCENT / 100 * self.drum.capacity_l - (self.room_l or 0.0)

    @property
    def is_copper_solution(self) -> bool | None:
        """Whether it is bath and water, and nothing else, acid as its baths held; None where nobody can say."""
        others = not all(streams.STREAMS[kind].is_copper_solution for kind in self.kinds)
        if others or any(each.holds is False for each in self.answers.get("only_copper_solution", ())):
            return False
        return None if self.not_of_baths or not self.deposits else True

    @property
    def known(self) -> dict[str, object]:
        """Whatever was measured or found out, by what it is of: as far as it holds, None where it is over."""
        found: dict[str, object] = {}
        for key, answers in self.answers.items():
            held = [each.holds for each in answers if each.holds is not None]
            words = [word for value in held if isinstance(value, list) for word in value]
            found[key] = words or (held[-1] if held else None)
        return found

    def outdated(self, keys: Iterable[str] | None = None) -> list[str]:
        """What was measured or found out before something else went in, of some properties or of all."""
        asked = self.answers if keys is None else keys
        return [each.said for key in asked for each in self.answers.get(key, ()) if each.is_over]

    def apply_line(self, line: WasteLine, known: Mapping[int, Brought], others: Mapping[int, "Content"]) -> None:
        """One line more, in the order of the book; known: what deposits brought; others: drums as they stand then."""
        if isinstance(line, Deposit) and line.from_drum_id == self.drum.pk:
            # one line tells of two drums: it fills the other one and empties this one
            self.pour_out(line)
        elif isinstance(line, Deposit):
            self.put_in(line, known, others[line.from_drum_id] if line.from_drum_id else None)
        elif isinstance(line, Inspection):
            self.inspections.append(line)
            if line.full_percent is not None:
                # what was seen goes before the sum: towels and mud take room that no litres tell
                self.room_l, self.holds_more = line.full_percent / 100 * self.drum.capacity_l, False
        elif isinstance(line, DrumWeighing):
            self.weighings.append(line)
            # without its empty weight a scale tells nothing of what is in it; the weighing stays in the log
            if line.net:
                self.weigh(named("weighed", line), line.net)
        else:
            self.asked.append(line)
            # whatever was said of less than is in it now is said anew of the whole
            self.answers[line.key] = [Determination(line)]
            if isinstance(line, TestResult):
                self.go_by_test(line)
            elif line.key == "only_copper_solution":
                self.not_of_baths = [] if line.answer else list(self.deposits)
        self.work_out_anew()

    def work_out_anew(self) -> None:
        for name in WORKED_OUT:
            vars(self).pop(name, None)

    def weigh(self, name: str, found: Measured) -> None:
        """All of it on a scale: litres and copper follow, as far as they were wrong together with its weight."""
        guess, litres, copper, acid = self.mass, self.volume, self.copper, self.acid
        self.mass_parts = [Contribution(name=name, mass_g=found)]
        # what weighs otherwise than it can was filled or weighed otherwise than the book has it
        if guess and guess.is_near(found):
            if litres:
                self.litre_parts = [Contribution(name=name, litres=litres.once_known(guess, found))]
            if copper:
                self.copper_parts = [Contribution(name=name, copper_g=copper.once_known(guess, found))]
            if acid:
                self.acid_parts = [Contribution(name=name, acid_g=acid.once_known(guess, found))]
        self.work_out_anew()

    def put_in(self, deposit: Deposit, known: Mapping[int, Brought], source: "Content | None") -> None:
        """source: the drum that it was poured out of, as it stood just before."""
        self.deposits.append(deposit)
        self.end_answers(deposit, source)
        self.note_what_it_is(deposit, source)
        self.note_acid(deposit, source if source else known[deposit.pk])
        part = self.contribution_of(deposit, source, known)
        # also where a figure is missing: a part without weight or copper makes that of the whole unknown
        for parts in (self.litre_parts, self.mass_parts, self.copper_parts):
            parts.append(part)
        if part.acid_g:
            self.acid_parts.append(part)
        if part.litres:
            self.room_l = (self.room_l or 0.0) + part.litres.value
        else:
            self.holds_more = True

    def note_what_it_is(self, deposit: Deposit, source: "Content | None") -> None:
        if source:
            self.came_over += source.kinds
            self.given_up += source.given_up
            self.guessed |= source.guessed
        elif deposit.container:
            self.given_up.append(deposit.container.material)
        if not deposit.event and deposit.source in (Deposit.Source.SHELF, Deposit.Source.SPILL):
            self.guessed.add(deposit.kind)
        of_bath = bool(deposit.event) and deposit.stream.is_copper_solution
        if not (source.is_copper_solution if source else of_bath):
            self.not_of_baths.append(deposit)

    def note_acid(self, deposit: Deposit, source: "Content | Brought") -> None:
        self.most_acid_g_per_l = max(self.most_acid_g_per_l, source.most_acid_g_per_l)
        if isinstance(source, Content):
            self.acid_unsaid += source.acid_unsaid
        elif not source.acid_is_said:
            self.acid_unsaid.append(str(deposit))

    def end_answers(self, deposit: Deposit, source: "Content | None") -> None:
        """What was said of less than is in it now; what was said of another drum came along with what it held."""
        came = source.answers.items() if source else ()
        for key, answers in came:
            if VOCABULARY[key].lasts != "all":
                self.answers.setdefault(key, []).extend(answers)
        for key, answers in self.answers.items():
            self.answers[key] = [each if each.ended_by else replace(each, ended_by=deposit) for each in answers]

    def contribution_of(self, deposit: Deposit, source: "Content | None", known: Mapping[int, Brought]) -> Contribution:
        """A deposit as the sums take it; out of another drum it is a share of all that was in that one."""
        name = partial(named_by_source, deposit)
        if source:
            share = source.poured_share(deposit)
            litres = source.volume.times(share, "L") if source.volume and deposit.litres else None
            return Contribution(
                name=name,
                # more than the book had in there: the litres are as they were measured
                litres=litres if litres and share.sd else kept(deposit.litres, deposit.litres_sd, "L"),
                mass_g=source.mass.times(share, "g") if source.mass else None,
                copper_g=source.copper.times(share, "g") if source.copper else None,
                acid_g=source.acid.times(share, "g") if source.acid else None,
            )
        # worked out once for every drum of the page, so that what was poured to and fro shares its errors
        brought = known[deposit.pk]
        return Contribution(
            name=name, litres=brought.litres, mass_g=brought.mass_g, copper_g=brought.copper_g, acid_g=brought.acid_g
        )

    def pour_out(self, deposit: Deposit) -> None:
        """What is poured over takes its share of everything along."""
        self.poured_out.append(deposit)
        if not self.deposits:
            # its filling was struck since: what goes in next is known all the same
            return
        # one share for all of it: nobody can pour off the water and leave the copper
        left = Measured(1.0) - self.poured_share(deposit)
        name = named(_("what was left"), deposit)
        volume, mass, copper, acid = self.volume, self.mass, self.copper, self.acid
        self.litre_parts = [Contribution(name=name, litres=volume.times(left, "L") if volume else None)]
        self.mass_parts = [Contribution(name=name, mass_g=mass.times(left, "g") if mass else None)]
        self.copper_parts = [Contribution(name=name, copper_g=copper.times(left, "g") if copper else None)]
        self.acid_parts = [Contribution(name=name, acid_g=acid.times(left, "g"))] if acid else []
        self.room_l = None if self.room_l is None else left.value * self.room_l

    def poured_share(self, deposit: Deposit) -> Measured:
        """Of what is in it, how much a deposit poured over."""
        litres, mass_g = kept(deposit.litres, deposit.litres_sd, "L"), kept(deposit.mass_g, deposit.mass_sd_g, "g")
        for poured, there in ((litres, self.volume), (mass_g, self.mass)):
            if poured and poured.value and there and there.value:
                # more than is there empties it, and so does all but what rounding leaves of three times 0.1 L
                share = poured.per(there, "")
                return share if share.value < NEARLY_ALL else Measured(1.0)
        return Measured(0.0)

    def go_by_test(self, result: TestResult) -> None:
        """A test of the copper, or of the acid by its pH, goes before what went in until then."""
        if result.quantity == Quantity.PH and (self.acid_parts or self.acid_unsaid):
            self.go_by_ph(result)
        by_litre = result.quantity == Quantity.COPPER_PER_L
        # without litres a concentration tells no grams
        amount = self.volume if by_litre else self.mass
        if amount and result.is_of_copper:
            found = within(result.low, result.high, "mg/L" if by_litre else "mg/kg")
            copper_g = found.times(amount, "g") / (sums.MG_PER_G if by_litre else sums.MG_PER_G * sums.G_PER_KG)
            self.copper_parts = [Contribution(name=named("tested", result), copper_g=copper_g)]

    def go_by_ph(self, result: TestResult) -> None:
        low, high = sulfuric.acid_within(result.high, result.low)
        worked_out, self.acid_unsaid = self.acid_per_l, []
        # where both agree the baths tell it better: a pH knows it to a factor
        if worked_out and low <= worked_out.value <= high:
            return
        self.most_acid_g_per_l, self.acid_parts = high, []
        if self.volume:
            found = within(low, high, "g/L").times(self.volume, "g")
            self.acid_parts = [Contribution(name=named(_("tested"), result), acid_g=found)]


def contents_of_drums(
    drums: Iterable[Drum], at: datetime | None = None, *, before: Entry | None = None
) -> dict[int, Content]:
    """
    By the drum's key, at a moment or just before an entry; in nine queries, and more where something was poured over.

    All drums that were poured into them are replayed beside them, each once: what was poured to and fro a hundred times
    costs what its lines cost, and meets its own errors again.
    """
    until, asked = lines_until(at, before), list(drums)
    contents = {drum.pk: Content(drum) for drum in asked}
    deposits = with_drums(deposits_of_drums(contents, *until), contents) if asked else []
    while sources := [each.from_drum for each in deposits if each.from_drum and each.from_drum_id not in contents]:
        contents |= {drum.pk: Content(drum) for drum in sources}
        deposits = with_drums(deposits_of_drums(contents, *until), contents)
    known = copper.brought_by(each for each in deposits if each.drum_id in contents)
    for pk, line in lines_of_drums(contents, until, deposits):
        contents[pk].apply_line(line, known, contents)
    return {drum.pk: contents[drum.pk] for drum in asked}


def contents_here(at: datetime | None = None) -> list[Content]:
    """Of every drum that has not left."""
    here = whereabouts.drums_here() if at is None else whereabouts.drums_here_at(at)
    return list(contents_of_drums(here, at).values())


def content_of_drum(drum: Drum, at: datetime | None = None, *, before: Entry | None = None) -> Content:
    return contents_of_drums([drum], at, before=before)[drum.pk]


def lines_until(at: datetime | None, before: Entry | None) -> tuple[datetime, int]:
    """The place in the book before which lines count: of two entries of one moment, the one written first is before."""
    return (at or timezone.now(), AFTER_ALL) if before is None else (before.happened_at, before.pk)


def before_place(at: datetime, entry: int) -> Q:
    return Q(entry__happened_at__lte=at) & ~Q(entry__happened_at=at, entry_id__gte=entry)


@asked_often
def deposits_of_drums(drums: Collection[int], at: datetime, entry: int) -> QuerySet[Deposit]:
    """What went into some drums, or out of them into others."""
    either = Deposit.objects.standing().filter(before_place(at, entry), Q(drum__in=drums) | Q(from_drum__in=drums))
    return either.select_related(*WITH_DEPOSITS).defer(*UNASKED)


def with_drums(deposits: list[Deposit], contents: Mapping[int, Content]) -> list[Deposit]:
    """One and the same drum for all of its lines: made anew for each, it takes as long as the line."""
    others = Drum.objects.in_bulk({each.drum_id for each in deposits} - contents.keys())
    for each in deposits:
        each.drum = others.get(each.drum_id) or contents[each.drum_id].drum
    return deposits


def asks_lines_of(model: Any) -> Callable[[Collection[int], datetime, int], list[Any]]:
    def of_drums(drums: Collection[int], at: datetime, entry: int) -> QuerySet:
        seen = model.objects.standing().filter(before_place(at, entry), drum__in=drums)
        return seen.select_related("entry__done_by", "drum")

    return asked_often(of_drums)


ASK_LINES = [asks_lines_of(model) for model in (Inspection, DrumWeighing, TestResult, Finding)]


def lines_of_drums(
    drums: Collection[int], until: tuple[datetime, int], deposits: Iterable[Deposit]
) -> list[tuple[int, WasteLine]]:
    """Every standing line of some drums with the drum it speaks of, in the order of the book."""
    found: list[tuple[int, WasteLine]] = []
    for ask in ASK_LINES if drums else ():
        found += [(line.drum_id, line) for line in ask(drums, *until)]
    for deposit in deposits:
        # twice where both drums are asked for: what came into one, before it is gone from the other
        found += [(pk, deposit) for pk in (deposit.drum_id, deposit.from_drum_id) if pk and pk in drums]
    return sorted(found, key=lambda one: IN_ORDER(one[1]))


def named_by_source(deposit: Deposit) -> str:
    return named(deposit.get_source_display(), deposit)


def named(what: str, line: WasteLine) -> str:
    """What was done, and on which day."""
    return f"{what}, {short_day(line.entry.happened_at)}"
