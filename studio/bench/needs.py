"""What needs a hand, each in a plain sentence with the button that answers it; baths say it on their own lines."""

from collections.abc import Callable, Iterable, Iterator
from functools import cached_property
from itertools import chain

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.asked_often import asked_often
from inventory.dates import long_day
from inventory.models import Container, Entry, Material
from studio.baths.descriptions import BathDescription, describe_baths
from studio.baths.status import BathStatus
from studio.bites import descriptions as bites
from studio.bites.descriptions import RunningBite
from studio.bites.models import Bite
from studio.cathodes import descriptions as cathodes
from studio.hazards.models import SupplierClasses
from studio.orders import stock
from studio.orders.descriptions import already
from studio.pages.action_items import ActionItem
from studio.people import inductions
from studio.safety import descriptions as labels
from studio.waste import descriptions as waste
from studio.waste import incidents, record, threshold_warnings
from studio.waste.content import Content, contents_here
from studio.workshop.models import Workshop

MOST_OF_A_KIND = 6  # the shelf's own list has the rest


class Now:
    """The studio at this moment; its baths, drums and sheets are looked at once, whoever asks."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop, self.at = workshop, timezone.now()

    @cached_property
    def baths(self) -> list[BathDescription]:
        return describe_baths(None, self.workshop.units)

    @property
    def statuses(self) -> list[BathStatus]:
        return [described.status for described in self.baths]

    @cached_property
    def said(self) -> dict[int, SupplierClasses]:
        """What counts for each material by its supplier's sheet."""
        return SupplierClasses.latest_until()

    @cached_property
    def drums(self) -> list[Content]:
        return contents_here(self.at)

    @property
    def running(self) -> list[RunningBite]:
        """Told anew to every piece that asks, so that each is kept until the next time is up and no longer."""
        return [bites.told(bite, self.at) for bite in self.bites_running]

    @cached_property
    def bites_running(self) -> list[Bite]:
        return running_bites()


@asked_often
def running_bites() -> QuerySet[Bite]:
    running = Bite.objects.running().select_related("bath", "plate", "entry__done_by")
    return running.order_by("happened_at", "pk")


def about_the_shelf(now: Now) -> Iterator[ActionItem]:
    past = Container.objects.on_the_shelf().filter(use_by_on__lt=timezone.localdate(now.at))
    for jar in past.select_related("material", "place").order_by("use_by_on", "pk")[:MOST_OF_A_KIND]:
        assert jar.use_by_on  # which is why it was asked for
        words = _("%(material)s %(code)s: %(shown_on_hand)s, past %(use_by_on)s.") % {
            "material": jar.material,
            "code": jar.code,
            "shown_on_hand": jar.shown_on_hand(),
            "use_by_on": long_day(jar.use_by_on),
        }
        yield ActionItem(
            "act", _("past use-by"), words, _("Decide on %(code)s") % {"code": jar.code}, jar.get_absolute_url()
        )
    materials = Material.objects.standing_here().filter(pk__in=Material.objects.to_reorder().values("pk"))
    low = stock.stocks_of(materials.order_by("category", "name"), now.at)
    for each in low[:MOST_OF_A_KIND]:
        words = _("%(material)s: %(shown_on_hand)s left; you buy at %(shown_level)s") % {
            "material": each.material,
            "shown_on_hand": each.shown_on_hand,
            "shown_level": each.shown_level,
        }
        if each.awaited:
            # nobody is sent to buy what somebody has ordered
            came = reverse("orders:receive", args=[each.awaited[-1].pk])
            yield ActionItem("look", _("low"), f"{words}; {already(each.awaited[-1])}.", _("It came"), came)
            continue
        buys = each.buys(stock.USUAL_MONTHS)
        label = _("Order %(show)s") % {"show": each.material.show(buys[0].choice.amount)} if buys else _("Order it")
        yield ActionItem("look", _("low"), f"{words}.", label, reverse("orders:material", args=[each.material.pk]))


def about_people(now: Now) -> Iterable[ActionItem]:
    if not now.workshop.asks_for_induction:
        return ()
    return inductions.action_items(Entry.objects.filter(bites__isnull=False), timezone.localdate(now.at))


def about_the_room(now: Now) -> Iterable[ActionItem]:
    return labels.room_action_items(now.workshop, baths=now.statuses, drums=now.drums, said=now.said)


def about_labels(now: Now) -> Iterable[ActionItem]:
    return labels.action_items(now.statuses, now.workshop, now.said)


EVERY_PART: tuple[Callable[[Now], Iterable[ActionItem]], ...] = (
    lambda now: waste.action_items(now.drums, now.at),
    about_the_room,
    about_the_shelf,
    lambda now: incidents.action_items(),
    lambda now: cathodes.action_items(now.workshop.units),
    lambda now: threshold_warnings.action_items(now.drums, now.workshop, now.at),
    lambda now: record.action_items(),
    about_people,
    about_labels,
)


def action_items(now: Now) -> list[ActionItem]:
    """What every part of the studio asks for; what must be acted on comes first. A bath asks on its own line."""
    # a stable sort: within a level each part keeps its own order
    return sorted(chain.from_iterable(part(now) for part in EVERY_PART), key=lambda item: item.level != "act")
