"""The sets of rules by which a hazard class is worked out, and where each is in force."""

from chemistry.sentences import Sentence

REGIMES = {
    "UN": Sentence("UN GHS"),
    "EU": Sentence("the European Union"),
    "GB": Sentence("Great Britain"),
    "US": Sentence("the United States"),
}
CLP = ("EU", "GB")  # Reg. (EC) 1272/2008, in force and as retained in Great Britain
LEFT_OUT = {
    "US": Sentence(
        "Environment (not required in the United States): these rules have no classes for aquatic hazards. What harms "
        "fish is worked out by UN GHS."
    )
}


def check_regime(regime: str) -> None:
    """
    >>> check_regime("GHS")
    Traceback (most recent call last):
    ValueError: regime must be one of UN, EU, GB, US, not 'GHS'
    """
    if regime not in REGIMES:
        raise ValueError(f"regime must be one of {', '.join(REGIMES)}, not {regime!r}")


def regime_of(region: str) -> str:
    """
    The regime of a workshop's region; UN GHS where the region has no rules of its own here.

    >>> regime_of("gb"), regime_of("elsewhere")
    ('GB', 'UN')
    """
    return region.upper() if region.upper() in REGIMES else "UN"


def left_out(regime: str) -> str:
    """
    What to print where a regime has no aquatic hazards; empty where it has them.

    >>> left_out("EU")
    ''
    """
    check_regime(regime)
    return LEFT_OUT.get(regime, "")
