"""Waste month by month, against what the rules of the region name."""

from urllib.parse import urlencode

from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from chemistry import waste
from chemistry.waste import streams
from studio.book.revision import book_revision
from studio.drawing import charts, scales
from studio.pages import fragment_cache
from studio.waste import advice, content, months, rules, whereabouts
from studio.waste.flags import level
from studio.waste.models import LocalAdvice
from studio.waste.months import Month
from studio.workshop.models import Workshop


def all_months(request):
    workshop = request.workshop
    moment = (book_revision(), fragment_cache.ten_minutes(), workshop.time_zone, workshop.region, workshop.us_state)
    whole = fragment_cache.cached_fragment("waste-months", *moment, make=lambda: _whole(workshop))
    return render(request, "waste/months.html", {"whole": whole})


def _whole(workshop: Workshop) -> str:
    now = timezone.now()
    told = advice.told(timezone.localdate(now))
    sets, year = rules.sets_for(workshop, told), months.months(now, told)
    here = content.contents_of_drums(whereabouts.here().select_related("entry"), now).values()
    on_site_kg = months.on_site_kg(here, told)
    shown = {
        "months": year,
        "chart": _chart(year),
        "flags": [(flag, level(flag)) for flag in year[0].flags(sets, months.on_site_bounds(here, told))],
        "on_site_words": on_site_kg and f"{months.between(*on_site_kg)} kg of it stand here.",
        "undecided": _undecided(year),
        "region": workshop.get_region_display(),
        "no_rules_yet": waste.no_rules_yet(workshop.region),
        "suggested": waste.SUGGESTED,
        "footer": waste.FOOTER,
    }
    return render_to_string("waste/_months.html", shown)


def _chart(year: list[Month]) -> charts.Chart | None:
    """The highest that may count: nobody looks the other way on a lower one."""
    if not any(month.known_kg[1] for month in year):
        return None
    columns = [(scales.month(month.first, with_year=not i), month.known_kg[1]) for i, month in enumerate(year[::-1])]
    return charts.columns(columns, title="Hazardous waste of each month, the most it may be", unit="kg", decimals=1)


def _undecided(year: list[Month]) -> list[tuple[str, str]]:
    kinds = dict.fromkeys(kind for month in year for kind in month.undecided)
    page = reverse("waste:add_advice", args=[LocalAdvice.Kind.HAZARDOUS])
    return [(streams.STREAMS[kind].title, f"{page}?{urlencode({'stream': kind})}") for kind in kinds]
