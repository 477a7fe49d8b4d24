from studio.waste.models.advice import LocalAdvice
from studio.waste.models.calendar import CalendarAddress
from studio.waste.models.disposals import Disposal, Handed, ReceiverPaper, Refusal
from studio.waste.models.drums import Deposit, Drum, DrumWeighing, LookOver, TestResult
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
    "Handed",
    "Incident",
    "LocalAdvice",
    "LookOver",
    "ReceiverPaper",
    "Refusal",
    "TestResult",
]
