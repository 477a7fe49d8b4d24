"""The rule sets a studio goes by: those of its region, and what it was told."""

from chemistry import waste
from chemistry.waste.rules import SHIPPED, RuleSet
from studio.waste.advice import Told
from studio.workshop.models import Workshop


def sets_for(workshop: Workshop, told: Told) -> list[RuleSet]:
    """What was told comes first, then the cautions that hold everywhere, then the region's."""
    return [*([told.rules] if told.rules else []), *waste.rule_sets_for(workshop.region)]


def others(workshop: Workshop) -> list[RuleSet]:
    """Those that hold elsewhere."""
    return [known for known in SHIPPED.values() if known not in waste.rule_sets_for(workshop.region)]
