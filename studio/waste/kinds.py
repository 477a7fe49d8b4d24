"""The kinds of entry about waste, and those of earlier features whose loss goes into a drum."""

from inventory.models import EntryKind, FactChange, Movement
from studio.baths.kinds import SPILL, STRAINED, TAKEN_OUT
from studio.cathodes.kinds import STRIPPED
from studio.waste.models import (
    CalendarAddress,
    Deposit,
    Disposal,
    Drum,
    DrumWeighing,
    Finding,
    FollowUp,
    Incident,
    Inspection,
    LocalAdvice,
    ReceiverPaper,
    Refusal,
    TestResult,
)

SET_UP = EntryKind("drum set up", Drum)
MOVED = EntryKind("drum moved", FactChange)
TARED = EntryKind("drum weighed empty", FactChange)
FILLED = EntryKind("drum filled", Movement, Deposit)
LOOKED_OVER = EntryKind("drum looked over", Inspection)
WEIGHED = EntryKind("drum weighed", DrumWeighing)
TESTED = EntryKind("drum tested", TestResult)
EXAMINED = EntryKind("drum examined", Finding)
DISPOSAL = EntryKind("disposal", Drum, Deposit, Disposal)
CORRECTED = EntryKind("disposal corrected", Disposal)
REFUSED = EntryKind("drum refused", Refusal)
RECEIPT = EntryKind("receipt", ReceiverPaper)
INCIDENT = EntryKind("incident", Movement, Deposit, Incident)
FOLLOWED_UP = EntryKind("incident followed up", Deposit, FollowUp)
ADVICE = EntryKind("local advice", LocalAdvice)
CALENDAR = EntryKind("calendar address", CalendarAddress)

# what leaves a bath or a cathode goes into a drum in the same entry, so that one strike takes back both sides
SPILL.also_holds(Movement, Deposit, Incident)
for losing in (STRAINED, TAKEN_OUT, STRIPPED):
    losing.also_holds(Deposit)
