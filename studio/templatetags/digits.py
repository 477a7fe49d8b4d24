"""Numbers with no more digits than they deserve."""

from django import template

register = template.Library()


@register.filter
def digits(value: float, significant: int) -> str:
    """
    So many significant digits, written out.

    >>> digits(119.93, 2), digits(0.00148, 2), digits(123456, 5), digits(-2.5, 5)
    ('120', '0.0015', '123460', '-2.5')
    """
    rounded = float(f"{value:.{significant}g}")
    return f"{rounded:.12f}".rstrip("0").rstrip(".")
