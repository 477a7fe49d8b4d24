"""Who may strike what is written."""

from django.contrib.auth.models import AbstractBaseUser

from inventory.models import Entry, Person


def may_strike(entry: Entry, *, person: Person, account: AbstractBaseUser, is_keyholder: bool) -> bool:
    """A member strikes what they did or wrote down themselves, a keyholder anything."""
    return is_keyholder or person.pk == entry.done_by_id or account.pk == entry.recorded_by_id
