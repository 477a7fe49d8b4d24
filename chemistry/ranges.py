"""One sentence for every figure outside the range its formula holds for."""


def out_of_range(name: str, value: float, low: float, high: float, unit: str = "") -> ValueError:
    """
    Return the refusal to raise, naming the value and the accepted range.

    >>> out_of_range("relative humidity", 50, 0, 1)
    ValueError('relative humidity must be between 0 and 1, not 50')
    """
    bounds = f"{low:.6g} and {high:.6g} {unit}".rstrip()
    return ValueError(f"{name} must be between {bounds}, not {value:.6g}")


def check_range(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Refuse what lies outside the range, and what is not a number at all."""
    if not low <= value <= high:
        raise out_of_range(name, value, low, high, unit)
