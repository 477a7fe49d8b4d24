from studio.waste.models.advice import LocalAdvice
from studio.waste.models.calendar import CalendarAddress
from studio.waste.models.drums import Deposit, Drum, DrumWeighing, LookOver, TestResult
from studio.waste.models.findings import Finding
from studio.waste.models.incidents import FollowUp, Incident

__all__ = [
    "CalendarAddress",
    "Deposit",
    "Drum",
    "DrumWeighing",
    "Finding",
    "FollowUp",
    "Incident",
    "LocalAdvice",
    "LookOver",
    "TestResult",
]
