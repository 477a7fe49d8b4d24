"""Where the studio's copper went over some days, the drums among it."""

from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from studio.book.revision import book_revision
from studio.cathodes import accounts
from studio.cathodes.forms import PeriodForm
from studio.cathodes.period import Period
from studio.pages import fragment_cache
from studio.waste import in_drums


def balance(request):
    form = PeriodForm(request.GET, now=timezone.now())
    period = form.period()
    days = (timezone.localdate(period.since), timezone.localdate(period.until))
    moment = (book_revision(), fragment_cache.ten_minutes(), request.workshop.time_zone)
    whole = fragment_cache.cached_fragment("copper-balance", *days, *moment, make=lambda: _account(period))
    return render(request, "waste/balance.html", {"form": form, "period": period, "whole": whole})


def _account(period: Period) -> str:
    statement = accounts.statement_of_copper(period, in_drums.copper_in_drums(period.until))
    return render_to_string("cathodes/_balance.html", {"statement": statement})
