from studio.waste.models.drums import Deposit, Drum, DrumWeighing, LookOver, TestResult

__all__ = ["Deposit", "Drum", "DrumWeighing", "LookOver", "TestResult"]
