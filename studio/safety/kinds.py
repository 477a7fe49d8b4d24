"""The kinds of entry about labels."""

from inventory.models import EntryKind
from studio.hazards.models import SupplierClasses
from studio.safety.models import PrintedLabel

SUPPLIER_CLASSES = EntryKind("supplier’s classes", SupplierClasses)
LABEL_PRINTED = EntryKind("label printed", PrintedLabel)
