"""Keyholder and member: the two groups of a studio, and who may do what."""

from functools import wraps

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Person

KEYHOLDER = "keyholder"
MEMBER = "member"

# what, a member, a keyholder
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
    ("Induct others", False, True),
    ("Write down what an authority, a sewer or a collector said", False, True),
    ("Add people, give accounts and roles, write down who left", False, True),
    ("Change the studio's units, region and telephone lines", False, True),
)


def give(account, role: str) -> None:
    """Give an account one role and take the other away."""
    group, _ = Group.objects.get_or_create(name=role)
    account.groups.set([group])


def with_roles(people: QuerySet[Person]) -> QuerySet[Person]:
    """People with their accounts, each knowing whether it is a keyholder's."""
    keyholders = get_user_model().groups.through.objects.filter(user=OuterRef("account"), group__name=KEYHOLDER)
    return people.select_related("account").annotate(is_keyholder=Exists(keyholders))


def of(person) -> str:
    """The role of somebody from `with_roles`; empty for those who do not sign in."""
    if person.account is None or person.left_on:
        return ""
    return KEYHOLDER if person.is_keyholder else MEMBER


def keyholder_required(view):
    """Only a keyholder may open this page; others are told so."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if not request.is_keyholder:
            raise PermissionDenied("A keyholder does this. Ask one to write it for you.")
        return view(request, *args, **kwargs)

    return guarded
