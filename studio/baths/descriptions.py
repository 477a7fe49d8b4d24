"""How a bath stands, in plain sentences, and what to do about it."""

from datetime import datetime, timedelta
from math import sqrt
from typing import NamedTuple

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from chemistry.bath import figures
from chemistry.working import Figure
from studio.baths.standing import Standing
from studio.pages.quantities import Shown, Units, with_spread

REASONS = {"over-strong": "past its range", "low": "a tenth below its usual fill"}
MOST_OF_A_YEAR = timedelta(days=300)
FAR_AHEAD_DAYS = 5 * 365.0
LEARNED_SD = 0.4  # of the drying factor; before any level is read it is 0.6
NOTICEABLE_SHARE = 0.02  # of the usual fill; a lower level than this is worth a sentence


class Advice(NamedTuple):
    """A sentence and the button that answers it; pressing when it should not wait."""

    sentence: str
    label: str
    url: str
    pressing: bool = False


def day(moment: datetime, now: datetime) -> str:
    """A day by its name, and by its year where that would not be guessed."""
    far = abs(moment - now) > MOST_OF_A_YEAR
    return date_format(timezone.localtime(moment), "j F Y" if far else "j F")


def ago(moment: datetime, now: datetime) -> str:
    days = (timezone.localdate(now) - timezone.localdate(moment)).days
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def last_read(standing: Standing) -> str:
    if standing.read:
        return f"last read {ago(standing.read.entry.happened_at, standing.at)}"
    return "not read since it was mixed or adopted" if standing.state else "never read"


def last_topped_up(standing: Standing) -> str:
    return f"topped up {ago(standing.topped_up.entry.happened_at, standing.at)}" if standing.topped_up else ""


def measured(value: float, sd: float | None, unit: str) -> Shown:
    return Shown(f"{value:.0f}", unit) if sd is None else with_spread(value, sd, unit)


def lid(standing: Standing) -> str:
    """Since when the lid is where it is, and what that means."""
    if standing.lid is None or standing.state is None:
        return ""
    since = day(standing.lid.entry.happened_at, standing.at)
    if standing.lid_is_on:
        return f"Lid on since {since}: nothing dries off."
    drying = figures.drying(standing.state)
    return f"Lid off since {since}: about {measured(drying.value, drying.sd, 'g')} of water dries off a day."


def room(standing: Standing) -> str:
    """How fast this room dries the tank against an average one, once its levels have told."""
    if standing.state is None:
        return ""
    factor_sd = sqrt(standing.state.covariance[2][2])
    if factor_sd > LEARNED_SD:
        return "Not learned yet: it takes a few levels, read with the lid off."
    factor = with_spread(standing.state.drying_factor, factor_sd, "times")
    return f"{factor} as fast as expected of such a tank in an average room."


def tonight(standing: Standing, units: Units) -> str:
    """What the coldest night of the room does to the bath."""
    coldest = f"At {units.temperature(standing.bath.coldest_c)}, the coldest the room gets,"
    if standing.state is None:
        return ""
    if standing.freezes_tonight:
        return f"{coldest} ice forms in it, from {units.temperature(standing.ice_c)} down: keep it somewhere warmer."
    crystals = standing.crystals_tonight
    if crystals:
        liquid = units.strength(figures.liquid_strength_at(standing.state, standing.tonight_c).value)
        return (
            f"{coldest} {_so_many(crystals)} of crystals fall out, and the liquid over them stands at {liquid}: "
            "warm it, stir it and add water."
        )
    if standing.is_unsure:
        return f"{coldest} crystals may fall out or not: its strength is too unsure to say."
    if standing.below_c is None:
        return f"{coldest} nothing falls out."
    falls = units.temperature(standing.below_c.value, standing.below_c.sd)
    if standing.may_drop_crystals_tonight:
        return f"{coldest} a few crystals may fall out: they do below {falls}."
    return f"{coldest} everything stays dissolved; crystals would fall out below {falls}."


def _so_many(crystals: Figure) -> str:
    """A weight that may be nothing at all is told by its upper end."""
    half_width = crystals.half_width or 0.0
    if crystals.value < half_width:
        return f"up to {float(f'{crystals.value + half_width:.2g}'):g} g"
    return f"about {measured(crystals.value, crystals.sd, 'g')}"


def water_due(standing: Standing) -> str:
    """When it will need water, were nothing done to it."""
    if standing.state is None:
        return ""
    if standing.state.strength_g_per_l > standing.bath.range_high_g_per_l:
        return f"Now: it stands {REASONS['over-strong']}."
    if standing.is_low:
        return f"Now: it stands {REASONS['low']}."
    if standing.lid_is_on:
        return "Nothing dries off under the lid, so no day is in sight."
    if standing.due is None:
        return "Not within two years at this rate of drying."
    why, span = standing.due
    likely, earliest = _ahead(standing, span.days), _ahead(standing, span.earliest)
    if span.latest is None or span.latest > FAR_AHEAD_DAYS:
        return f"About {likely}, at the earliest {earliest}: it is {REASONS[why]} then. Levels read narrow this."
    return f"About {likely}, between {earliest} and {_ahead(standing, span.latest)}: it is {REASONS[why]} then."


def _ahead(standing: Standing, days: float) -> str:
    return day(standing.at + timedelta(days=days), standing.at)


def advice(standing: Standing, units: Units) -> Advice | None:
    """The one thing to do about a bath, the most pressing first; None where it can be left alone."""
    plan = _url(standing, "top_up")
    if standing.held_out:
        reading = standing.held_out[-1]
        read_on = day(reading.entry.happened_at, standing.at)
        words = f"A reading of {read_on} is held out: {reading.words} does not fit the book."
        return Advice(words, "Answer it", reverse("baths:answer", args=[reading.pk]), pressing=True)
    if standing.state is None:
        return Advice("Nobody has said yet what is in it.", "Say what is in it", _url(standing, "bath"), pressing=True)
    if sentence := unsure(standing, units):
        return Advice(sentence, "Read a hydrometer", _url(standing, "read_hydrometer"))
    if standing.status.word in ("crystals", "over-strong"):
        return Advice(f"{lid(standing)} {tonight(standing, units)}", "Plan the top-up", plan, pressing=True)
    if standing.status.word == "weak":
        low = units.strength(standing.bath.range_low_g_per_l)
        return Advice(f"Below {low}, where its range begins: crystals bring it back.", "Plan the top-up", plan)
    if sentence := refill(standing, units):
        return Advice(sentence, "Plan the top-up", plan)
    if standing.crystals_tonight or standing.freezes_tonight:
        return Advice(tonight(standing, units), "Look", _url(standing, "bath"))
    if standing.is_long_unread:
        return Advice("Nobody has measured it for a month.", "Read it", _url(standing, "read_level"))
    return None


def unsure(standing: Standing, units: Units) -> str:
    """That its figure is too wide to go by; empty where it is not, or must be acted on all the same."""
    if standing.state is None or not standing.is_unsure or standing.status.level == "act":
        return ""
    strength = units.strength(standing.state.strength_g_per_l, standing.state.strength_sd_g_per_l)
    return f"Unsure: ± {strength.half_width} {strength.unit} reaches past its range. Read a hydrometer."


def refill(standing: Standing, units: Units) -> str:
    """How much is missing and what water alone would make of it; empty while nothing worth a jug is missing."""
    if standing.state is None or standing.missing_l <= NOTICEABLE_SHARE * standing.bath.fill_l:
        return ""
    missing = measured(standing.missing_l, standing.state.volume_sd_l, "L")
    filled = figures.strength_filled_to(standing.state, standing.bath.fill_l)
    then = f"Water alone {_filled(filled, standing)}, at {units.strength(filled.value)}."
    if not standing.topped_up:
        return f"{missing} below its mark. {then}"
    topped_up_on = day(standing.topped_up.entry.happened_at, standing.at)
    return f"{missing} below its mark since the top-up of {topped_up_on}. {then}"


def _filled(strength: Figure, standing: Standing) -> str:
    if strength.value < standing.bath.range_low_g_per_l:
        return "leaves it weak"
    return "brings it back" if strength.value <= standing.bath.range_high_g_per_l else "leaves it over-strong"


def _url(standing: Standing, page: str) -> str:
    return reverse(f"baths:{page}", args=[standing.bath.pk])
