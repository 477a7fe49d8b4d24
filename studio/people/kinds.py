"""The kinds of entry about people."""

from inventory.models import EntryKind, FactChange
from studio.people.models import Induction

BOOK_BEGUN = EntryKind("book begun")
PEOPLE_ADDED = EntryKind("people added", FactChange)
ACCOUNT_GIVEN = EntryKind("account given", FactChange)
INVITED = EntryKind("invited", FactChange)
INVITATION_TAKEN_BACK = EntryKind("invitation taken back")
PASSWORD_RENEWED = EntryKind("password renewed")
ROLE_CHANGED = EntryKind("role changed", FactChange)
CONTACT_CHANGED = EntryKind("contact changed")
LEFT = EntryKind("person left", FactChange)
CAME_BACK = EntryKind("person came back", FactChange)
NAME_TAKEN_OUT = EntryKind("name taken out")
INDUCTED = EntryKind("inducted", Induction)
TABLET_MARKED = EntryKind("tablet marked")
TABLET_TAKEN_OFF = EntryKind("tablet taken off", FactChange)
