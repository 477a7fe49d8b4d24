"""Keyholder, member and viewer: the groups of a studio, and who may do what."""

from functools import wraps

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import OuterRef, QuerySet, Subquery

from inventory.models import Person
from studio.pages.writing import READS_ONLY

KEYHOLDER = "keyholder"
MEMBER = "member"
VIEWER = "viewer"

# what, a member, a keyholder; a viewer reads, changes their own password and writes nothing
WHO_MAY = (
    ("Read everything: bench, baths, shelf, book, people", True, True),
    ("Write what was done: receive, use, count, move, mix, top up, read, bite", True, True),
    ("Write down a new material or a new place", True, True),
    ("Say that something is low, receive what was ordered, see costs", True, True),
    ("Order, cancel an order, write down suppliers and what they sell", False, True),
    ("Count a place", True, True),
    ("Set how much flammable liquid a place may hold", False, True),
    ("Decide what a count found to differ, bring in a list, take the book along", False, True),
    ("Strike what they did or wrote themselves", True, True),
    ("Strike what anybody wrote", False, True),
    ("Change their own password", True, True),
    ("Set up a tank, adopt a bath, change a tank's figures", False, True),
    ("Say how much copper the current moves here", False, True),
    ("Start a bite, take a solvent, cut copper", "when inducted", True),
    ("Print labels and summaries", True, True),
    ("Copy the hazard classes of a supplier's sheet", False, True),
    ("Induct others", False, True),
    ("Set up a drum, put waste into it, look it over, weigh and test it", True, True),
    ("Let another kind into a drum, or a kind into an unusual vessel", False, True),
    ("Report what went wrong, and follow it up", True, True),
    ("Read who was hurt, close an incident", "their own", True),
    ("Hand waste over, correct that record, file the receiver's papers", False, True),
    ("Write down what an authority, a sewer or a collector said", False, True),
    ("Mark a device as the studio's tablet, where everybody is a member", False, True),
    ("Add people, give accounts and roles, write down who left", False, True),
    ("Change the studio's units, region, telephone lines and whether induction is asked for", False, True),
)


def give(account, role: str) -> None:
    """Give an account one role and take the others away."""
    group, _ = Group.objects.get_or_create(name=role)
    account.groups.set([group])


def role_of(account: str) -> Subquery:
    """The one role of an account, by the field that names it."""
    groups = get_user_model().groups.through.objects.filter(user=OuterRef(account))
    return Subquery(groups.values("group__name")[:1])


def with_roles(people: QuerySet[Person]) -> QuerySet[Person]:
    """People with their accounts and the roles of these."""
    return people.select_related("account").annotate(role=role_of("account"))


def of(person) -> str:
    """The role of somebody from `with_roles`; empty for those who do not sign in."""
    return "" if person.account is None or person.left_on else person.role


def keyholder_required(view):
    """Only a keyholder may open this page; others are told so."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if not request.is_keyholder:
            raise PermissionDenied("A keyholder does this. Ask one to write it for you.")
        return view(request, *args, **kwargs)

    return guarded


def writers_only(view):
    """A page that only writes is closed to viewers before it asks anything."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if request.is_viewer:
            raise PermissionDenied(READS_ONLY)
        return view(request, *args, **kwargs)

    return guarded
