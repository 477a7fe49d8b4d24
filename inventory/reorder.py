"""
How fast a material goes, how low it may stand before more is ordered, and which pack to buy.

Plain sums: amounts are numbers in one unit of the caller's choice, months are whole months of the book, oldest first.
The use of a month is all that left in it: what was used, and what was found missing when somebody counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, inf, sqrt
from statistics import NormalDist, fmean, stdev

from chemistry.measured import digits
from chemistry.sentences import Sentence
from chemistry.working import Figure, Input, Working

MOST_MONTHS = 24
FEWEST_MONTHS = 3  # with fewer nobody can say how uneven the use is
HALF_LIFE_MONTHS = 12.0
DAYS_PER_MONTH = 30.4375  # a twelfth of 365.25 days
COVERED = 0.95  # deliveries of a hundred that come before the jar is empty
FEWEST_DELIVERIES = 3
WORST_TO_USUAL = 3.0  # of a delivery's days, where only the usual ones are known: common practice, no source
UNSAID = (7.0, 7.0 * WORST_TO_USUAL)  # days of a supplier of whom nothing is known: common practice, no source
MOST_OF_A_PACK = 6  # rather a larger pack than an armful of small ones: common practice, no source


@dataclass(frozen=True, kw_only=True)
class UseRate:
    """How much of a material goes in a month, and how uneven that is."""

    per_month: Figure
    month_sd: float
    months: float  # how many months of equal weight the rate rests on
    months_of_use: float  # of them, those in which something was used at all

    @property
    def degrees(self) -> float:
        """Of freedom: a month without a use says nothing of how much goes when some goes."""
        return min(self.months - 1, max(self.months_of_use, FEWEST_MONTHS - 1))

    @property
    def crossing(self) -> float:
        """How far below a level the use that crosses it goes on average: half of one, larger ones oftener."""
        return self.month_sd**2 / (2 * self.per_month.value) if self.per_month.value else 0.0

    @property
    def per_day(self) -> float:
        return self.per_month.value / DAYS_PER_MONTH

    @property
    def per_day_sd(self) -> float:
        """How far the rate itself can be trusted; the days differ far more among themselves."""
        return (self.per_month.sd or 0.0) / DAYS_PER_MONTH


def use_rate(months: Sequence[float], *, unit: str) -> UseRate | None:
    """
    Use per month from whole months, each counting half as much as the one twelve months after it.

    A mean with weights, because workshops use in lumps. Simple smoothing and the Syntetos-Boylan form of Croston's
    method both hang on how they begin: within the two years at most that are read, a big first mix or a few uses far
    apart carry them away. In `tests/inventory/test_reorder.py` the mean comes nearer to the true use than either where
    use is steady, rare or in lumps, and it forgets a use that stopped almost as soon as smoothing does (which Croston's
    method never does). None while there are fewer than three months.
    """
    months = months[-MOST_MONTHS:]
    if len(months) < FEWEST_MONTHS:
        return None
    weights = [0.5 ** (ago / HALF_LIFE_MONTHS) for ago in reversed(range(len(months)))]
    weight, weight_squared = sum(weights), sum(each**2 for each in weights)
    weighted_use = sum(each * used for each, used in zip(weights, months, strict=True))
    mean = weighted_use / weight
    spread = sum(each * (used - mean) ** 2 for each, used in zip(weights, months, strict=True))
    # divided by less than the weight, because the mean was taken from the same months
    month_sd = sqrt(spread / (weight - weight_squared / weight))
    working = Working(
        formula=Sentence("use per month = max(weighted use, 0) / weight"),
        inputs=(
            Input(name=Sentence("weighted use"), value=weighted_use, unit=unit),
            Input(name="weight", value=weight, unit="months"),
        ),
        source=Sentence(
            "the book's last whole month, used and found missing",
            "the book's last %(count)s whole months, used and found missing; each counts half as "
            "much as the one twelve months later",
        )
        % {"count": len(months)},
    )
    rate = Figure(
        value=max(mean, 0.0),
        unit=Sentence("%(unit)s a month") % {"unit": unit},
        working=working,
        sd=month_sd * sqrt(weight_squared) / weight,
    )
    return UseRate(
        per_month=rate,
        month_sd=month_sd,
        months=weight**2 / weight_squared,
        months_of_use=sum(used > 0 for used in months),
    )


@dataclass(frozen=True, kw_only=True)
class LeadTime:
    """Days from an order to its delivery, and from what they are known."""

    days: float
    sd_days: float
    source: str


def lead_time(delivered_after_days: Sequence[float], *, said: tuple[float, float] | None = None) -> LeadTime:
    """
    From the supplier's own deliveries, three or more; else from what is said.

    said: days as a rule and at the worst, which 95 in 100 deliveries keep to.
    """
    if len(delivered_after_days) >= FEWEST_DELIVERIES:
        return LeadTime(
            days=fmean(delivered_after_days),
            sd_days=stdev(delivered_after_days),
            source=Sentence("the last delivery", "the last %(count)s deliveries")
            % {"count": len(delivered_after_days)},
        )
    usual, worst = said or UNSAID
    words = Sentence(
        "%(usual)s day as a rule, %(worst)s at the worst", "%(usual)s days as a rule, %(worst)s at the worst"
    )
    words %= {"usual": digits(usual), "worst": digits(worst), "count": usual}
    return LeadTime(
        days=usual,
        sd_days=(worst - usual) / NormalDist().inv_cdf(COVERED),
        source=words
        if said
        else Sentence("%(words)s: common practice, until the supplier's own are written down") % {"words": words},
    )


@dataclass(frozen=True, kw_only=True)
class ReorderLevel:
    """The reorder level that covers 95 in 100 deliveries, and how uneven the use is until one comes."""

    figure: Figure
    unevenness: Figure


def reorder_level(rate: UseRate, lead: LeadTime, *, unit: str) -> ReorderLevel | None:
    """
    What must still be there when more is ordered, so that it lasts until the delivery in about 95 of 100 cases.

    More is ordered when a use has taken it below the level, so what that use goes below it counts as well (the mean
    excess of a renewal process, Cox 1962, from memory). DEVELOPERS.md tells how often the level was too low.

    The use until then is taken as gamma distributed, because it cannot fall below nought and comes in lumps
    (Burgin 1975, The gamma distribution and inventory control); its variance is that of a sum over a time which varies
    itself (Silver, Pyke and Thomas, Inventory and Production Management, chapter 6), and the doubt about the rate is
    added. The quantile is Wilson and Hilferty's (1931), with Student's t in place of the normal for few months. It
    sinks where use is rare; the normal quantile, which stays above a usual lump, holds it up there.
    None where nothing is used.
    """
    # nothing used or no time to wait asks for no level at all
    use, days = rate.per_day, lead.days
    if use <= 0 or days <= 0:
        return None
    unevenness = unevenness_of_use(rate, lead, unit)
    cover = students_t(COVERED, degrees=rate.degrees)
    value = (use * days + rate.crossing) * share_covered(cover, unevenness.value)
    working = Working(
        formula="level = (use × days + crossing) × max((1 - unevenness / 9 + cover × sqrt(unevenness) / 3)**3, "
        "1 + cover × sqrt(unevenness))",
        inputs=(
            Input(name="use", value=use, unit=Sentence("%(unit)s a day") % {"unit": unit}),
            Input(name="days", value=days, unit=Sentence("until a delivery; %(source)s") % {"source": lead.source}),
            Input(
                name="crossing",
                value=rate.crossing,
                unit=Sentence("%(unit)s below the level when it is seen to be reached") % {"unit": unit},
            ),
            Input(name="unevenness", value=unevenness.value, unit=Sentence("see below")),
            Input(
                name="cover",
                value=cover,
                unit=Sentence("for %(COVERED)s in 100 deliveries") % {"COVERED": digits(round(COVERED * 100))},
            ),
        ),
        source=Sentence(
            "Wilson and Hilferty (1931) for the use until a delivery as gamma distributed (Burgin "
            "1975); where use is rare, the normal quantile"
        ),
    )
    return ReorderLevel(figure=Figure(value=value, unit=unit, working=working), unevenness=unevenness)


def share_covered(cover: float, unevenness: float) -> float:
    """What covers so many sds of an uneven use, as a share of its mean; never less than nought."""
    root = cover * sqrt(unevenness)
    return max(max(1 - unevenness / 9 + root / 3, 0.0) ** 3, 1 + root)


def risk_at(level: float, rate: UseRate, lead: LeadTime) -> float | None:
    """
    Of deliveries after an order at this level, the share that comes when all is used up: `reorder_level` turned round.

    None where nothing is used or nothing is waited for.
    """
    if rate.per_day <= 0 or lead.days <= 0:
        return None
    unevenness = unevenness_of_use(rate, lead, "").value
    share = level / (rate.per_day * lead.days + rate.crossing)
    # share and quantile both grow with the probability: halved until no page could show the rest
    low, high = 0.001, 0.999
    while high - low > 1e-4:
        middle = (low + high) / 2
        enough = share_covered(students_t(middle, degrees=rate.degrees), unevenness) > share
        low, high = (low, middle) if enough else (middle, high)
    return 1 - low


def unevenness_of_use(rate: UseRate, lead: LeadTime, unit: str) -> Figure:
    """The variance of the use until a delivery over its square."""
    use, days = rate.per_day, lead.days
    spread = rate.month_sd / sqrt(DAYS_PER_MONTH)
    variance = days * spread**2 + (use * lead.sd_days) ** 2 + (days * rate.per_day_sd) ** 2 + rate.crossing**2 / 3
    working = Working(
        formula="unevenness = (days × spread**2 + (use × delay)**2 + (days × doubt)**2 + crossing**2 / 3) "
        "/ (use × days + crossing)**2",
        inputs=(
            Input(name="days", value=days, unit=Sentence("until a delivery")),
            Input(name="spread", value=spread, unit=Sentence("%(unit)s of one day's use") % {"unit": unit}),
            Input(name="use", value=use, unit=Sentence("%(unit)s a day") % {"unit": unit}),
            Input(name="delay", value=lead.sd_days, unit=Sentence("days, spread of deliveries")),
            Input(
                name="doubt",
                value=rate.per_day_sd,
                unit=Sentence("%(unit)s a day, about the rate itself") % {"unit": unit},
            ),
            Input(
                name="crossing",
                value=rate.crossing,
                unit=Sentence("%(unit)s below the level, from nought to twice as much") % {"unit": unit},
            ),
        ),
        source=Sentence(
            "the variance of a sum over a time that varies: Silver, Pyke and Thomas, Inventory and "
            "Production Management, chapter 6"
        ),
    )
    return Figure(value=variance / (use * days + rate.crossing) ** 2, unit="", working=working)


def students_t(probability: float, *, degrees: float) -> float:
    """
    A quantile of Student's t from the normal one, for two degrees of freedom or more.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5; within 1.5 % of tables at 0.95.
    """
    z = NormalDist().inv_cdf(probability)
    return (
        z
        + (z**3 + z) / (4 * degrees)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * degrees**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * degrees**3)
    )


@dataclass(frozen=True, kw_only=True)
class PackChoice:
    packs: int
    pack_amount: int
    pack_price_cents: int | None  # None: nobody has written it down
    needed: float

    @property
    def amount(self) -> int:
        return self.packs * self.pack_amount

    @property
    def price_cents(self) -> int | None:
        return None if self.pack_price_cents is None else self.packs * self.pack_price_cents

    @property
    def rank(self) -> tuple[bool, float, float]:
        """
        The nearest to what is needed comes first, and among equals the cheapest.

        Not the cheapest by weight: what is bought beyond the need is a hazard in the cupboard.
        """
        return (
            self.packs > MOST_OF_A_PACK,
            abs(self.amount - self.needed),
            inf if self.price_cents is None else self.price_cents,
        )


def nearest(needed: float, *, least: float, pack_amount: int, pack_price_cents: int | None) -> PackChoice:
    """
    As many packs of one kind as come nearest to what is needed, one at least.

    least: more than this must come, or it would stand at its level again at once.
    """
    fewer = floor(needed / pack_amount)
    is_nearer = needed - fewer * pack_amount < (fewer + 1) * pack_amount - needed
    packs = fewer if is_nearer and fewer * pack_amount > least else ceil(needed / pack_amount)
    # marked low it is bought whatever the sums say
    return PackChoice(packs=max(1, packs), pack_amount=pack_amount, pack_price_cents=pack_price_cents, needed=needed)
