"""How much copper is bare: measured, or a share of the plate as it looks beside drawn examples."""

from dataclasses import dataclass

from inventory.refusals import Refused

MEASURED_SD_SHARE = 0.1  # lines measured by rule and counted: own estimate
BY_EYE_SD_SHARE = 0.25  # judged beside the drawn examples: own estimate
EXAMPLES_PERCENT = (2, 5, 10, 20)


@dataclass(frozen=True)
class Exposed:
    """Bare copper, and how far that can be off."""

    cm2: float
    sd_cm2: float


@dataclass(frozen=True, kw_only=True)
class Bare:
    """Bare copper as somebody says it: so many cm², or so much of the plate."""

    cm2: float = 0.0
    percent: float = 0.0

    def on(self, plate_cm2: float | None) -> Exposed:
        """
        What that is on a plate with such a face.

        >>> Bare(percent=10).on(310), Bare(cm2=40).on(None)
        (Exposed(cm2=31.0, sd_cm2=7.75), Exposed(cm2=40, sd_cm2=4.0))
        """
        if not self.percent:
            return Exposed(self.cm2, MEASURED_SD_SHARE * self.cm2)
        if plate_cm2 is None:
            raise Refused("exposed", "A share needs a plate whose size is in the book; give cm² for this one.")
        cm2 = self.percent / 100 * plate_cm2
        return Exposed(cm2, BY_EYE_SD_SHARE * cm2)
