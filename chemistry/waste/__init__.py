"""What waste is, what may join it, and what published rules say of it."""

from chemistry.waste.evaluation import (
    FOOTER,
    NO_RULES_YET,
    PERMITS_NOTHING,
    SEWER_LIMITS,
    SUGGESTED,
    Flag,
    flags,
    month_flags,
    month_kg,
    no_rules_yet,
    rule_sets_for,
)

__all__ = [
    "FOOTER",
    "NO_RULES_YET",
    "PERMITS_NOTHING",
    "SEWER_LIMITS",
    "SUGGESTED",
    "Flag",
    "flags",
    "month_flags",
    "month_kg",
    "no_rules_yet",
    "rule_sets_for",
]
