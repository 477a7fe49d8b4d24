"""The studio's tablet: marked and taken off by keyholders, opened by name and PIN."""

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _

from studio.pages.views import EntryView
from studio.people import door
from studio.people import tablets as operations
from studio.people.forms.tablet import OwnPinForm, TabletForm, WhoForm
from studio.people.models import Session, Tablet
from studio.people.roles import keyholder_required, writers_only
from studio.people.views.people import DoorView


@method_decorator(login_not_required, name="dispatch")
class WhoView(DoorView):
    """Who are you? To ask it ends the visit of whoever came before."""

    authentication_form = WhoForm  # type: ignore[assignment]  # a LoginView asks it for its user, and that it has
    template_name = "people/who.html"

    def dispatch(self, request, *args, **kwargs):
        if not operations.here(request):
            return redirect("people:sign_in")
        if request.is_at_tablet:
            logout(request)
        return super().dispatch(request, *args, **kwargs)


@writers_only
def own_pin(request):
    if request.is_at_tablet:
        raise PermissionDenied(_("A PIN is chosen where you sign in with your password."))
    form = OwnPinForm(request.POST or None, request=request)
    if form.is_valid():
        operations.choose_pin(request.person, form.cleaned_data["pin"])
        messages.success(request, _("Your PIN is chosen. It opens the studio’s tablet and nothing else."))
        return redirect("people:people")
    return render(request, "people/own_pin.html", {"form": form})


@keyholder_required
def tablets(request):
    in_use = Tablet.objects.in_use().select_related("entry__done_by")
    return render(request, "people/tablets.html", {"tablets": in_use, "here": operations.here(request)})


class MarkTabletView(EntryView):
    """The device that asks becomes the tablet; the keyholder is signed out, for others will touch it next."""

    form_class = TabletForm
    operation = staticmethod(operations.mark)
    keyholder_only = True
    tablet: Tablet | None = None

    def write(self, **facts):
        entry = super().write(**facts)
        self.tablet = entry.tablets.get()
        # together with it, or the next one to touch it would be a keyholder
        Session.objects.filter(pk=self.request.session.session_key).delete()
        return entry

    def go_on(self, entry):
        # asks the database nothing more: what fails now must not look as if nothing were written
        door.went(self.request)
        self.request.session, self.request.user = type(self.request.session)(), AnonymousUser()
        answer = redirect("people:who")
        # sent once more, the form is met by what it wrote
        operations.leave_cookie(answer, self.tablet or entry.tablets.get())
        return answer


take_off = EntryView.as_view(
    queryset=Tablet.objects.in_use(),
    operation=operations.take_off,
    success_url="people:tablets",
    keyholder_only=True,
)
