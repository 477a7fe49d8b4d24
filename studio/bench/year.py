"""Twelve months at one look: the bites, the copper and the water of each bath, all of a kind on one scale."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import partial
from typing import NamedTuple

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.measured import Measured, total
from chemistry.quantity import read_in
from inventory.dates import months_after
from studio.baths.models import Bath, BathEvent
from studio.bites import calibration
from studio.cathodes import balance, deposition
from studio.cathodes.deposition import BiteCharge
from studio.drawing import charts, scales
from studio.drawing.charts import Chart, Column

MONTHS = 12
MOST_BATHS = 3  # side by side on a sheet of paper
LETTERS = {1: 19, 2: 19, 3: 22}  # of the drawings on paper, by how many stand beside each other: 8 points or more
OTHERS = 0  # stands for all baths that have no drawing of their own


class Amount(NamedTuple):
    """What a bath had of something in a month."""

    bath_id: int
    month: date
    amount: Measured


class Measure(NamedTuple):
    """One row of drawings: what it counts, how much in all, and a drawing for each bath."""

    title: str
    total: str
    charts: Sequence[Chart]

    @property
    def heading(self) -> str:
        """Of its columns in a table: with the unit, where that says more than the title."""
        unit = self.charts[0].head[-1]
        return self.title if is_said(self.title, unit) else f"{self.title}, {unit}"


def is_said(title: str, unit: str) -> bool:
    """Whether the title is the unit already, such as bites."""
    return title.casefold() == unit.casefold()


class Year(NamedTuple):
    """The months up to the one that is running, and what is drawn of them."""

    months: Sequence[date]
    measures: Sequence[Measure]

    @property
    def lines(self) -> list[tuple[str, list[str]]]:
        """Each month with the figures of all drawings, in their order."""
        drawn = [chart.rows for row in self.measures for chart in row.charts]
        return [(rows[0][0], [row[1] for row in rows]) for rows in zip(*drawn, strict=True)]


def year_until(now: datetime) -> Year:
    """In four queries; nothing is drawn where no bath was used."""
    this = timezone.localdate(now).replace(day=1)
    months = [months_after(this, number - MONTHS + 1) for number in range(MONTHS)]
    since = timezone.make_aware(datetime(months[0].year, months[0].month, 1))
    baths = dict(Bath.objects.values_list("pk", "name"))
    grouped: dict[tuple[int, date], list[BiteCharge]] = defaultdict(list)
    for bite in deposition.bites_in(baths, since=since, until=now):
        grouped[bite.bath_id, month_of(bite.moment.at)].append(bite)
    added = BathEvent.objects.standing().filter(kind=BathEvent.Kind.WATER_ADDED, happened_at__range=(since, now))
    water = [
        Amount(bath_id, month_of(at), Measured(litres, unit="L"))
        for bath_id, at, litres in added.values_list("bath_id", "happened_at", "values__litres")
    ]
    bites = [Amount(*key, Measured(float(len(each)), unit="")) for key, each in grouped.items()]
    efficiency = calibration.anode_efficiency()
    copper = [Amount(*key, balance.copper_moved(each, efficiency)) for key, each in grouped.items()]
    names = named_baths(baths, [*bites, *water])
    if not names:
        return Year(months, [])
    return Year(
        months,
        [
            measure(_("Bites"), bites, months, names, unit=_("bites"), decimals=0),
            measure(_("Copper off the plates"), copper, months, names, unit="g", decimals=0),
            measure(_("Water filled up"), water, months, names, unit="L", decimals=1),
        ],
    )


def month_of(moment: datetime) -> date:
    """By the studio's own clock, as its people remember it."""
    return timezone.localdate(moment).replace(day=1)


def named_baths(baths: Mapping[int, str], used: Sequence[Amount]) -> dict[int, str]:
    """Those used in most months, by name; the rest of many is one more of them."""
    counted = Counter(bath_id for bath_id, _month in {each[:2] for each in used})
    ranked = sorted(counted, key=lambda bath_id: (-counted[bath_id], bath_id))
    if len(ranked) <= MOST_BATHS:
        return {bath_id: baths[bath_id] for bath_id in sorted(ranked)}
    own = sorted(ranked[: MOST_BATHS - 1])
    rest = len(ranked) - len(own)
    others = ngettext("%(number)s other bath", "%(number)s other baths", rest) % {"number": rest}
    return {bath_id: baths[bath_id] for bath_id in own} | {OTHERS: others}


def measure(
    title: str, amounts: Sequence[Amount], months: Sequence[date], names: Mapping[int, str], *, unit: str, decimals: int
) -> Measure:
    kind = amounts[0].amount.unit if amounts else ""
    found: dict[tuple[int, date], list[Measured]] = defaultdict(list)
    for bath_id, month, amount in amounts:
        found[bath_id if bath_id in names else OTHERS, month].append(amount)
    drawn = {
        name: [
            Column(scales.month(month, with_year=month == months[0]), each.low, each.high)
            for month in months
            for each in [total(found[bath_id, month], kind)]
        ]
        for bath_id, name in names.items()
    }
    # one unit for all of them, or they could not be compared
    unit, size = read_in(unit, max(each.high for columns in drawn.values() for each in columns))
    drawn = {
        name: [Column(each.name, each.low / size, each.high / size) for each in columns]
        for name, columns in drawn.items()
    }
    most = max(each.high for columns in drawn.values() for each in columns)
    decimals = decimals if size == 1 else 1
    draw = partial(charts.columns, unit=unit, decimals=decimals, most=most, letters=LETTERS[len(names)])
    whole = total((each.amount for each in amounts), kind)
    in_all = charts.range_of(whole.low / size, whole.high / size, decimals)
    return Measure(
        title,
        in_all if is_said(title, unit) else f"{in_all} {unit}",
        [draw(columns, title=name) for name, columns in drawn.items()],
    )
