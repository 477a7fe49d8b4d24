"""What a strike must leave whole: a cathode comes before all that was done to it."""

from django.db.models import Q

from inventory.models import Entry
from studio.bites.strikes import refuse_while
from studio.cathodes.models import Cathode


def refuse_out_of_turn(entry: Entry) -> None:
    """Refuse to strike a cathode out of the book while later lines speak of it, and name them."""
    cathodes = list(Cathode.objects.select_for_update(of=("self",)).filter(entry=entry).order_by("pk"))
    if cathodes:
        refuse_while(Entry.objects.standing().filter(_about(cathodes)).exclude(pk=entry.pk))


def _about(cathodes: list[Cathode]) -> Q:
    return (
        Q(sheets__cathode__in=cathodes)
        | Q(hangings__cathode__in=cathodes)
        | Q(cathode_weighings__cathode__in=cathodes)
        | Q(strips__cathode__in=cathodes)
    )
