"""The kinds of entry about what is bought; packs that come are received at the shelf."""

from inventory.models import EntryKind, FactChange
from studio.orders.models import Invoice, Order, Receipt, Shortage
from studio.shelf.kinds import RECEIVED

SUPPLIER_ADDED = EntryKind("supplier added")
SUPPLIER_CHANGED = EntryKind("supplier changed", FactChange)
PACK_ADDED = EntryKind("pack added")
PACK_CHANGED = EntryKind("pack changed", FactChange)
INVOICED = EntryKind("invoice", Invoice)
MARKED_LOW = EntryKind("marked low", Shortage)
ORDERED = EntryKind("ordered", Order)
LINE_CANCELLED = EntryKind("order line cancelled", Receipt)
# packs that were ordered come as whatever comes: one kind, or the book could not be filtered for what was received
RECEIVED.also_holds(Receipt)
