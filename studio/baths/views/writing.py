"""What is written of a bath: each page ends as one entry and goes on to the bath."""

from django.contrib import messages
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.baths import estimate, operations, readings
from studio.baths.descriptions import BathDescription
from studio.baths.estimate import with_state_before
from studio.baths.forms import acid, pouring, reading, tank
from studio.baths.models import Bath, BathEvent
from studio.baths.status import BathStatus
from studio.pages.views import EntryView

PRINT_ITS_CARD = (gettext_lazy("Print its card"), "baths:card")


class BathEntryView(EntryView):
    """One bath, and what the form asks of it."""

    queryset = Bath.objects.all()
    form_wants = "bath"

    def described(self, state) -> BathDescription:
        """The bath as it would stand so, drawn as its own page draws it."""
        return BathDescription(
            BathStatus(bath=self.object, at=timezone.now(), state=state), self.request.workshop.units
        )


class NewBathView(EntryView):
    """A tank that is not in the book until the form is; afterwards it is found by its name."""

    keyholder_only = True

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"bath": Bath()}

    @property
    def written(self) -> Bath:
        return Bath.objects.get(name=self.form.cleaned_data["name"])

    def next_page(self, name):
        return reverse(name, args=[self.written.pk])

    def go_on(self, entry):
        return redirect(self.written)


class ChangeBathView(BathEntryView):
    form_class, keyholder_only = tank.TankForm, True

    def get_initial(self):
        return tank.figures_of(self.object)

    def write(self, **facts):
        # the form has filled the bath already
        return operations.change(**facts)


class AdoptBathView(BathEntryView):
    form_class, keyholder_only = tank.AdoptForm, True
    afterwards = [PRINT_ITS_CARD]

    def write(self, **facts):
        # the form names the bath
        return operations.adopt(**facts)


class MeasuringView(BathEntryView):
    """What a reading says beside the book goes out with it; one held out comes with the page that answers it."""

    # said before "Written", so that nobody stops at that
    def write(self, **facts):
        entry = super().write(**facts)
        events = with_state_before(entry.bath_events.standing())
        for event, comparison in readings.displayed_readings(events, self.request.workshop.units):
            if comparison.together:
                messages.info(self.request, str(comparison))
            else:
                url = reverse("baths:answer", args=[event.pk])
                answer = format_html(_('<a href="{}">Answer it</a>, so that the book can go on.'), url)
                messages.warning(self.request, format_html(_("Held out: it {}. {}"), comparison, answer))
        return entry


class ReadingView(MeasuringView):
    operation = staticmethod(operations.read)

    def get_context_data(self):
        state = estimate.at_moment(self.object)
        of_acid = readings.what_acid_does(state) if state else ""
        return super().get_context_data() | {"of_acid": of_acid}


class CoverView(BathEntryView):
    """The form offers what the lid is not yet."""

    form_class = pouring.CoverForm
    operation = staticmethod(operations.cover)

    def get_initial(self):
        return {"lid_on": "off" if operations.lid_is_on(self.object, timezone.now()) else "on"}


class AnswerView(EntryView):
    """What to make of a reading that stands apart from the book."""

    form_class = reading.AnswerForm
    operation = staticmethod(operations.answer)
    queryset = BathEvent.objects.standing().filter(kind__in=BathEvent.READINGS).select_related("bath", "entry__done_by")

    def instead(self):
        self.comparison = readings.held_out(self.object, self.request.workshop.units)
        if self.comparison is None:
            messages.info(
                self.request,
                _("The book goes along with this reading: %(object)s.") % {"object": self.object},
            )
            return redirect(self.object.bath)

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"bath": self.object.bath}

    def get_context_data(self):
        shown = {"bath": self.object.bath, "event": self.object, "comparison": self.comparison}
        return super().get_context_data() | shown

    def go_on(self, entry):
        return redirect(self.object.bath)


set_up = NewBathView.as_view(form_class=tank.TankForm, operation=operations.set_up)
adopt_new = NewBathView.as_view(
    form_class=tank.AdoptWithTankForm,
    operation=operations.adopt,
    template_name="baths/adopt_new.html",
    afterwards=[PRINT_ITS_CARD],
)
read_level = ReadingView.as_view(form_class=reading.LevelForm)
read_hydrometer = ReadingView.as_view(form_class=reading.HydrometerForm)
titrate = ReadingView.as_view(form_class=reading.TitrationForm)
read_acid = ReadingView.as_view(form_class=acid.AcidReadForm)
add_acid = BathEntryView.as_view(form_class=acid.AcidForm, operation=operations.top_up)
drips = BathEntryView.as_view(form_class=pouring.DripsForm, operation=operations.drips)
add_solution = BathEntryView.as_view(form_class=pouring.AddSolutionForm, operation=operations.add_solution)
pour_into = BathEntryView.as_view(form_class=pouring.PourIntoForm, operation=operations.pour_into)
