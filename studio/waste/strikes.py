"""What a strike must leave whole: a drum comes before what is said of it, and what has left stays as it was."""

from collections.abc import Collection

from django.db.models import Q

from inventory.models import Entry
from inventory.refusals import Refused
from studio.bites.strikes import refuse_while
from studio.waste import whereabouts
from studio.waste.models import Disposal, DisposalItem, Drum


def refuse_out_of_turn(entry: Entry) -> None:
    """
    Refuse to strike a drum, a strip or a loss of a bath while later lines rest on it, and any line of a drum that left.

    Call it with the baths and the cathodes of the entry locked; it locks the drums.
    """
    refuse_handed_over(entry)
    drums = list(Drum.objects.select_for_update(of=("self",)).filter(pk__in=_touched(entry)).order_by("pk"))
    if drums:
        refuse_gone(drums)
    refuse_while(Entry.objects.standing().filter(_resting(entry, drums)).exclude(pk=entry.pk))


def refuse_handed_over(entry: Entry) -> None:
    """What was handed over is not struck, nor a record that put it right, nor the permission it went by."""
    disposal = Disposal.objects.filter(Q(entry=entry) | Q(permission__entry=entry)).first()
    if disposal and disposal.entry_id == entry.pk:
        raise Refused(None, f"{disposal} stays as it was written at handover. Write a further record that corrects it.")
    if disposal:
        raise Refused(None, f"{disposal} went by this permission; it stays with it.")


def record_of(entry: Entry) -> Disposal | None:
    """The record that keeps what an entry wrote from being struck."""
    of_its_drums = DisposalItem.objects.gone().filter(drum__in=_touched(entry)).values("disposal")
    keeps = Q(entry=entry) | Q(permission__entry=entry) | Q(pk__in=of_its_drums)
    return Disposal.objects.filter(keeps).first()


def refuse_gone(drums: Collection[Drum]) -> None:
    """Nothing more is written of what was in a drum, and nothing of it is struck, once it has left."""
    left = whereabouts.left(drums)
    for drum in drums:
        if drum.pk in left:
            raise Refused(None, f"{drum} has left: {left[drum.pk]}. What went with it stays as it was handed over.")


def _touched(entry: Entry) -> set[int]:
    """The drums an entry speaks of."""
    seen = (entry.inspections, entry.drum_weighings, entry.test_results, entry.findings)
    lines = (entry.deposits, entry.refusals, *seen)
    touched = {pk for each in lines for pk in each.values_list("drum", flat=True)}
    poured = entry.deposits.exclude(from_drum=None).values_list("from_drum", flat=True)
    return {*touched, *poured, *entry.drums.values_list("pk", flat=True)}


def _resting(entry: Entry, drums: Collection[Drum]) -> Q:
    """Later lines about a drum it set up, deposits of what it took off a cathode or out of a bath, what followed."""
    own = [drum for drum in drums if drum.entry_id == entry.pk]
    resting = Q(deposits__strip__entry=entry) | Q(deposits__event__entry=entry) | Q(follow_up__incident__entry=entry)
    back = list(entry.refusals.exclude(handed=None).values_list("drum", flat=True))
    if back:
        resting |= Q(deposits__drum__in=back, happened_at__gte=entry.happened_at)
    if not own:
        return resting
    return (
        resting
        | Q(deposits__drum__in=own)
        | Q(deposits__from_drum__in=own)
        | Q(inspections__drum__in=own)
        | Q(drum_weighings__drum__in=own)
        | Q(test_results__drum__in=own)
        | Q(findings__drum__in=own)
        | Q(disposal__handed__drum__in=own)
        | Q(refusals__drum__in=own)
    )
