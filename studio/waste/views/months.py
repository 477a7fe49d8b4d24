"""Waste month by month, against what the rules of the region name."""

from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import waste
from chemistry.quantity import read_in
from chemistry.waste import streams
from studio.drawing import charts, scales
from studio.pages.views import ReadView
from studio.waste import advice, content, flags, months
from studio.waste.flags import level
from studio.waste.models import LocalAdvice
from studio.waste.months import Month


class MonthsView(ReadView):
    def get_part_data(self):
        workshop, now = self.request.workshop, timezone.now()
        told = advice.told(timezone.localdate(now))
        sets, year = flags.rule_sets_of_studio(workshop, told), months.months(now, told)
        here = content.contents_here(now)
        on_site_kg = months.on_site_kg(here, told)
        return {
            "months": year,
            "chart": chart_of(year),
            "flags": [(flag, level(flag)) for flag in year[0].flags(sets, workshop, months.on_site_bounds(here, told))],
            "on_site_words": on_site_kg
            and _("%(between)s of it stand here.") % {"between": months.between(*on_site_kg)},
            "undecided": undecided(year),
            "is_keyholder": self.request.is_keyholder,
            "region": workshop.get_region_display(),
            "no_rules_yet": waste.no_rules_yet(workshop.region),
            "suggested": waste.SUGGESTED,
            "footer": waste.FOOTER,
        }


def chart_of(year: list[Month]) -> charts.Chart | None:
    """From what counts for certain to what may count: nobody looks the other way on a lower one."""
    if not any(month.known_kg[1] for month in year):
        return None
    unit, size = read_in("kg", max(month.known_kg[1] for month in year))
    columns = [
        charts.Column(scales.month(month.first, with_year=not i), *(kg / size for kg in month.known_kg))
        for i, month in enumerate(year[::-1])
    ]
    return charts.columns(columns, title=_("Hazardous waste of each month"), unit=unit, decimals=1)


def undecided(year: list[Month]) -> list[tuple[str, str]]:
    kinds = dict.fromkeys(kind for month in year for kind in month.undecided)
    page = reverse("waste:add_advice", args=[LocalAdvice.Kind.HAZARDOUS])
    return [(streams.STREAMS[kind].title, f"{page}?{urlencode({'stream': kind})}") for kind in kinds]
