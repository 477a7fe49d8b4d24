"""What is done with one container, and with many at once."""

from django.db.models import Prefetch
from django.shortcuts import redirect

from inventory.models import Container, Material, Place
from studio.pages.views import EntryView
from studio.shelf import operations
from studio.shelf.forms.containers import (
    AwayForm,
    ConfirmForm,
    CupForm,
    FinishForm,
    OpenForm,
    SplitForm,
    UseForm,
    UseSeveralForm,
)
from studio.shelf.forms.materials import CountForm, MoveForm

AT_ONCE = 200


class ContainerEntryView(EntryView):
    """One container, and what the form asks of it alone."""

    template_name = "shelf/about.html"
    queryset = Container.objects.select_related("material", "place")

    def get_initial(self):
        return {"place": self.object.place_id} if "place" in self.form_class.base_fields else {}


class AmountEntryView(ContainerEntryView):
    """An amount, in the units of the container's material."""

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"material": self.object.material}


class UseView(ContainerEntryView):
    """An amount that may be told by the cup."""

    form_wants = "container"


class UseSeveralView(EntryView):
    """One entry for a whole evening: a line for the container that each material is used from first."""

    form_class, success_url = UseSeveralForm, "shelf:shelf"
    operation = staticmethod(operations.use_several)

    def get_form_kwargs(self):
        at_hand = Container.objects.at_hand().select_related("place").oldest_open_first()
        materials = Material.objects.prefetch_related(Prefetch("containers", at_hand, to_attr="at_hand"))
        containers = [material.at_hand[0] for material in materials[:AT_ONCE] if material.at_hand]
        return super().get_form_kwargs() | {"containers": containers}


class SendAwayView(ContainerEntryView):
    form_class = AwayForm
    operation = staticmethod(operations.send_away)
    words = {"heading": "Send it away", "submit": "It is on its way"}

    def instead(self):
        if not Place.objects.filter(kind=Place.Kind.AWAY).exists():
            return redirect("shelf:new_place")


use = UseView.as_view(
    form_class=UseForm,
    operation=operations.use,
    words={"heading": "Use some", "submit": "Write down the use"},
)
split = UseView.as_view(
    form_class=SplitForm,
    operation=operations.split,
    # of its two movements the one that came in is that of the new jar
    success_url=lambda entry: entry.movements.get(amount__gt=0).container,
    words={"heading": "Put some into another container", "submit": "Write it down"},
)
count = AmountEntryView.as_view(
    form_class=CountForm,
    operation=operations.count,
    words={"heading": "Count it", "submit": "Write down the count"},
)
confirm = AmountEntryView.as_view(
    form_class=ConfirmForm,
    operation=operations.confirm,
    words={"heading": "They confirmed it", "submit": "Write it down"},
)
move = ContainerEntryView.as_view(
    form_class=MoveForm,
    operation=operations.move,
    words={"heading": "Move it", "submit": "Write down the move"},
)
open_it = ContainerEntryView.as_view(
    form_class=OpenForm,
    operation=operations.open_it,
    words={"heading": "Open it", "submit": "It is open"},
)
finish = ContainerEntryView.as_view(
    form_class=FinishForm,
    operation=operations.finish,
    words={"heading": "Finish it", "submit": "Write off the rest"},
)
weigh_cup = ContainerEntryView.as_view(
    form_class=CupForm,
    operation=operations.weigh_cup,
    words={"heading": "Weigh one cup once", "submit": "Write it down"},
)
