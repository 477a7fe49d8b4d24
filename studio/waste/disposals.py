"""
What leaves the studio: drums handed over, refused, brought back; a record put right by a further one.

What a drum held is copied at handover, with its spread and the replay it comes from, and not worked out again.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.db import transaction
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import bath as bath_model
from chemistry.measured import Measured, digits
from chemistry.waste import drum as sums
from chemistry.waste import streams
from chemistry.working import Figure
from inventory import book, seals
from inventory.book import Signed
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths.models import Bath
from studio.waste import advice, content, kinds, operations, properties, whereabouts
from studio.waste.content import Content
from studio.waste.models import Deposit, Disposal, DisposalItem, Drum, LocalAdvice, ReceiverPaper, Refusal
from studio.waste.operations import DepositRequest

Route = Disposal.Route
KnownBy = DisposalItem.KnownBy

KEPT_YEARS = 5  # ours; three are asked for by 40 CFR 262.40


@dataclass(frozen=True, kw_only=True)
class Taken:
    """
    A drum as it goes.

    before_g, after_g: as weighed; half_width_g: what the scale is good to.
    part: litres or mass_g, where only that much is poured out; {} takes all of it.
    """

    drum: Drum
    before_g: float | None = None
    after_g: float | None = None
    half_width_g: float = 0.0
    part: Mapping[str, Measured] = field(default_factory=dict)

    def net(self, book_g: Figure | None) -> tuple[str, Measured | None]:
        """How much left, and how that is known; what was weighed goes before what the book adds up."""
        if self.before_g is not None and self.after_g is not None:
            return KnownBy.SCALE, sums.net(self.before_g, self.after_g, self.half_width_g)
        if self.before_g is not None and self.drum.tare_g:
            return KnownBy.TARE, sums.net(self.before_g, self.drum.tare_g, self.half_width_g)
        if book_g is not None:
            return KnownBy.BOOK, book_g
        return KnownBy.UNKNOWN, None


def hand_over(disposal: Disposal, *, taken: Sequence[Taken], by: Signed) -> Entry:
    """Drums leave, whole or in part; from now on what they held stays as it is written here, and is sealed."""
    names = ", ".join(str(each.drum) for each in taken)
    with book.entry(kinds.DISPOSAL, handed_over(names, disposal), by) as entry:
        drums = lock_drums(taken)
        whereabouts.refuse_gone(drums)
        # written down late, it would else have left before something that the book puts into it
        refuse_what_came_later(drums, entry)
        going = [pour_out_part(each, entry) if each.part else each for each in taken]
        disposal.entry, disposal.handed_over_at = entry, entry.happened_at
        write_record(disposal, going)
        seal_afterwards()
    return entry


def correct(wrong: Disposal, right: Disposal, *, taken: Sequence[Taken], by: Signed) -> Entry:
    """
    A further record, from now on the one that holds; the wrong one stays as it was written.

    A drum of the wrong one that is not among those taken never left.
    """
    with book.entry(
        kinds.CORRECTED, _("Corrected %(wrong)s: %(why)s") % {"wrong": wrong, "why": right.why}, by
    ) as entry:
        # locked, or the second of two who correct it at once would meet the database, not a sentence
        wrong = Disposal.objects.select_for_update(of=("self",)).get(pk=wrong.pk)
        later = Disposal.objects.filter(corrects=wrong).first()
        if later:
            ways = [(str(later), later.get_absolute_url())]
            raise Refused(
                None,
                _("%(wrong)s was corrected already: correct %(later)s.") % {"wrong": wrong, "later": later},
                ways=ways,
            )
        lock_drums(taken)
        refuse_others({each.drum.pk for each in taken}, wrong)
        # the drums left when they left; only the record is new
        right.entry, right.handed_over_at = entry, wrong.handed_over_at
        right.corrects, right.first = wrong, wrong.began_with
        write_record(right, taken)
        seal_afterwards()
    return entry


def seal_afterwards() -> None:
    """So that the record can be printed with a seal; the day's own would come too late where that fails."""
    transaction.on_commit(seals.seal, robust=True)


def refuse(drum: Drum, *, by_whom: str, why: str, by: Signed) -> Entry:
    """They did not take a drum, or brought it back: it is here, open or full as it was, with their reason."""
    with book.entry(
        kinds.REFUSED,
        _("%(drum)s refused by %(by_whom)s: %(why)s") % {"drum": drum, "by_whom": by_whom, "why": why},
        by,
    ) as entry:
        operations.lock(drum)
        # none where they would not take it at the door: then it never left
        handed = DisposalItem.objects.gone().filter(drum=drum).select_related("disposal").first()
        if handed and entry.happened_at < handed.disposal.handed_over_at:
            raise Refused(
                "happened_at",
                _("It was handed over later than that, with %(disposal)s.") % {"disposal": handed.disposal},
                ways=[(str(handed.disposal), handed.disposal.get_absolute_url())],
            )
        Refusal.objects.create(entry=entry, drum=drum, handed=handed, by_whom=by_whom, why=why)
    return entry


def file_paper(disposal: Disposal, *, paper: ReceiverPaper, by: Signed) -> Entry:
    """A paper of theirs came: their signed copy, their weight."""
    first = disposal.began_with
    with book.entry(kinds.RECEIPT, _("Filed %(paper)s for %(first)s") % {"paper": paper, "first": first}, by) as entry:
        # locked, or two people could both file the signed copy that there is one of
        first = Disposal.objects.select_for_update(of=("self",)).get(pk=first.pk)
        if entry.happened_at < first.handed_over_at:
            raise Refused("happened_at", _("It cannot have come before they took anything."))
        if paper.is_signed_copy and first.papers.standing().filter(is_signed_copy=True).exists():
            ways = [(str(first), first.get_absolute_url())]
            raise Refused("is_signed_copy", _("Their signed copy is here already."), ways=ways)
        # a scan filed twice would be compared twice, as if they had weighed it again
        if paper.file and first.papers.standing().filter(sha256=paper.sha256).exists():
            ways = [(str(first), first.get_absolute_url())]
            raise Refused("file", _("This very paper is on file already."), ways=ways)
        # written last: a refusal leaves no file behind
        paper.entry, paper.disposal = entry, first
        paper.save()
    return entry


def handed_over(names: str, disposal: Disposal) -> str:
    words = _("Handed over %(names)s to %(receiver)s") if disposal.receiver else _("Handed over %(names)s: %(route)s")
    return words % {"names": names, "receiver": disposal.receiver, "route": disposal.get_route_display()}


def lock_drums(taken: Sequence[Taken]) -> list[Drum]:
    """In one order for everybody, or two people could each hold the drum that the other waits for."""
    if not taken:
        raise Refused("drums", _("Say which drums go."))
    return [operations.lock(each.drum) for each in sorted(taken, key=lambda one: one.drum.pk)]


def pour_out_part(taken: Taken, entry: Entry) -> Taken:
    """What is poured out of a drum becomes a drum of its own; the rest stays where it is."""
    whole = taken.drum
    drum = Drum.objects.create(
        entry=entry,
        name=name_of_part(whole),
        **{name: getattr(whole, name) for name in ("kind", "vessel", "is_vented", "capacity_l", "place")},
        reason=_("Poured out of %(whole)s to be taken away.") % {"whole": whole},
    )
    poured = DepositRequest(
        drum=drum, kind=whole.kind, litres=taken.part.get("litres"), mass_g=taken.part.get("mass_g")
    )
    operations.pour(whole, into=poured, entry=entry)
    return replace(taken, drum=drum, part={})


def name_of_part(whole: Drum) -> str:
    parts = Deposit.objects.filter(from_drum=whole, entry__disposal__isnull=False).count()
    # cut short, so that the name with its part is never longer than a drum's may be
    return _("%(name)s part %(parts)s") % {"name": whole.name[:20], "parts": parts + 1}


def write_record(disposal: Disposal, taken: Sequence[Taken]) -> None:
    # as of the handover, by what the book knows today: a correction takes along what was put right since
    contents = content.contents_of_drums([each.drum for each in taken], disposal.handed_over_at)
    refuse_empty(contents.values())
    refuse_route(disposal, contents.values())
    disposal.save()
    revisions = dict(Bath.objects.values_list("name", "revision"))
    for each in taken:
        DisposalItem.objects.create(
            disposal=disposal,
            drum=each.drum,
            model_version=bath_model.MODEL_VERSION,
            book_revisions=revisions,
            **figures_of_item(each, contents[each.drum.pk]),
        )


def figures_of_item(taken: Taken, held: Content) -> dict:
    """What is copied."""
    book_g = held.mass
    how, net = taken.net(book_g)
    if net and how in DisposalItem.BY_SCALE:
        held.weigh(_("weighed at handover"), net)
    weighed = {"before_g": taken.before_g, "after_g": taken.after_g, "half_width_g": taken.half_width_g or None}
    figures = {"litres": held.volume, "mass_g": book_g, "copper_g": held.copper}
    copied = {name: figure.value for name, figure in figures.items() if figure}
    spreads = {_sd_of(name): figure.sd for name, figure in figures.items() if figure}
    known = {"net_g": net.value, "net_sd_g": net.sd} if net else {}
    if held.copper_at_least:
        known["copper_at_least_g"] = held.copper_at_least.low
    return {"kinds": held.kinds, "how": how} | weighed | copied | spreads | known


def _sd_of(name: str) -> str:
    return name.removesuffix("_g") + ("_sd_g" if name.endswith("_g") else "_sd")


def refuse_what_came_later(drums: Collection[Drum], entry: Entry) -> None:
    later = Deposit.objects.standing().filter(
        Q(drum__in=drums) | Q(from_drum__in=drums), entry__happened_at__gt=entry.happened_at
    )
    deposit = later.select_related("drum", "entry").first()
    if deposit:
        raise Refused(
            "happened_at",
            _("“%(entry)s” is in the book after that; say when they were handed over.") % {"entry": deposit.entry},
            ways=[(_("The line in the book"), deposit.entry.get_absolute_url())],
        )


def refuse_others(drums: set[int], wrong: Disposal) -> None:
    own = set(wrong.handed.values_list("drum", flat=True))
    if drums - own:
        raise Refused(
            "drums", _("%(wrong)s has other drums; what else left is a record of its own.") % {"wrong": wrong}
        )


def refuse_empty(contents: Iterable[Content]) -> None:
    for each in contents:
        if not each.deposits:
            ways = [(_("Say what went in"), reverse("waste:deposit", args=[each.drum.pk]))]
            raise Refused("drums", _("There is nothing in %(drum)s.") % {"drum": each.drum}, ways=ways)


def refuse_route(disposal: Disposal, contents: Collection[Content]) -> None:
    if disposal.route != Route.REUSE and not disposal.receiver:
        raise Refused("receiver", _("Say who takes it."))
    if disposal.route == Route.SCRAP:
        refuse_as_scrap(contents)
    if disposal.route == Route.SEWER:
        refuse_to_pour(disposal, contents)


def refuse_as_scrap(contents: Iterable[Content]) -> None:
    """Solid pieces alone are scrap metal; loose powder is not, whoever buys it (40 CFR 261.1(c)(6))."""
    for each in contents:
        for stream in map(streams.stream, each.kinds):
            if not stream.properties.get("is_scrap_metal"):
                raise Refused(
                    "route",
                    _("%(drum)s holds %(stream)s: only solid, dry copper goes as scrap metal.")
                    % {"drum": each.drum, "stream": stream},
                )


def what_they_told() -> tuple[str, str]:
    return _("What you were told"), reverse("waste:advice")


def refuse_to_pour(disposal: Disposal, contents: Iterable[Content]) -> None:
    permission = disposal.permission
    if permission is None or permission.kind != LocalAdvice.Kind.SEWER or permission.entry.is_struck:
        said = _("Nothing goes into the sewer without its operator's permission in writing.")
        raise Refused("permission", said, ways=[what_they_told()])
    # written down late, it is judged by what was permitted on its own day
    on = timezone.localdate(disposal.handed_over_at)
    if not permission.is_in_force_on(on):
        raise Refused("permission", _("That permission did not hold on that day."), ways=[what_they_told()])
    for each in contents:
        if any(kind != permission.stream for kind in each.kinds):
            raise Refused(
                "permission",
                _("%(drum)s holds something else than it permits: %(about)s.")
                % {"drum": each.drum, "about": permission.about},
                ways=[what_they_told()],
            )
        refuse_too_much_copper(each, advice.told(on).sewer_limit)


def refuse_too_much_copper(content: Content, limit: LocalAdvice | None) -> None:
    """By the high end of what is known: a limit is not met on the average."""
    copper = properties.copper_mg_per_l(content)
    # unknown is refused and not only asked about: a drain gives nothing back
    if copper is None:
        raise Refused(
            "route",
            _("Nobody knows how much copper is dissolved in %(drum)s: have it tested and write that down.")
            % {"drum": content.drum},
            ways=[(_("Write the test down"), reverse("waste:test", args=[content.drum.pk]))],
        )
    # where nobody told a limit none is put in its place: those that were read are other people's
    if limit and limit.cu_mg_per_l and copper[1] > limit.cu_mg_per_l:
        raise Refused(
            "route",
            _(
                "%(drum)s may hold %(copper)s mg/L of copper; %(asked)s takes %(cu_mg_per_l)s mg/L "
                "at most. A collector takes it."
            )
            % {
                "drum": content.drum,
                "copper": digits(copper[1], 3),
                "asked": limit.asked,
                "cu_mg_per_l": digits(limit.cu_mg_per_l),
            },
        )


def month_of(day: date) -> date:
    return day.replace(day=1)
