"""The kinds of entry about baths."""

from inventory.models import EntryKind, FactChange, Movement
from studio.baths.models import Answer, BathEvent

TANK_SET_UP = EntryKind("tank set up")
TANK_CHANGED = EntryKind("tank changed", BathEvent, FactChange)
ADOPTED = EntryKind("bath adopted", BathEvent, FactChange)
MIXED = EntryKind("bath mixed", Movement, BathEvent, FactChange)
TOPPED_UP = EntryKind("bath topped up", Movement, BathEvent)
SOLUTION_ADDED = EntryKind("solution added", BathEvent)
STRAINED = EntryKind("bath strained", BathEvent)
TAKEN_OUT = EntryKind("taken from the bath", BathEvent)
POURED_OVER = EntryKind("poured into another bath", BathEvent)
SPILL = EntryKind("spill", BathEvent)
DRIPS = EntryKind("drips", BathEvent)
LID = EntryKind("lid", BathEvent)
READ = EntryKind("bath read", BathEvent)
ANSWERED = EntryKind("reading answered", Answer)
