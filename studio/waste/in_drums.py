"""What of the copper that left baths and cathodes is in drums, as the copper balance asks for it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from studio.baths.models import BathEvent
from studio.cathodes.balance import InDrums
from studio.waste.models import Deposit


def copper_in_drums(moment: datetime) -> InDrums:
    """As the book stood at a moment, in four queries."""
    deposits = Deposit.objects.standing().filter(entry__happened_at__lte=moment)
    rinses = deposits.filter(source=Deposit.Source.RINSE).order_by("entry__happened_at")
    return InDrums(
        shares=shares_in_drums(deposits.exclude(event=None)),
        strips=set(deposits.filter(kind="cathode_copper").exclude(strip=None).values_list("strip_id", flat=True)),
        rinsed_until=rinses.values_list("entry__happened_at", flat=True).last(),
    )


def shares_in_drums(deposits) -> dict[int, float]:
    """By the event, how much of what left the bath was put into drums."""
    events = BathEvent.objects.filter(pk__in=deposits.values("event")).select_related("estimate")
    return shares_put_in(
        deposits.values_list("event_id", "litres"), {event.pk: event.taken_out.value for event in events}
    )


def shares_put_in(deposits: Iterable[tuple[int, float | None]], litres: Mapping[int, float]) -> dict[int, float]:
    """deposits: each with its event and the litres put in, None where all was; litres: that left, by the event."""
    shares: dict[int, float] = defaultdict(float)
    for event_id, put_in_l in deposits:
        # two deposits of one pour may have been guessed to more than there was
        share = put_in_l / litres[event_id] if put_in_l and litres[event_id] else 1.0
        shares[event_id] = min(1.0, shares[event_id] + share)
    return dict(shares)
