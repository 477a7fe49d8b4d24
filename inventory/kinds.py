"""What the book writes by itself, and which lines tell of stock."""

from inventory.models import EntryKind, Movement

KEPT = EntryKind("kept in line with counts", Movement)
