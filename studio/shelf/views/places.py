"""Places, and how much flammable liquid each may hold; what stands in one is a page of safety."""

from functools import partial

from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, render

from inventory.models import Place
from studio.hazards import co_storage
from studio.pages.fields import AmountField
from studio.pages.writing import SignedForm, write
from studio.people.roles import keyholder_required
from studio.shelf import operations


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


@keyholder_required
def limit(request, pk):
    limited = get_object_or_404(Place, pk=pk)
    known = limited.flammables_limit_ul
    initial = {"flammables_limit_ul": f"{known / co_storage.UL_PER_L:g} L" if known is not None else ""}
    form = LimitForm(request.POST or None, request=request, initial=initial)
    act = partial(operations.limit_flammables, limited)
    default = co_storage.default_limit(limited)
    context = {"place": limited, "default": default, "default_l": float(default.litres)}
    return write(request, form, act, to=limited, template="shelf/limit.html", context=context)
