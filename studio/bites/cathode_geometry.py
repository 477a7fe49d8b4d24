"""The face of the cathode opposite a plate, and its distance."""

from dataclasses import dataclass

from chemistry.measured import digits
from studio.bites.models import Bite

MM_PER_CM = 10


@dataclass(frozen=True, kw_only=True)
class Facing:
    """
    The face of the cathode, immersed and towards the plate, and its gap to it; None needs info.

    hung: the name of the cathode, where a figure is its own.
    """

    cm2: float | None
    gap_cm: float | None
    hung: str = ""

    @property
    def words(self) -> str:
        """
        >>> Facing(cm2=1050, gap_cm=4.5, hung="Copper sheet").words
        '1050 cm², 4.5 cm away; as Copper sheet hung'
        """
        figures = [
            f"{digits(self.cm2, 4)} cm²" if self.cm2 else "",
            f"{digits(self.gap_cm)} cm away" if self.gap_cm else "",
        ]
        return ", ".join(filter(None, figures)) + (f"; as {self.hung} hung" if self.hung else "")


def cathode_facing(bite: Bite) -> Facing:
    """What hangs opposite a plate: as it was typed, else the cathode that hung in the bath at that moment."""
    typed = Facing(cm2=bite.cathode_cm2, gap_cm=bite.gap_cm)
    # whoever typed both looked at this very bite; the book knows only what was measured when the sheet came
    if typed.cm2 and typed.gap_cm:
        return typed
    sheet = bite.bath.hangings.sheet_at(bite.happened_at)
    if sheet is None:
        return typed
    gap_cm = sheet.gap_mm / MM_PER_CM if sheet.gap_mm else None
    return Facing(cm2=typed.cm2 or sheet.facing_cm2, gap_cm=typed.gap_cm or gap_cm, hung=sheet.cathode.name)
