"""One sentence for every figure outside the range its formula holds for."""

from chemistry.measured import significant


def out_of_range(name: str, value: float, low: float, high: float, unit: str = "") -> ValueError:
    """
    Return the refusal to raise, naming the value and the accepted range.

    >>> out_of_range("relative humidity", 50, 0, 1)
    ValueError('relative humidity must be between 0 and 1, not 50')
    """
    bounds = f"{significant(low, 6)} and {significant(high, 6)} {unit}".rstrip()
    return ValueError(f"{name} must be between {bounds}, not {significant(value, 6)}")


def check_range(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Refuse what lies outside the range, and what is not a number at all."""
    if not low <= value <= high:
        raise out_of_range(name, value, low, high, unit)
