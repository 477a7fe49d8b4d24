"""The one thing that can be done to what is written: strike it."""

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import Q

from inventory import book, facts
from inventory.book import Signed
from inventory.models import Entry, FactChange, Person
from inventory.refusals import Refused

# The book comes before the baths, and this is the one place that reaches forward: a strike changes stock, baths, bites
# cathodes and drums at once or not at all, and every strike must come through here.
from studio.baths.models import Bath
from studio.baths.operations import touch
from studio.bites import strikes
from studio.cathodes import strikes as cathodes
from studio.waste import strikes as waste
from studio.waste.models import Disposal


@transaction.atomic
def strike(entry: Entry, *, by: Signed, reason: str) -> Entry:
    """Strike an entry with all it wrote, and replay the baths that it touched; refused while later lines rest on it."""
    touched = Bath.objects.filter(Q(events__entry=entry) | Q(events__answers__entry=entry)).values("pk")
    tanks = FactChange.objects.filter(entry=entry, thing_kind=Bath._meta.label_lower).values("thing_id")
    wanted = Q(pk__in=touched) | Q(pk__in=tanks) | Q(pk__in=strikes.baths_of(entry).values("pk"))
    # before the containers, as every write about a bath locks them, or the two could wait for each other
    baths = list(Bath.objects.select_for_update().filter(wanted).order_by("pk"))
    _refuse_out_of_turn(entry)
    struck = book.strike(entry, by=by, reason=reason)
    touch(baths)
    return struck


@transaction.atomic
def refusal_of(entry: Entry) -> Refused | None:
    """Why it cannot be struck as the book stands, told before anybody has typed a reason."""
    try:
        _refuse_out_of_turn(entry)
    except Refused as refusal:
        return refusal
    return None


def record_of(entry: Entry) -> Disposal | None:
    """The record of a disposal that keeps what an entry wrote."""
    return waste.record_of(entry)


def _refuse_out_of_turn(entry: Entry) -> None:
    facts.refuse_strike(entry)
    strikes.refuse_out_of_turn(entry)
    cathodes.refuse_out_of_turn(entry)
    waste.refuse_out_of_turn(entry)


def may_strike(entry: Entry, *, person: Person, account: AbstractBaseUser, is_keyholder: bool) -> bool:
    """A member strikes what they did or wrote down themselves, a keyholder anything."""
    return is_keyholder or person.pk == entry.done_by_id or account.pk == entry.recorded_by_id
