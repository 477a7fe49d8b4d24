"""The shelf as a list: a row for each container that still holds something, and one for what there is none of."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.db.models import Exists, F, FilteredRelation, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.asked_often import asked_often
from inventory.models import Container, Material, Movement

MOST = 8
LATELY = 20


def shelf_rows() -> QuerySet[Material, Mapping[str, Any]]:
    return built_rows().all()


@cache
def built_rows() -> QuerySet[Material, Mapping[str, Any]]:
    """Built once: to put it together costs as much as to ask it."""
    of_it = Container.objects.filter(material=OuterRef("pk")).order_by().values("material")
    return (
        Material.objects.listed()
        .annotate(
            # with the condition on the join: a filter would drop materials of which nothing stands
            standing=FilteredRelation("containers", condition=Q(containers__on_hand__gt=0)),
            # for itself: summed over the joined jars, all of them would fall into one row
            total=Coalesce(Subquery(of_it.annotate(sum=Sum("on_hand")).values("sum")), 0),
            code=F("standing__code"),
            place=F("standing__place__name"),
            on_hand=F("standing__on_hand"),
            opened_on=F("standing__opened_on"),
            use_by_on=F("standing__use_by_on"),
            is_without_sheet=Exists(Material.objects.without_sheet().filter(pk=OuterRef("pk"))),
            is_low=Exists(Material.objects.to_reorder().filter(pk=OuterRef("pk"))),
        )
        .values(
            "pk",
            "name",
            "category",
            "dimension",
            "shown_unit",
            "is_low",
            "total",
            "code",
            "place",
            "on_hand",
            "opened_on",
            "use_by_on",
            "is_without_sheet",
        )
    )


@asked_often
def anything_listed() -> QuerySet[Material, int]:
    return Material.objects.listed().order_by().values_list("pk", flat=True)[:1]


def usual() -> list[Material]:
    """Materials that are low, then those that came last."""
    # what has run out is most likely what the parcel holds
    low = Material.objects.to_reorder()[:MOST]
    listed = Container.objects.filter(Q(material__is_listed=True) | Q(on_hand__gt=0))
    came = listed.select_related("material").order_by("-pk")[:LATELY]
    return list(dict.fromkeys([*low, *(jar.material for jar in came)]))[:MOST]


def used_lately() -> list[Container]:
    """Containers that something was taken from, the latest first."""
    used = Movement.objects.standing().filter(kind=Movement.Kind.USED).order_by("-pk")[:LATELY]
    return list(dict.fromkeys(movement.container for movement in used.select_related("container__material")))[:MOST]
