"""Sums of a treatment that somebody allowed in writing; without that there are none, and never a figure for a drain."""

from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from chemistry.waste import treatment
from chemistry.waste.drum import MG_PER_G
from chemistry.waste.treatment import TreatmentPlan
from chemistry.working import Figure
from inventory.dates import long_day
from studio.pages.quantities import DisplayedFigure, with_spread
from studio.waste.advice import AdviceInForce, said_by
from studio.waste.content import Content
from studio.waste.models import LocalAdvice


@dataclass(frozen=True)
class Allowed:
    """A treatment of what is in a drum, by whose permission, and its sums; no plan where nobody knows the copper."""

    advice: LocalAdvice
    plan: TreatmentPlan | None
    figures: tuple[DisplayedFigure, ...] = ()

    @property
    def permission(self) -> str:
        return permission(self.advice)

    @property
    def title(self) -> str:
        return self.advice.how

    @property
    def warnings(self) -> tuple[treatment.Warned, ...]:
        return treatment.warnings(self.advice.method)


def treatments_of_drum(content: Content, told: AdviceInForce) -> list[Allowed]:
    """Only what was allowed for the one kind that is in the drum, while the permission holds."""
    return [allowed_by(each, content) for each in permitted(content, told)]


def permitted(content: Content, told: AdviceInForce) -> list[LocalAdvice]:
    """A permission for one kind of waste is none for a drum that holds another as well."""
    (kind, *others) = content.kinds
    return [] if others or not content.deposits else told.permitted(kind)


def allowed_by(advice: LocalAdvice, content: Content) -> Allowed:
    copper = content.copper
    if copper is None or not copper.value:
        return Allowed(advice, None)
    per_l = content.copper_per_l
    plan = treatment.plan(
        advice.method,
        copper_g=copper.value,
        copper_g_per_l=min(per_l.value / MG_PER_G, treatment.MOST_COPPER_G_PER_L) if per_l else None,
        permission=permission(advice),
    )
    return Allowed(advice, plan, tuple(displayed(name, figure, content) for name, figure in plan.figures.items()))


def displayed(name: str, figure: Figure, content: Content) -> DisplayedFigure:
    """Every sum grows with the copper alone: with all of it, or with that of a litre."""
    grows_with = content.copper_per_l if figure.unit == "°C" else content.copper
    share = (grows_with.sd or 0.0) / grows_with.value if grows_with and grows_with.value else 0.0
    return DisplayedFigure(capfirst(name), with_spread(figure.value, figure.value * share, figure.unit), figure)


def permission(advice: LocalAdvice) -> str:
    """Who allowed it, when and for what."""
    ends = _("until %(until_on)s") % {"until_on": long_day(advice.until_on)} if advice.until_on else _("without an end")
    return _("%(said_by)s, %(said_on)s, for %(about)s, %(ends)s") % {
        "said_by": said_by(advice),
        "said_on": long_day(advice.said_on),
        "about": advice.about,
        "ends": ends,
    }
