"""One sentence for every figure outside the range its formula holds for."""

from chemistry.measured import digits


class OutOfRange(ValueError):
    """
    A figure outside what a formula takes, which it names with the accepted range.

    >>> OutOfRange("relative humidity", 50, 0, 1)
    OutOfRange('relative humidity must be between 0 and 1, not 50')
    """

    def __init__(self, name: str, value: float, low: float, high: float, unit: str = "") -> None:
        bounds = f"{digits(low)} and {digits(high)} {unit}".rstrip()
        super().__init__(f"{name} must be between {bounds}, not {digits(value)}")
        self.name, self.value, self.low, self.high, self.unit = name, value, low, high, unit


def check_range(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """
    Refuse what lies outside the range, and what is not a number at all.

    >>> check_range("efficiency", 1.5, 0, 1.2)
    Traceback (most recent call last):
    chemistry.ranges.OutOfRange: efficiency must be between 0 and 1.2, not 1.5
    """
    # written so that what is not a number is refused too
    if not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
