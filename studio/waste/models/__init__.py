from studio.waste.models.drums import Deposit, Drum, DrumWeighing, LookOver, TestResult
from studio.waste.models.incidents import FollowUp, Incident

__all__ = ["Deposit", "Drum", "DrumWeighing", "FollowUp", "Incident", "LookOver", "TestResult"]
