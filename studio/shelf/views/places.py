"""Places: what stands there, how much of it burns, what must not stand together."""

from functools import partial

from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from inventory import places
from inventory.models import Place
from studio.pages.fields import AmountField
from studio.pages.writing import SignedForm, write
from studio.people.roles import keyholder_required
from studio.shelf import operations
from studio.shelf.tables import level

AT_ONCE = 500


class LimitForm(SignedForm):
    flammables_limit_ul = AmountField(
        label="At most so much flammable liquid",
        dimension="volume",
        required=False,
        help_text="What your fire officer, insurer or local code says, such as 50 L; empty for the default.",
    )


def all_places(request):
    standing = Count("containers", filter=Q(containers__on_hand__gt=0))
    return render(request, "shelf/places.html", {"places": Place.objects.annotate(standing=standing)})


def place(request, pk):
    shown = get_object_or_404(Place, pk=pk)
    containers = list(
        shown.containers.on_the_shelf().select_related("material").order_by("material__name", "pk")[:AT_ONCE]
    )
    materials = list({container.material_id: container.material for container in containers}.values())
    today = timezone.localdate()
    context = {
        "place": shown,
        "standing": [
            (container, level(container.state_on(today)), container.state_on(today)) for container in containers
        ],
        "flammables": places.flammables(shown, containers),
        "clashes": places.clashes(materials),
        "ungrouped": [material for material in materials if not material.storage_group],
        "is_cut": len(containers) == AT_ONCE,
    }
    return render(request, "shelf/place.html", context)


@keyholder_required
def limit(request, pk):
    limited = get_object_or_404(Place, pk=pk)
    known = limited.flammables_limit_ul
    initial = {"flammables_limit_ul": f"{known / places.UL_PER_L:g} L" if known is not None else ""}
    form = LimitForm(request.POST or None, request=request, initial=initial)
    act = partial(operations.limit_flammables, limited)
    default = places.default_limit(limited)
    context = {"place": limited, "default": default, "default_l": float(default.litres)}
    return write(request, form, act, to=limited, template="shelf/limit.html", context=context)
