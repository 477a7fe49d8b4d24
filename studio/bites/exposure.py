"""How much copper is bare: measured, or a share of the plate as it looks beside drawn examples."""

from dataclasses import dataclass

from chemistry.measured import Measured
from inventory.refusals import Refused

MEASURED_SD_SHARE = 0.1  # lines measured by rule and counted: own estimate
BY_EYE_SD_SHARE = 0.25  # judged beside the drawn examples: own estimate
EXAMPLES_PERCENT = (2, 5, 10, 20)


def by_rule(cm2: float) -> Measured:
    """Bare copper whose lines were measured and counted."""
    return Measured(cm2, MEASURED_SD_SHARE * cm2, "cm²")


@dataclass(frozen=True, kw_only=True)
class Bare:
    """Bare copper as somebody says it: so many cm², or so much of the plate."""

    cm2: float = 0.0
    percent: float = 0.0

    def on(self, plate_cm2: float | None) -> Measured:
        """
        What that is on a plate with such a face.

        >>> Bare(percent=10).on(310), Bare(cm2=40).on(None)
        (Measured(31, 7.75, 'cm²'), Measured(40, 4, 'cm²'))
        """
        if not self.percent:
            return by_rule(self.cm2)
        # a tenth of a plate that nobody measured is no area
        if plate_cm2 is None:
            raise Refused("exposed", "A share needs a plate whose size is in the book; give cm² for this one.")
        cm2 = self.percent / 100 * plate_cm2
        return Measured(cm2, BY_EYE_SD_SHARE * cm2, "cm²")
