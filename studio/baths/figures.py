"""The figures a bath's page and papers show, each with how it was worked out."""

from collections.abc import Iterator
from dataclasses import dataclass

from chemistry import bath as bath_model
from chemistry.bath import figures
from chemistry.working import HALF_WIDTH_SDS, Figure, Working
from studio.baths.descriptions import measured
from studio.baths.standing import Standing
from studio.pages.quantities import Shown, Units

NOTICED_G_PER_L = 2.0  # a hydrometer off by less is not worth a line: common practice, no source


@dataclass(frozen=True)
class Told:
    """A figure as the studio reads it, and its working, which is in the unit of the sum."""

    name: str
    shown: Shown
    figure: Figure

    @property
    def summary(self) -> str:
        """The name and the figure; once more in the unit of the sum where the studio reads another."""
        also = f" ({self.of_the_sum})" if self.of_the_sum else ""
        return f"{self.name}: {self.shown}{also}"

    @property
    def of_the_sum(self) -> Shown | None:
        """The figure in the unit of the sum, where the studio reads another."""
        figure = measured(self.figure.value, self.figure.sd, self.figure.unit)
        return None if figure.unit == self.shown.unit else figure

    @property
    def working(self) -> Working:
        return self.figure.working


def of(standing: Standing, units: Units) -> list[Told]:
    """Everything that is known of a bath now; nothing while it is unread."""
    return list(_told(standing, units)) if standing.state else []


def strength(standing: Standing, units: Units) -> Told:
    assert standing.state is not None
    figure = bath_model.strength(standing.state)
    return Told("Strength", units.strength(figure.value, figure.sd), figure)


def volume(standing: Standing) -> Told:
    assert standing.state is not None
    return _plain("Volume", bath_model.volume(standing.state))


def copper(standing: Standing) -> Told:
    assert standing.state is not None
    return _plain("Copper in it", figures.copper(standing.state))


def _told(standing: Standing, units: Units) -> Iterator[Told]:
    state = standing.state
    assert state is not None
    yield strength(standing, units)
    if units.strength_unit != "g/L":
        degrees = figures.baume(state)
        yield Told("On a Baumé hydrometer", units.strength(state.strength_g_per_l, state.strength_sd_g_per_l), degrees)
    yield volume(standing)
    yield copper(standing)
    if standing.below_c:
        below_c = standing.below_c
        yield Told("Crystals fall out below", units.temperature(below_c.value, below_c.sd), below_c)
    if standing.crystals_tonight:
        yield _plain(f"Crystals at {units.temperature(standing.tonight_c)}", standing.crystals_tonight)
        liquid = figures.liquid_strength_at(state, standing.tonight_c)
        yield Told("Liquid over them", units.strength(liquid.value, liquid.sd), liquid)
    if standing.missing_l:
        filled = figures.strength_filled_to(state, standing.bath.fill_l)
        yield Told("Strength once water fills it to the mark", units.strength(filled.value, filled.sd), filled)
    if not standing.lid_is_on:
        yield _plain("Drying", figures.drying(state))
    if standing.due and standing.due.span.days:
        span = standing.due.span
        days = Figure(value=span.days, unit="days", working=span.working)
        yield _plain("Until it needs water", days)
    error = figures.hydrometer_error(state)
    if abs(error.value) > max(NOTICED_G_PER_L, (error.sd or 0.0) * HALF_WIDTH_SDS):
        yield _plain("This hydrometer reads too strong by", error)


def _plain(name: str, figure: Figure) -> Told:
    return Told(name, measured(figure.value, figure.sd, figure.unit), figure)
