"""The kinds of entry by which the studio's own facts are written."""

from inventory.models import EntryKind, FactChange

STUDIO_CHANGED = EntryKind("studio changed", FactChange)
