"""The rule sets the book goes by, with their dates and sources."""

from django.shortcuts import render

from chemistry import waste
from studio.waste import advice, flags


def rule_sets(request):
    workshop = request.workshop
    context = {
        "sets": flags.rule_sets_of_studio(workshop, advice.told()),
        "others": flags.rule_sets_elsewhere(workshop),
        "no_rules_yet": waste.no_rules_yet(workshop.region),
        "limits": waste.SEWER_LIMITS,
        "suggested": waste.SUGGESTED,
        "footer": waste.FOOTER,
    }
    return render(request, "waste/rule_sets.html", context)
