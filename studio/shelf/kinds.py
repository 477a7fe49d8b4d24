"""The kinds of entry about what is on the shelf."""

from inventory.models import Count, EntryKind, FactChange, Move, Movement, Opening, SafetySheet

RECEIVED = EntryKind("received", Movement, Opening)
BROUGHT_IN = EntryKind("brought in", Movement, Opening, FactChange)
USED = EntryKind("used", Movement)
OPENED = EntryKind("opened", Opening)
FINISHED = EntryKind("finished", Movement)
SPLIT = EntryKind("split", Movement, Opening)
CUT = EntryKind("cut", Movement, Opening)
MOVED = EntryKind("moved", Move)
SENT_AWAY = EntryKind("sent away", Move)
RECEIPT_CONFIRMED = EntryKind("receipt confirmed", Movement, Count)
COUNTED = EntryKind("counted", Movement, Count)
CUP_WEIGHED = EntryKind("cup weighed", FactChange)
MATERIAL_ADDED = EntryKind("material added")
MATERIAL_CHANGED = EntryKind("material changed", FactChange)
SHEET_FILED = EntryKind("safety sheet filed", SafetySheet)
PLACE_ADDED = EntryKind("place added")
PLACE_CHANGED = EntryKind("place changed", FactChange)
