"""Keyholder, member and viewer, and who may do what."""

from functools import wraps

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext_lazy

from inventory.models import Entry, Person
from studio.pages.writing import ASK_A_KEYHOLDER, READS_ONLY

NOBODY, VIEWER, MEMBER, KEYHOLDER = Person.Role

# what, a member, a keyholder; a viewer reads, changes their own password and writes nothing
WHO_MAY = (
    (gettext_lazy("Read everything: bench, baths, shelf, book, people"), True, True),
    (gettext_lazy("Write what was done: receive, use, count, move, mix, top up, read, bite"), True, True),
    (gettext_lazy("Write down a new material or a new place"), True, True),
    (gettext_lazy("Say that something is low, receive what was ordered, see costs"), True, True),
    (gettext_lazy("Order, cancel an order, write down suppliers and what they sell"), False, True),
    (gettext_lazy("Count a place"), True, True),
    (gettext_lazy("Set how much flammable liquid a place may hold"), False, True),
    (gettext_lazy("Decide what a count found to differ, bring in a list, take the book along"), False, True),
    (gettext_lazy("Strike what they did or wrote themselves"), True, True),
    (gettext_lazy("Strike what anybody wrote"), False, True),
    (gettext_lazy("Change their own password"), True, True),
    (gettext_lazy("Set up a tank, adopt a bath, change a tank's figures"), False, True),
    (gettext_lazy("Say how much copper the current moves here"), False, True),
    (gettext_lazy("Start a bite, take a solvent, cut copper"), gettext_lazy("when inducted"), True),
    (gettext_lazy("Print labels and summaries"), True, True),
    (gettext_lazy("Copy the hazard classes of a supplier's sheet"), False, True),
    (gettext_lazy("Induct others"), False, True),
    (gettext_lazy("Set up a drum, put waste into it, look it over, weigh and test it"), True, True),
    (gettext_lazy("Let another kind into a drum, or a kind into an unusual vessel"), False, True),
    (gettext_lazy("Report what went wrong, and follow it up"), True, True),
    (gettext_lazy("Read who was hurt, close an incident"), gettext_lazy("their own"), True),
    (gettext_lazy("Hand waste over, correct that record, file the receiver's papers"), False, True),
    (gettext_lazy("Write down what an authority, a sewer or a collector said"), False, True),
    (gettext_lazy("Mark a device as the studio's tablet, where everybody is a member"), False, True),
    (gettext_lazy("Add people, give accounts and roles, write down who left"), False, True),
    (
        gettext_lazy("Change the studio's units, region, telephone lines and whether induction is asked for"),
        False,
        True,
    ),
)


def open_to(may_enter, *, others_read):
    """A page for some alone, before it asks anything; others are told why."""

    def guard(view):
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if not may_enter(request):
                raise PermissionDenied(others_read)
            return view(request, *args, **kwargs)

        return guarded

    return guard


keyholder_required = open_to(lambda request: request.is_keyholder, others_read=ASK_A_KEYHOLDER)
writers_only = open_to(lambda request: not request.is_viewer, others_read=READS_ONLY)


def may_strike(request, entry: Entry) -> bool:
    """A member strikes what they did or wrote down themselves, a keyholder anything."""
    return request.is_keyholder or request.person.pk == entry.done_by_id or request.user.pk == entry.recorded_by_id
