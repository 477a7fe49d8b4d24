"""Places, and how much flammable liquid each may hold; what stands in one is a page of safety."""

from django.db.models import Count, Q
from django.shortcuts import render

from chemistry.measured import digits
from inventory.models import Place
from studio.hazards import co_storage
from studio.pages.fields import AmountField
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
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


class LimitView(EntryView):
    form_class = LimitForm
    operation = staticmethod(operations.limit_flammables)
    queryset = Place.objects.all()
    keyholder_only = True

    def get_initial(self):
        known = self.object.flammables_limit_ul
        return {"flammables_limit_ul": f"{digits(known / co_storage.UL_PER_L)} L" if known is not None else ""}

    def get_context_data(self):
        default = co_storage.default_limit(self.object)
        return super().get_context_data() | {"default": default, "default_l": float(default.litres)}
