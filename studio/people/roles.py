"""Keyholder and member: the two groups of a studio, and who may do what."""

from functools import wraps

from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied

KEYHOLDER = "keyholder"
MEMBER = "member"


def give(account, role: str) -> None:
    """Give an account one role and take the other away."""
    group, _ = Group.objects.get_or_create(name=role)
    account.groups.set([group])


def keyholder_required(view):
    """Only a keyholder may open this page; others are told so."""

    @wraps(view)
    def guarded(request, *args, **kwargs):
        if not request.is_keyholder:
            raise PermissionDenied("A keyholder does this. Ask one to write it for you.")
        return view(request, *args, **kwargs)

    return guarded
