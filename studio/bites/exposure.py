"""How much copper is bare: measured, or a share of the plate as it looks beside drawn examples."""

from dataclasses import dataclass

MEASURED_SD_SHARE = 0.1  # lines measured by rule and counted: own estimate
BY_EYE_SD_SHARE = 0.25  # judged beside the drawn examples: own estimate
EXAMPLES_PERCENT = (2, 5, 10, 20)


@dataclass(frozen=True)
class Exposed:
    cm2: float
    sd_cm2: float


def measured(cm2: float) -> Exposed:
    return Exposed(cm2, MEASURED_SD_SHARE * cm2)


def by_eye(percent: float, plate_cm2: float) -> Exposed:
    """
    A share of a plate's face.

    >>> by_eye(10, 310)
    Exposed(cm2=31.0, sd_cm2=7.75)
    """
    cm2 = percent / 100 * plate_cm2
    return Exposed(cm2, BY_EYE_SD_SHARE * cm2)
