"""The kinds of entry about plates and what the current did to them."""

from inventory.models import EntryKind, Movement
from studio.baths.models import BathEvent
from studio.bites.models import (
    Bite,
    BiteReading,
    BiteStop,
    OwnEfficiency,
    Parcel,
    Photograph,
    Plate,
    Preparation,
    Weighing,
)

PLATE_TAKEN = EntryKind("plate taken", Movement, Plate, Weighing)
PLATE_PREPARED = EntryKind("plate prepared", Movement, Preparation)
PLATE_WEIGHED = EntryKind("plate weighed", Weighing)
PLATE_PHOTOGRAPHED = EntryKind("plate photographed", Photograph)
PLATES_SENT = EntryKind("plates sent", Parcel)
PLATES_CAME = EntryKind("plates came", Parcel)
STARTED = EntryKind("bite started", Bite)
READ = EntryKind("bite read", BiteReading)
STOPPED = EntryKind("bite stopped", BathEvent, BiteReading, BiteStop)
WHOLE = EntryKind("bite", BathEvent, Bite, BiteReading, BiteStop)
EFFICIENCY = EntryKind("efficiency", OwnEfficiency)
