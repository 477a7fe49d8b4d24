"""What the current says: what to expect of it in a bath, what is unlike it, and where it may have gone astray."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import fmean, median, stdev

from chemistry.bath.events import STANDARD_C
from chemistry.copper import electrolysis
from chemistry.copper.biting import Reading
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.solution import sulfate
from chemistry.working import Figure, Input, Working, work_out

FEWEST_BITES = 3  # fewer say nothing of the spread
LEAST_LOG_SD = 0.1  # a few bites may agree by chance: own estimate
FAR_FROM_USUAL_SDS = 3.0
SDS_OF_DEVIATION = 1.4826  # of a normal distribution, in its median absolute deviations
LEAST_FAR_SHARE = 1.8  # and yet nothing within this factor is far from usual: own estimate

CLIMB_SHARE, FALL_SHARE = 1.25, 0.8  # against the first reading; own estimates
NEAR_SATURATION_SHARE = 0.9
WEAKEST_G_PER_L, STRONGEST_G_PER_L = 10.0, 320.0  # where the conductivity's fit holds, nearly enough
CONDUCTIVITY_SOURCE = Sentence("conductivity fitted to CRC Handbook of Chemistry and Physics, 91st ed., 2010")
OVER_ALL = Sentence("A/dm² for each mS/cm, over 1 bite", "A/dm² for each mS/cm, over %(count)s bites")
LESS_LEFT_OUT = Sentence("%(over)s, 1 far off left out", "%(over)s, %(count)s far off left out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """An earlier bite: its current, on so much exposed copper, in a bath this strong."""

    current_a: float
    exposed_cm2: float
    strength_g_per_l: float

    @property
    def a_per_dm2(self) -> float:
        return electrolysis.current_density_a_per_dm2(current_a=self.current_a, area_cm2=self.exposed_cm2)


def conductivity_ms_per_cm(strength_g_per_l: float) -> float:
    """
    Return the conductivity at 20 °C of a bath this strong; a dried-out one counts as the strongest of the
    tables. [mS/cm]

    Source: `sulfate.conductivity_ms_per_cm`.

    >>> round(conductivity_ms_per_cm(250), 1)
    40.1
    """
    # the fit ends there, and a dried-out bath still carries current
    held = min(max(strength_g_per_l, WEAKEST_G_PER_L), STRONGEST_G_PER_L)
    return sulfate.conductivity_ms_per_cm(sulfate.mass_fraction_from_strength(held, STANDARD_C), STANDARD_C)


def usual_density(past: Sequence[Past], *, strength_g_per_l: float) -> Figure | None:
    """
    Return the current density to expect of the next bite, learned from earlier ones. [A/dm²]

    Geometric mean of what each square decimetre took, in step with the conductivity of the bath. A bite that is far
    from most others teaches nothing, whoever kept it: it may be true and yet no rule. None until three are alike.

    Source: geometric mean of earlier bites; conductivity as in `conductivity_ms_per_cm`.

    >>> bites = [Past(current_a=a, exposed_cm2=50, strength_g_per_l=240) for a in (1.1, 1.2, 1.4)]
    >>> figure = usual_density(bites, strength_g_per_l=250)
    >>> print(f"{figure.value:.2f} ± {figure.half_width:.2f} {figure.unit}")
    2.52 ± 0.70 A/dm²
    """
    # currents spread by factors: the logarithm makes twice and half as unlikely as each other
    logs = near_the_middle([log(each.a_per_dm2 / conductivity_ms_per_cm(each.strength_g_per_l)) for each in past])
    if len(logs) < FEWEST_BITES:
        return None
    spread = max(stdev(logs), LEAST_LOG_SD) * sqrt(1 + 1 / len(logs))
    per_conductivity = exp(fmean(logs))
    conductivity = conductivity_ms_per_cm(strength_g_per_l)
    left_out, over = len(past) - len(logs), OVER_ALL % {"count": len(logs)}
    working = Working(
        formula="density = usual × conductivity",
        inputs=(
            Input(
                name="usual",
                value=per_conductivity,
                unit=LESS_LEFT_OUT % {"over": over, "count": left_out} if left_out else over,
                sd=spread * per_conductivity,
            ),
            Input(name="conductivity", value=conductivity, unit="mS/cm at this strength and 20 °C"),
        ),
        source=Sentence("geometric mean of earlier bites; %(conductivity)s") % {"conductivity": CONDUCTIVITY_SOURCE},
    )
    value = per_conductivity * conductivity
    return Figure(value=value, unit="A/dm²", working=working, sd=spread * value)


def near_the_middle(logs: Sequence[float]) -> list[float]:
    """
    Return the logarithms that are not far from the median, by its own spread.

    Source: median absolute deviation, 1.4826 of which are an sd of the normal distribution.

    >>> near_the_middle([0.0, 0.1, -0.1, 2.0])
    [0.0, 0.1, -0.1]
    """
    if not logs:
        return []
    middle = median(logs)
    spread = max(SDS_OF_DEVIATION * median(abs(each - middle) for each in logs), LEAST_LOG_SD)
    return [each for each in logs if abs(each - middle) <= far(spread)]


def far(log_sd: float) -> float:
    """
    From where on a current is unlike the usual one, in logarithms. [-]

    Source: three times the spread, and a factor of 1.8 at the least: own estimate.

    >>> round(far(0.0), 2), far(1.0)
    (0.59, 3.0)
    """
    # three alike by chance would make everything else far
    return max(FAR_FROM_USUAL_SDS * log_sd, log(LEAST_FAR_SHARE))


def is_far_from_usual(a_per_dm2: float, usual: Figure) -> bool:
    """
    Whether a current density is unlike what this bath has taken before, up or down.

    >>> is_far_from_usual(9, cathode_share(current_a=4, cathode_cm2=120, strength_g_per_l=240))
    True
    """
    return a_per_dm2 <= 0 or abs(log(a_per_dm2 / usual.value)) > far(usual.sd / usual.value)


def cathode_share(*, current_a: float, cathode_cm2: float, strength_g_per_l: float) -> Figure:
    """
    Return how near the cathode is to the most that a still bath can bring it: 1 is the limit. [-]

    Source: free convection at a vertical cathode, from memory.

    >>> figure = cathode_share(current_a=4, cathode_cm2=120, strength_g_per_l=240)
    >>> round(figure.value, 2)
    0.36
    """
    limit = work_out(electrolysis.cathode_limit_a_per_dm2, strength_g_per_l=strength_g_per_l)
    density = electrolysis.current_density_a_per_dm2(current_a=current_a, area_cm2=cathode_cm2)
    working = Working(
        formula="share = 100 × current / (facing area × limit)",
        inputs=(
            Input(name="current", value=current_a, unit="A"),
            Input(name="facing area", value=cathode_cm2, unit="cm² of cathode, immersed and facing the plate"),
            Input(name="limit", value=limit.value, unit="A/dm²"),
        ),
        source=limit.working.source,
        spread="±40 %, as the limit",
    )
    return Figure(value=density / limit.value, unit="of the limit", working=working)


def is_powdery(share: Figure) -> bool:
    """
    Whether a deposit may come out powdery: a third of the limit; common practice, no source.

    >>> is_powdery(cathode_share(current_a=4, cathode_cm2=120, strength_g_per_l=240))
    True
    """
    return share.value > electrolysis.ADVISED_SHARE_OF_LIMIT


def most_current_a(*, volts: float, gap_cm: float, plate_cm2: float, strength_g_per_l: float) -> Figure:
    """
    Return the most current that a voltage can drive to the whole face of a plate. [A]

    Ohm's law over the bath alone: what is read above it takes a way that is not between the two sheets.

    Source: Ohm’s law.

    >>> round(most_current_a(volts=0.9, gap_cm=4, plate_cm2=310, strength_g_per_l=250).value, 1)
    2.8
    """
    conductivity = conductivity_ms_per_cm(strength_g_per_l)
    ohm = electrolysis.cell_resistance_ohm(conductivity_ms_per_cm=conductivity, gap_cm=gap_cm, area_cm2=plate_cm2)
    working = Working(
        formula="most = volts × conductivity / 1000 × area / gap",
        inputs=(
            Input(name="volts", value=volts, unit="V, as read while running"),
            Input(name="conductivity", value=conductivity, unit="mS/cm at this strength and 20 °C"),
            Input(name="area", value=plate_cm2, unit="cm², the whole face of the plate"),
            Input(name="gap", value=gap_cm, unit="cm"),
        ),
        source=Sentence("Ohm’s law; %(conductivity)s") % {"conductivity": CONDUCTIVITY_SOURCE},
        spread="±10 %, as the conductivity",
    )
    return Figure(value=volts / ohm, unit="A", working=working)


def climbed(readings: Sequence[Reading]) -> bool:
    """
    Whether the current rose while it ran: a ground that lifts, or a back laid bare.

    >>> climbed([(0, 1.0), (30, 2.0)])
    True
    """
    return len(readings) > 1 and readings[-1][1] > CLIMB_SHARE * readings[0][1]


def fell(readings: Sequence[Reading]) -> bool:
    """
    Whether the current fell by itself while it ran.

    >>> fell([(0, 2.0), (30, 0.5)])
    True
    """
    return len(readings) > 1 and readings[-1][1] < FALL_SHARE * max(amps for _, amps in readings)


def is_near_saturation(strength_g_per_l: float, temperature_c: float) -> bool:
    """
    Whether a bath is so strong at this temperature that a plate giving off copper may salt over.

    >>> is_near_saturation(330, 20), is_near_saturation(200, 20)
    (True, False)
    """
    check_range("temperature", temperature_c, sulfate.COLDEST_C, sulfate.WARMEST_C, "°C")
    saturated = sulfate.strength_g_per_l(sulfate.solubility_mass_fraction(temperature_c), STANDARD_C)
    return strength_g_per_l > NEAR_SATURATION_SHARE * saturated
