"""Which drums are here and which have left."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from inventory.asked_often import asked_often
from inventory.dates import long_day
from inventory.refusals import Refused
from studio.waste.models import DisposalItem, Drum


def drums_on_site(at: datetime | None = None) -> QuerySet[Drum]:
    """The drums that something can still go into; at: those of which that held at a moment."""
    gone = DisposalItem.objects.gone()
    if at:
        gone = gone.filter(disposal__handed_over_at__lte=at)
    return Drum.objects.standing_at(at).exclude(pk__in=gone.values("drum"))


def handed_over_with(drum: Drum) -> DisposalItem | None:
    """The line of the record it left with; None while it is here."""
    return DisposalItem.objects.gone().filter(drum=drum).select_related("disposal").first()


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
