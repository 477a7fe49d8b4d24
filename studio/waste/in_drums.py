"""What of the copper that left baths and cathodes is in drums, as the copper balance asks for it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from studio.cathodes.balance import InDrums
from studio.waste.models import Deposit


def copper_in_drums(moment: datetime) -> InDrums:
    """As the book stood at a moment."""
    deposits = Deposit.objects.standing_at(moment).select_related("entry", "event__estimate")
    every = list(deposits.exclude(event=None, strip=None, source__in=set(Deposit.Source) - {Deposit.Source.RINSE}))
    rinsed = (each.entry.happened_at for each in every if each.source == Deposit.Source.RINSE)
    of_events = [(each.event, each.litres) for each in every if each.event]
    return InDrums(
        shares=shares_put_in(
            [(event.pk, litres) for event, litres in of_events],
            {event.pk: event.taken_out.value for event, _ in of_events},
        ),
        strips={each.strip_id for each in every if each.strip_id and each.kind == "cathode_copper"},
        rinsed_until=max(rinsed, default=None),
    )


def shares_put_in(deposits: Iterable[tuple[int, float | None]], litres: Mapping[int, float]) -> dict[int, float]:
    """deposits: each with its event and the litres put in, None where all was; litres: that left, by the event."""
    shares: dict[int, float] = defaultdict(float)
    for event_id, put_in_l in deposits:
        # two deposits of one pour may have been guessed to more than there was
        share = put_in_l / litres[event_id] if put_in_l and litres[event_id] else 1.0
        shares[event_id] = min(1.0, shares[event_id] + share)
    return dict(shares)
