from studio.waste.models.advice import LocalAdvice
from studio.waste.models.calendar import CalendarAddress
from studio.waste.models.disposals import Disposal, DisposalItem, ReceiverPaper, Refusal
from studio.waste.models.drums import Deposit, Drum, DrumWeighing, Inspection, TestResult
from studio.waste.models.findings import Finding
from studio.waste.models.incidents import FollowUp, Incident

__all__ = [
    "CalendarAddress",
    "Deposit",
    "Disposal",
    "Drum",
    "DrumWeighing",
    "Finding",
    "FollowUp",
    "DisposalItem",
    "Incident",
    "LocalAdvice",
    "Inspection",
    "ReceiverPaper",
    "Refusal",
    "TestResult",
]
