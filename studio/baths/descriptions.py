"""A bath as its pages draw and say it, in the studio's units, and what to do about it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import NamedTuple

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import bath as bath_model
from chemistry.bath import BathState, figures
from chemistry.bath.forgetting import WATER
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.quantity import quantity, read_in
from chemistry.working import Figure
from inventory.dates import days_ago, near_day
from studio.baths import drawings, plan, readings
from studio.baths.models import Bath, BathEvent
from studio.baths.readings import DisplayedReading
from studio.baths.status import NOTICEABLE_SHARE, SOON_DAYS, BathStatus, status_of_baths
from studio.drawing.charts import Chart
from studio.drawing.gauges import Jug, RulerScale
from studio.pages.quantities import DisplayedFigure, Shown, Units, with_spread

REASONS = {"over-strong": gettext_lazy("past its range"), "low": gettext_lazy("a tenth below its usual fill")}
FAR_AHEAD_DAYS = 5 * 365.0
LEARNED_SD = 0.4  # of the drying factor; before any level is read it is 0.6
NOTICED_G_PER_L = 2.0  # a hydrometer off by less is not worth a line: common practice, no source


class Suggestion(NamedTuple):
    """A sentence and the button that answers it; pressing when it should not wait."""

    sentence: str
    label: str
    url: str
    pressing: bool = False


@dataclass(frozen=True)
class BathDescription:
    """Each part is worked out when a page asks for it; while the bath is unread most of them are empty."""

    status: BathStatus
    units: Units

    @property
    def bath(self) -> Bath:
        return self.status.bath

    @cached_property
    def jug(self) -> Jug:
        return drawings.jug(self.status)

    @cached_property
    def rule(self) -> RulerScale:
        return drawings.rule(self.status, self.units)

    @cached_property
    def chart(self) -> Chart | None:
        return drawings.chart(self.status, self.units)

    @cached_property
    def strength(self) -> DisplayedFigure | None:
        return self.in_strength(_("Strength"), bath_model.strength(self.status.state)) if self.status.state else None

    @cached_property
    def volume(self) -> DisplayedFigure | None:
        return DisplayedFigure.plain(_("Volume"), bath_model.volume(self.status.state)) if self.status.state else None

    @property
    def level(self) -> str:
        """Before the words "of 12 L": without its unit, where that is the same."""
        return self._beside_the_mark(lambda shown: shown.value)

    @property
    def level_with_spread(self) -> str:
        return self._beside_the_mark(lambda shown: shown.without_unit)

    def _beside_the_mark(self, short: Callable[[Shown], str]) -> str:
        if not self.volume:
            return ""
        is_in_one_unit = read_in("L", self.bath.fill_l)[0] == self.volume.shown.unit
        return short(self.volume.shown) if is_in_one_unit else str(self.volume.shown)

    @cached_property
    def copper(self) -> DisplayedFigure | None:
        return (
            DisplayedFigure.plain(_("Copper in it"), figures.copper(self.status.state)) if self.status.state else None
        )

    @property
    def holds_acid(self) -> bool:
        return self.status.state is not None and self.status.state.has_acid

    @property
    def made_of(self) -> str:
        """What is in it, for whoever stands before it."""
        return _("Copper sulfate and sulfuric acid in water") if self.holds_acid else _("Copper sulfate in water")

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        """Everything that is known of a bath now."""
        return list(self.each_figure(self.status.state)) if self.status.state else []

    @cached_property
    def figures_of_reading(self) -> list[DisplayedFigure]:
        """What was read last, by itself and together with the book of then."""
        read = self.status.read
        of_it = [read] if read and self.bath.estimate_is_current else []
        return [
            DisplayedFigure(name, readings.in_studio_units(figure, self.units), figure)
            for _event, said in readings.comparisons(of_it)
            for name, figure in ((_("Last reading alone"), said.alone), (_("Together with the book"), said.together))
            if figure
        ]

    def each_figure(self, state: BathState) -> Iterator[DisplayedFigure]:
        status = self.status
        yield self.in_strength(_("Strength"), bath_model.strength(state))
        if self.units.strength_unit != "g/L":
            shown = self.units.strength(state.strength_g_per_l, state.strength_sd_g_per_l)
            yield DisplayedFigure(_("On a Baumé hydrometer"), shown, figures.baume(state))
        yield DisplayedFigure.plain(_("Volume"), bath_model.volume(state))
        yield DisplayedFigure.plain(_("Copper in it"), figures.copper(state))
        if state.has_acid:
            yield DisplayedFigure.plain(_("Acid in it"), figures.acid(state))
        if falls_below := status.below_c:
            shown = self.units.temperature(falls_below.value, falls_below.sd)
            yield DisplayedFigure(_("Crystals fall out below"), shown, falls_below)
        if status.crystals_tonight:
            yield DisplayedFigure.plain(
                _("Crystals at %(temperature)s") % {"temperature": self.units.temperature(status.tonight_c)},
                status.crystals_tonight,
            )
            yield self.in_strength(_("Liquid over them"), figures.liquid_strength_at(state, status.tonight_c))
        if status.missing_l:
            filled = figures.strength_filled_to(state, self.bath.fill_l)
            yield self.in_strength(_("Strength once water fills it to the mark"), filled)
        if not status.lid_is_on:
            yield DisplayedFigure.plain(_("Drying"), figures.drying(state))
        if status.due and status.due.span.days:
            span = status.due.span
            yield DisplayedFigure.plain(
                _("Until it needs water"), Figure(value=span.days, unit="days", working=span.working)
            )
        # told only when it is clear of its own ±, or a good instrument would be doubted by chance
        error = figures.hydrometer_error(state)
        if abs(error.value) > max(NOTICED_G_PER_L, (error.sd or 0.0) * HALF_WIDTH_SDS):
            yield DisplayedFigure.plain(_("This hydrometer reads too strong by"), error)

    def in_strength(self, name: str, figure: Figure) -> DisplayedFigure:
        return DisplayedFigure(name, self.units.strength(figure.value, figure.sd), figure)

    @property
    def falls_below(self) -> Shown | None:
        """The temperature below which crystals fall out, where it is known and ice does not come first."""
        below_c = None if self.status.is_unsure else self.status.below_c
        return self.units.temperature(below_c.value, below_c.sd) if below_c else None

    @property
    def last_read(self) -> str:
        if self.status.read:
            return _("last read %(days_ago)s") % {
                "days_ago": days_ago(self.status.read.entry.happened_at, self.status.at)
            }
        return _("not read since it was mixed or adopted") if self.status.state else _("never read")

    @cached_property
    def last_topped_up(self) -> str:
        topped_up = self.status.topped_up
        return (
            _("topped up %(days_ago)s") % {"days_ago": days_ago(topped_up.entry.happened_at, self.status.at)}
            if topped_up
            else ""
        )

    @cached_property
    def lid(self) -> str:
        """Since when the lid is where it is, and what that means."""
        if self.status.lid is None or self.status.state is None:
            return ""
        since = near_day(self.status.lid.entry.happened_at, self.status.at)
        if self.status.lid_is_on:
            return _("Lid on since %(since)s: nothing dries off.") % {"since": since}
        drying = figures.drying(self.status.state)
        return _("Lid off since %(since)s: about %(drying)s of water dries off a day.") % {
            "since": since,
            "drying": with_spread(drying.value, drying.sd, "g"),
        }

    @property
    def room(self) -> str:
        """How fast this room dries the tank against an average one, once its levels have told."""
        if self.status.state is None:
            return ""
        factor_sd = self.status.state.drying_factor_sd
        # before that the number is mostly the first guess about rooms in general
        if factor_sd > LEARNED_SD:
            return _("Not learned yet: it takes a few levels, read with the lid off.")
        factor = with_spread(self.status.state.drying_factor, factor_sd, _("times"))
        return _("%(factor)s as fast as expected of such a tank in an average room.") % {"factor": factor}

    @cached_property
    def forgotten(self) -> str:
        """What its last readings look like that nobody wrote down; empty where they fit."""
        found = self.bath.forgotten if self.bath.estimate_is_current else None
        if not found:
            return ""
        after, before = (near_day(datetime.fromisoformat(found[end]), self.status.at) for end in ("after", "before"))
        went_in = _(
            "Was something not written? Its readings fit better if %(litres)s of water went in between "
            "%(after)s and %(before)s."
        )
        taken_out = _(
            "Was something not written? Its readings fit better if %(litres)s of bath was taken out between "
            "%(after)s and %(before)s."
        )
        litres = with_spread(found["litres"], found["sd_l"], "L")
        told = went_in if found["what"] == WATER else taken_out
        return told % {"litres": litres, "after": after, "before": before}

    @cached_property
    def acid(self) -> str:
        """How much there is; empty where there is none, for certain."""
        state = self.status.state
        if state is None or not state.may_hold_acid:
            return ""
        if not state.acid_is_known:
            return _("Nobody has said, and the sums take it that there is none.")
        shown = with_spread(state.acid_g_per_l, state.acid_sd_g_per_l, "g/L")
        return _("%(shown)s of sulfuric acid; crystals fall sooner beside it.") % {"shown": shown}

    @property
    def tonight(self) -> str:
        """What the coldest night of the room does to the bath."""
        status, units = self.status, self.units
        if status.state is None:
            return ""
        coldest = units.temperature(self.bath.coldest_c)
        if status.freezes_tonight:
            return _(
                "At %(coldest)s, the coldest the room gets, ice forms in it, from %(temperature)s down: keep it "
                "somewhere warmer."
            ) % {"coldest": coldest, "temperature": units.temperature(status.ice_c)}
        if crystals := status.crystals_tonight:
            liquid = units.strength(figures.liquid_strength_at(status.state, status.tonight_c).value)
            return _(
                "At %(coldest)s, the coldest the room gets, %(weight)s of crystals fall out. The liquid over them "
                "then stands at %(liquid)s: warm it, stir it and add water."
            ) % {"coldest": coldest, "weight": weight_of_crystals(crystals), "liquid": liquid}
        if status.is_unsure:
            return _(
                "At %(coldest)s, the coldest the room gets, crystals may fall out or not: its strength is too "
                "unsure to say."
            ) % {"coldest": coldest}
        if status.below_c is None:
            return _("At %(coldest)s, the coldest the room gets, nothing falls out.") % {"coldest": coldest}
        falls = units.temperature(status.below_c.value, status.below_c.sd)
        if status.may_drop_crystals_tonight:
            return _(
                "At %(coldest)s, the coldest the room gets, a few crystals may fall out: they do below %(falls)s."
            ) % {"coldest": coldest, "falls": falls}
        return _(
            "At %(coldest)s, the coldest the room gets, everything stays dissolved; crystals would fall out "
            "below %(falls)s."
        ) % {"coldest": coldest, "falls": falls}

    @property
    def water_due(self) -> str:
        """When it will need water, were nothing done to it."""
        status = self.status
        if status.state is None:
            return ""
        if status.state.strength_g_per_l > self.bath.range_high_g_per_l:
            return _("Now: it stands %(reasons)s.") % {"reasons": REASONS["over-strong"]}
        if status.is_low:
            return _("Now: it stands %(reasons)s.") % {"reasons": REASONS["low"]}
        # its rate is nought, and a date worked out from it would be never
        if status.lid_is_on:
            return _("Nothing dries off under the lid, so no day is in sight.")
        if status.due is None:
            return _("Not within two years at this rate of drying.")
        why, span = status.due
        likely, earliest = self.day_ahead(span.days), self.day_ahead(span.earliest)
        if span.latest is None or span.latest > FAR_AHEAD_DAYS:
            return _(
                "About %(likely)s, at the earliest %(earliest)s: it is %(reasons)s then. Levels read narrow this."
            ) % {"likely": likely, "earliest": earliest, "reasons": REASONS[why]}
        return _("About %(likely)s, between %(earliest)s and %(day_ahead)s: it is %(reasons)s then.") % {
            "likely": likely,
            "earliest": earliest,
            "day_ahead": self.day_ahead(span.latest),
            "reasons": REASONS[why],
        }

    def day_ahead(self, days: float) -> str:
        return near_day(self.status.at + timedelta(days=days), self.status.at)

    @cached_property
    def suggestion(self) -> Suggestion | None:
        """The one thing to do about a bath, the most pressing first; None where it can be left alone."""
        status = self.status
        # until it is answered every other figure of this bath may be wrong
        if status.held_out:
            reading = status.held_out[-1]
            read_on = near_day(reading.entry.happened_at, status.at)
            words = _("A reading of %(read_on)s is held out: %(words)s does not fit the book.") % {
                "read_on": read_on,
                "words": reading.words,
            }
            return Suggestion(words, _("Answer it"), reverse("baths:answer", args=[reading.pk]), pressing=True)
        if status.state is None:
            words = _("Nobody has said yet what is in it.")
            return Suggestion(words, _("Say what is in it"), self.url_of_page("bath"), pressing=True)
        if self.forgotten:
            return Suggestion(self.forgotten, _("Look"), self.url_of_page("bath"))
        # acting on a strength that nobody knows would waste crystals or water
        if self.unsure:
            return Suggestion(self.unsure, _("Read a hydrometer"), self.url_of_page("read_hydrometer"))
        return self.suggested_top_up or self.suggested_reading

    @property
    def suggested_top_up(self) -> Suggestion | None:
        """Too strong, too weak, too low, or soon to be: one top-up answers them all."""
        status, high, url = self.status, self.units.strength(self.bath.range_high_g_per_l), self.url_of_page("top_up")
        if status.word in ("crystals", "over-strong"):
            night = f" {self.falls_tonight}" if status.crystals_tonight else ""
            return Suggestion(
                _("Past its %(high)s.%(night)s") % {"high": high, "night": night},
                self.deed,
                url,
                pressing=True,
            )
        if status.word == "weak":
            low = self.units.strength(self.bath.range_low_g_per_l)
            return Suggestion(
                _("Below %(low)s, where its range begins: crystals bring it back.") % {"low": low},
                self.deed,
                url,
            )
        if self.refill:
            return Suggestion(self.refill, self.deed, url)
        if status.freezes_tonight:
            words = _("Ice forms below %(temperature)s: keep it somewhere warmer.") % {
                "temperature": self.units.temperature(status.ice_c)
            }
            return Suggestion(words, _("Read what helps"), f"{self.url_of_page('bath')}#comes")
        if status.crystals_tonight:
            return Suggestion(self.falls_tonight, _("Plan the top-up"), url)
        if status.due and 0 < status.due.span.days <= SOON_DAYS:
            words = _("About %(day_ahead)s it is %(reasons)s.") % {
                "day_ahead": self.day_ahead(status.due.span.days),
                "reasons": REASONS[status.due.why],
            }
            return Suggestion(words, _("Plan the top-up"), url)
        return None

    @property
    def suggested_reading(self) -> Suggestion | None:
        if not self.status.is_long_unread:
            return None
        return Suggestion(_("Nobody has measured it for a month."), _("Read it"), self.url_of_page("read_level"))

    @property
    def deed(self) -> str:
        """What the planner would have done to it, as its button says it."""
        return plan.usual_top_up(self.bath, self.status.state).deed if self.status.state else _("Plan the top-up")

    @property
    def falls_tonight(self) -> str:
        """What a cold night costs it; empty where nothing falls out."""
        crystals = self.status.crystals_tonight
        falls = weight_of_crystals(crystals) if crystals else ""
        return (
            _("%(upper)s%(falls)s of crystals fall out on a cold night.")
            % {"upper": falls[:1].upper(), "falls": falls[1:]}
            if falls
            else ""
        )

    def url_of_page(self, page: str) -> str:
        return reverse(f"baths:{page}", args=[self.bath.pk])

    @cached_property
    def unsure(self) -> str:
        """That its figure is too wide to go by; empty where it is not, or must be acted on all the same."""
        if self.strength is None or not self.status.is_unsure or self.status.level == "act":
            return ""
        shown = self.strength.shown
        return _("Unsure: ±\u00a0%(half_width)s\u00a0%(unit)s reaches past its range. Read a hydrometer.") % {
            "half_width": shown.half_width,
            "unit": shown.unit,
        }

    @cached_property
    def refill(self) -> str:
        """How much is missing and what water alone would make of it; empty while nothing worth a jug is missing."""
        status, bath = self.status, self.bath
        if status.state is None or status.missing_l <= NOTICEABLE_SHARE * bath.fill_l:
            return ""
        missing = with_spread(status.missing_l, status.state.volume_sd_l, "L")
        filled = figures.strength_filled_to(status.state, bath.fill_l).value
        leaves = _("brings it back") if filled <= bath.range_high_g_per_l else _("leaves it over-strong")
        leaves = _("leaves it weak") if filled < bath.range_low_g_per_l else leaves
        then = _("Water alone %(leaves)s, at %(strength)s.") % {
            "leaves": leaves,
            "strength": self.units.strength(filled),
        }
        if not status.topped_up:
            return _("%(missing)s below its mark. %(then)s") % {"missing": missing, "then": then}
        topped_up_on = near_day(status.topped_up.entry.happened_at, status.at)
        return _("%(missing)s below its mark since the top-up of %(topped_up_on)s. %(then)s") % {
            "missing": missing,
            "topped_up_on": topped_up_on,
            "then": then,
        }

    @property
    def own_sentence(self) -> str:
        """What is said of it on its own page, where lid, night and held-out readings have their own places."""
        if self.unsure:
            return f"{self.unsure} {self.refill}".strip()
        own = self.own_suggestion
        return self.refill or (own.sentence if own and not own.pressing else "")

    @property
    def own_suggestion(self) -> Suggestion | None:
        return None if self.status.held_out or self.status.state is None else self.suggestion

    @cached_property
    def held_out(self) -> list[tuple[BathEvent, DisplayedReading]]:
        """Readings that wait for an answer, each beside what the book says."""
        compared = ((reading, readings.held_out(reading, self.units)) for reading in self.status.held_out)
        return [(reading, comparison) for reading, comparison in compared if comparison]


def describe_baths(baths: Sequence[Bath] | None, units: Units) -> list[BathDescription]:
    """Baths as they are now; None: all of them."""
    return [BathDescription(status, units) for status in status_of_baths(baths)]


def weight_of_crystals(crystals: Figure) -> str:
    """A weight that may be nothing at all is told by its upper end."""
    half_width = crystals.half_width or 0.0
    if crystals.value < half_width:
        return _("up to %(grams)s") % {"grams": quantity(crystals.value + half_width, "g", 2)}
    return _("about %(weight)s") % {"weight": with_spread(crystals.value, crystals.sd, "g")}
