"""The kinds of entry about cathodes and what came off them."""

from inventory.models import EntryKind
from studio.cathodes.models import Cathode, CathodeWeighing, CopperContent, Hanging, Sheet, Strip

HUNG = EntryKind("cathode hung", Cathode, Hanging, Sheet)
TAKEN_OUT = EntryKind("cathode taken out", Hanging)
MEASURED = EntryKind("cathode measured", Sheet)
WEIGHED = EntryKind("cathode weighed", CathodeWeighing)
STRIPPED = EntryKind("cathode stripped", Strip)
COPPER_CONTENT = EntryKind("copper content", CopperContent)
