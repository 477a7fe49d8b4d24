"""A disposal as its page and its paper say it: what was frozen, what came back, whether the book still agrees."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Prefetch, QuerySet
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from chemistry.measured import Measured, by_scale, total
from chemistry.quantity import quantity
from inventory.dates import long_day, long_moment, long_month
from inventory.wording import translated
from studio.orders import prices
from studio.pages.action_items import ActionItem, StatusWord
from studio.pages.quantities import Shown, displayed
from studio.waste import content
from studio.waste.content import Content
from studio.waste.models import Disposal, DisposalItem, ReceiverPaper, Refusal

G_PER_KG = 1000
JOINED = ("entry__done_by", "checked_by", "permission", "corrects", "first", "corrected_by")


@dataclass(frozen=True)
class DisposalLine:
    """One drum of a record."""

    handed: DisposalItem

    @property
    def net(self) -> Shown | None:
        return kilograms(self.handed.net)

    @property
    def litres(self) -> Shown | None:
        return as_known(self.handed.volume)

    @property
    def copper(self) -> Shown | None:
        return as_known(self.handed.copper)

    @property
    def copper_words(self) -> str:
        """As far as it was known."""
        if self.copper:
            return str(self.copper)
        part_g = self.handed.copper_at_least_g
        return (
            _("needs info")
            if part_g is None
            else _("at least %(part_g)s; needs info for the rest") % {"part_g": quantity(part_g, "g", 2)}
        )

    @property
    def weighed(self) -> str:
        """Before and after, as the scale showed it."""
        before, after = self.handed.before_g, self.handed.after_g
        shown = [quantity(grams / G_PER_KG, "kg", 4) for grams in (before, after) if grams is not None]
        how = self.handed.get_how_display()
        if len(shown) > 1:
            how = _("%(before)s, then %(after)s; %(how)s") % {"before": shown[0], "after": shown[1], "how": how}
        return f"{shown[0]}; {how}" if len(shown) == 1 else how

    @property
    def back(self) -> Refusal | None:
        standing = [each for each in self.handed.refusals.all() if not each.entry.is_struck]
        return standing[0] if standing else None

    @property
    def contents(self) -> str:
        return "; ".join(translated(stream.title) for stream in self.handed.streams)

    def differences(self, now: Content) -> Iterator[str]:
        """Where the book says something else by now than was handed over."""
        book = kilograms(now.mass)
        if weighed := self.handed.weighed:
            now.weigh(_("weighed at handover"), weighed)
        pairs = [
            (_("litres"), self.litres, as_known(now.volume)),
            (_("copper"), self.copper, as_known(now.copper)),
            (_("weight"), kilograms(self.handed.mass), book),
        ]
        for name, kept, today in pairs:
            # as they are read: a last digit that nobody sees is no difference
            if str(kept) != str(today):
                yield _("%(drum)s, %(name)s: %(value)s by the book now, %(value_2)s then.") % {
                    "drum": self.handed.drum,
                    "name": name,
                    "value": today or _("not known"),
                    "value_2": kept or _("not known"),
                }


@dataclass(frozen=True)
class Record:
    disposal: Disposal

    @cached_property
    def lines(self) -> list[DisposalLine]:
        return [DisposalLine(each) for each in self.disposal.handed.all()]

    @cached_property
    def papers(self) -> list[ReceiverPaper]:
        """Of the whole chain, the earliest first; struck ones do not count."""
        return [each for each in self.disposal.began_with.papers.all() if not each.entry.is_struck]

    @property
    def correction(self) -> Disposal | None:
        """The further record that corrects this one."""
        return getattr(self.disposal, "corrected_by", None)

    @property
    def signed_copy(self) -> ReceiverPaper | None:
        return next((each for each in self.papers if each.is_signed_copy), None)

    @property
    def status(self) -> StatusWord:
        # before the receipt: the copy that is awaited belongs to the record that holds
        if self.correction:
            return StatusWord("look", _("corrected by %(correction)s") % {"correction": self.correction})
        if self.disposal.awaits_copy and not self.signed_copy:
            return StatusWord("act", _("receipt awaited"))
        return StatusWord("fine", _("gone"))

    @property
    def drums(self) -> str:
        return ", ".join(str(line.handed.drum) for line in self.lines)

    @property
    def net(self) -> Shown | None:
        return kilograms(net_of(self.lines))

    @property
    def copper(self) -> Shown | None:
        """By estimate, as far as it is known."""
        known = [line.handed.copper for line in self.lines if line.handed.copper and line.back is None]
        return displayed(total(known, "g")) if known else None

    @property
    def copper_unknown(self) -> str:
        """The drums of which nobody knows how much copper was in them."""
        return ", ".join(line.handed.drum.name for line in self.lines if line.handed.copper_g is None)

    @property
    def receiver(self) -> str:
        return self.disposal.receiver or capfirst(self.disposal.get_route_display())

    @property
    def facts(self) -> list[tuple[str, str]]:
        """What a record says beside its drums; what is missing needs info."""
        disposal = self.disposal
        document = f"{disposal.document_kind} {disposal.document_number}".strip()
        codes = (
            f"{disposal.codes} ({disposal.jurisdiction})"
            if disposal.codes and disposal.jurisdiction
            else disposal.codes
        )
        signed = _("awaited") if disposal.awaits_copy else _("none is expected")
        if self.signed_copy:
            signed = _("came %(happened_at)s") % {"happened_at": long_day(self.signed_copy.entry.happened_at)}
        facts = [
            (_("Handed over"), long_moment(disposal.handed_over_at)),
            (_("Handed over by"), str(disposal.began_with.entry.done_by)),
            (_("Checked by"), str(disposal.checked_by or "")),
            (_("Route"), capfirst(disposal.get_route_display())),
            (_("Receiver"), disposal.receiver),
            (_("Address"), disposal.address),
            (_("Licence, permit or site number"), disposal.licence),
            (_("Their document"), document),
            (_("Waste codes as they wrote them"), codes),
            (_("Counted to"), long_month(disposal.counted_to)),
            (_("Signed copy"), signed),
            (_("Kept at least until"), long_day(disposal.keep_until)),
        ]
        if disposal.permission:
            # right after the route that it allows
            facts.insert(4, (_("By permission of"), f"{disposal.permission.asked}: {disposal.permission.answer}"))
        if disposal.cost_cents is not None:
            paid = _("they paid") if disposal.cost_cents < 0 else _("paid")
            facts.append((_("Money"), f"{paid} {prices.show(abs(disposal.cost_cents), disposal.currency)}"))
        return facts

    @property
    def weights(self) -> list["WeightComparison"]:
        """Their weights beside ours."""
        return [WeightComparison(self.lines, paper) for paper in self.papers if paper.weight_g]

    @cached_property
    def differences(self) -> list[str]:
        """What the book says by now and the record does not."""
        drums = [line.handed.drum for line in self.lines]
        now = content.contents_of_drums(drums, self.disposal.handed_over_at)
        return [said for line in self.lines for said in line.differences(now[line.handed.drum_id])]


@dataclass(frozen=True)
class WeightComparison:
    """Their weight and ours: both stay, and the difference is judged by what the two scales are good to."""

    lines: Sequence[DisposalLine]
    paper: ReceiverPaper

    @cached_property
    def our_weight(self) -> Measured | None:
        if not self.paper.with_vessels:
            return net_of(self.lines)
        # what they brought back is on their scale no more
        gone = [line.handed for line in self.lines if line.back is None]
        if any(each.before_g is None for each in gone):
            return None
        return total((by_scale(each.before_g or 0.0, each.half_width_g or 0.0) for each in gone), "g")

    @cached_property
    def their_weight(self) -> Measured:
        return by_scale(self.paper.weight_g or 0.0, self.paper.half_width_g or 0.0)

    @cached_property
    def apart(self) -> Measured | None:
        """Theirs less ours."""
        return self.our_weight and self.their_weight - self.our_weight

    @property
    def ours(self) -> Shown | None:
        return kilograms(self.our_weight)

    @property
    def theirs(self) -> Shown | None:
        return kilograms(self.their_weight)

    @property
    def status(self) -> StatusWord:
        """Within what both scales allow, or not."""
        if self.apart is None:
            return StatusWord("look", _("needs info"))
        within = abs(self.apart.value) <= self.apart.half_width
        return StatusWord("fine", _("within the scales")) if within else StatusWord("look", "apart")

    @property
    def words(self) -> str:
        if self.apart is None:
            return _("Ours is not known, so nothing can be compared.")
        apart = _("Theirs less ours is %(kilograms)s") % {"kilograms": kilograms(self.apart)}
        if self.status.level == "fine":
            return _("%(apart)s: no more than the two scales can differ.") % {"apart": apart}
        return _("%(apart)s: more than the scales explain. Weighed with its vessel, or another drum?") % {
            "apart": apart
        }


def records_of(disposals: QuerySet[Disposal]) -> list[Record]:
    """In a few queries however many there are."""
    handed = DisposalItem.objects.select_related("drum").prefetch_related(
        Prefetch("refusals", Refusal.objects.select_related("entry"))
    )
    papers = Prefetch("papers", ReceiverPaper.objects.select_related("entry").order_by("entry__happened_at", "pk"))
    first = Prefetch("first", Disposal.objects.select_related("entry__done_by").prefetch_related(papers))
    joined = (
        disposals.select_related(*JOINED)
        .prefetch_related(Prefetch("handed", handed))
        .prefetch_related(papers)
        .prefetch_related(first)
    )
    return [Record(each) for each in joined]


def action_items() -> Iterator[ActionItem]:
    """Receipts that are awaited."""
    for each in records_of(Disposal.objects.awaiting().order_by("handed_over_at", "pk")):
        when = long_day(each.disposal.handed_over_at)
        words = _("%(disposal)s of %(when)s: %(receiver)s sent no signed copy yet.") % {
            "disposal": each.disposal,
            "when": when,
            "receiver": each.receiver,
        }
        # to the record: whoever is no keyholder reads it, and files nothing
        yield ActionItem("act", _("receipt awaited"), words, _("It came"), each.disposal.get_absolute_url())


def kilograms(mass: Measured | None) -> Shown | None:
    return None if mass is None else displayed(mass / G_PER_KG, "kg")


def as_known(measured: Measured | None) -> Shown | None:
    return None if measured is None else displayed(measured)


def net_of(lines: Iterable[DisposalLine]) -> Measured | None:
    """The sum over drums that did not come back; None while one of them is not known."""
    gone = [line.handed.net for line in lines if line.back is None]
    known = [net for net in gone if net]
    return total(known, "g") if known and len(known) == len(gone) else None
