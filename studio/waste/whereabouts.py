"""Which drums are here and which have left."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from inventory.asked_often import asked_often
from inventory.dates import long_day
from inventory.refusals import Refused
from studio.waste.models import Disposal, DisposalItem, Drum


def drums_on_site(at: datetime | None = None) -> QuerySet[Drum]:
    """The drums that something can still go into; at: those of which that held at a moment."""
    gone = DisposalItem.objects.gone()
    if at:
        gone = gone.filter(disposal__handed_over_at__lte=at)
    return Drum.objects.standing_at(at).exclude(pk__in=gone.values("drum"))


@asked_often
def drums_here() -> QuerySet[Drum]:
    return drums_on_site().select_related("entry", "place")


@asked_often
def drums_here_at(at: datetime) -> QuerySet[Drum]:
    return drums_on_site(at).select_related("entry", "place")


def with_record(drums: QuerySet[Drum]) -> QuerySet[Drum]:
    """Each with the key of the record that it left with; None while it is here."""
    gone = DisposalItem.objects.gone().filter(drum=OuterRef("pk")).order_by("pk")
    return drums.annotate(left_with=Subquery(gone.values("disposal")[:1]))


def record_of(drum: Any) -> Disposal | None:
    """drum: one `with_record`."""
    return None if drum.left_with is None else Disposal.objects.get(pk=drum.left_with)


def departures(drums: Collection[Drum]) -> dict[int, str]:
    """By the drum's key, how those that left did so, in words."""
    gone = DisposalItem.objects.gone().filter(drum__in=drums).select_related("disposal")
    return {each.drum_id: f"{each.disposal}, {long_day(each.disposal.handed_over_at)}" for each in gone}


@asked_often
def items_of_the_gone(drum: int) -> QuerySet[DisposalItem]:
    return DisposalItem.objects.gone().filter(drum=drum).select_related("disposal", "drum")[:1]


def refuse_gone(drums: Collection[Drum]) -> None:
    """Nothing more is written of what was in a drum, and nothing of it is struck, once it has left."""
    # one by one: it is one drum as a rule
    for gone in (item for drum in drums for item in items_of_the_gone(drum.pk)):
        left_by = departures([gone.drum])[gone.drum_id]
        said = _("%(drum)s has left: %(left_by)s. What went with it stays as it was handed over.") % {
            "drum": gone.drum,
            "left_by": left_by,
        }
        raise Refused(None, said, kept_by=gone.disposal, ways=[(str(gone.disposal), gone.disposal.get_absolute_url())])
