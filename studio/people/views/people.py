from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.contrib.messages.views import SuccessMessageMixin
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Prefetch
from django.forms import model_to_dict
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.dates import long_day
from inventory.facts import history as fact_history
from inventory.models import Person
from studio.pages.views import EntryView
from studio.people import door, inductions, operations, roles, second_factor, tablets
from studio.people.forms.people import (
    ContactForm,
    InductionForm,
    InductSeveralForm,
    LeaveForm,
    NameOutForm,
    OwnPasswordForm,
    RoleForm,
    SignInForm,
)
from studio.people.inductions import Task
from studio.people.models import Contact, Invitation, Session
from studio.printing import papers

LINES_TO_FILL = 3
ALL_OTHERS = "others"
SOMEBODY = Person.objects.select_related("account")


class DoorView(LoginView):
    """However somebody comes in; at the studio's tablet the visit is a short one."""

    redirect_authenticated_user = True

    def form_valid(self, form):
        answer = super().form_valid(form)
        tablets.keep_short(self.request)
        return answer


@method_decorator(login_not_required, name="dispatch")
class SignInView(DoorView):
    authentication_form = SignInForm

    def form_valid(self, form):
        account = form.get_user()
        if not second_factor.is_on(account):
            return super().form_valid(form)
        second_factor.wait_for_code(self.request.session, account, then=self.get_success_url())
        return redirect("people:code")

    def dispatch(self, request, *args, **kwargs):
        """At the studio's tablet a name and a PIN come first; ?password=1 asks for the password there too."""
        if request.method == "GET" and "password" not in request.GET and tablets.here(request):
            return redirect(f"{reverse('people:who')}?{request.GET.urlencode()}")
        return super().dispatch(request, *args, **kwargs)


class OwnPassword(SuccessMessageMixin, PasswordChangeView):
    form_class = OwnPasswordForm
    template_name = "people/own_password.html"
    success_url = reverse_lazy("people:people")
    success_message = gettext_lazy("Your password is changed. Other browsers you were signed in with are signed out.")

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"request": self.request}

    @transaction.atomic
    def form_valid(self, form):
        answer = super().form_valid(form)
        # here, and not once it is answered: the new password and the stay that it begins are written together
        self.request.session.save()
        return answer


def stays(request):
    """Where somebody is signed in, for themselves alone; what they do not know they can end."""
    mine = Session.objects.lasting().filter(account=request.user).order_by("-seen_at")
    if request.method == "POST":
        ended = [stay for stay in mine if request.POST.get("stay") in (stay.handle, ALL_OTHERS)]
        here = request.session.session_key
        Session.objects.filter(pk__in=[stay.pk for stay in ended if stay.pk != here]).delete()
        return redirect("people:stays")
    return render(request, "people/stays.html", {"stays": mine, "all_others": ALL_OTHERS})


def people(request):
    everybody = SOMEBODY.listed().prefetch_related(Prefetch("invitations", Invitation.objects.open_at(timezone.now())))
    here = [each for each in everybody if each.left_on is None]
    left = sorted((each for each in everybody if each.left_on), key=lambda each: each.left_on, reverse=True)
    return render(request, "people/people.html", {"here": here, "left": left, "who_may": roles.WHO_MAY})


def person(request, pk):
    shown = get_object_or_404(SOMEBODY, pk=pk)
    facts = [
        (_("May use the book as"), _(shown.role) if shown.signs_in else Person.Role.NONE.label),
        (_("Signs in as"), shown.account.username if shown.account else _("no account")),
        (_("Left on"), long_day(shown.left_on) if shown.left_on else _("still here")),
    ]
    is_private = may_reach_person(request, shown)
    if is_private:
        facts.append((_("Reached at"), Contact.objects.current(shown) or _("nothing is written down")))
    # a viewer does nothing, so nothing is asked of one
    cells = [] if shown.role == roles.VIEWER else next(inductions.rows([shown])).cells
    context = {"person": shown, "facts": facts, "cells": cells, "may_reach": is_private}
    context["invitation"] = shown.invitations.open_at(timezone.now()).first() if request.is_keyholder else None
    context["fact_history"] = fact_history(shown)
    return render(request, "people/person.html", context)


class AboutSomebodyView(EntryView):
    template_name = "people/about.html"
    queryset = SOMEBODY


class ContactView(AboutSomebodyView):
    form_class = ContactForm
    operation = staticmethod(operations.reach)
    words = {"heading": gettext_lazy("How to reach"), "submit": gettext_lazy("Write it down")}

    def instead(self):
        if not may_reach_person(self.request, self.object):
            raise PermissionDenied(
                _("Only %(object)s and the keyholders see and change this.") % {"object": self.object}
            )

    def get_initial(self):
        known = Contact.objects.current(self.object)
        return model_to_dict(known) if known else {}


class RoleView(AboutSomebodyView):
    form_class, keyholder_only = RoleForm, True
    operation = staticmethod(operations.change_role)
    words = {"heading": gettext_lazy("Change the role"), "submit": gettext_lazy("Write down the role")}

    def instead(self):
        if self.object.left_on:
            raise Http404

    def get_initial(self):
        return {"role": self.object.role}


leave = AboutSomebodyView.as_view(
    form_class=LeaveForm,
    operation=operations.leave,
    keyholder_only=True,
    words={"heading": gettext_lazy("Left the studio"), "submit": gettext_lazy("Write down the leaving")},
)
come_back = AboutSomebodyView.as_view(
    operation=operations.come_back,
    keyholder_only=True,
    words={"heading": gettext_lazy("Came back"), "submit": gettext_lazy("Write down the return")},
)


take_name_out = AboutSomebodyView.as_view(
    form_class=NameOutForm,
    operation=operations.take_name_out,
    queryset=SOMEBODY.exclude(left_on=None),
    keyholder_only=True,
    words={
        "heading": gettext_lazy("Take the name out of the book"),
        "lead": gettext_lazy(
            "Its lines then say “Somebody who left”. Nothing brings the name back, not even a strike."
        ),
        "submit": gettext_lazy("Take it out for good"),
    },
)


def left(request, pk):
    """Somebody who is here leaves; somebody who left comes back."""
    has_left = Person.objects.filter(pk=pk).exclude(left_on=None).exists()
    return (come_back if has_left else leave)(request, pk=pk)


def may_reach_person(request, person) -> bool:
    """What is private is for the person and the keyholders; that one of these looked stands in the log."""
    if request.person == person:
        return True
    if request.is_keyholder:
        door.read_private(request, f"how person {person.pk} is reached")
    return request.is_keyholder


def who_is_inducted(request):
    lacking = [(task, inductions.lacking(task).count()) for task in Task] if request.is_keyholder else []
    context = {"rows": inductions.rows(Person.objects.at_work()), "tasks": Task, "lacking": lacking}
    return render(request, "people/inductions.html", context)


def inductions_paper(request):
    """For the wall or a folder; its last lines wait for a pen."""
    context = {"rows": inductions.rows(Person.objects.at_work()), "tasks": Task, "blank": range(LINES_TO_FILL)}
    return papers.answer(request, "people/papers/inductions.html", context, title=_("Who is inducted"))


induct = AboutSomebodyView.as_view(
    form_class=InductionForm,
    operation=inductions.induct,
    queryset=Person.objects.at_work(),
    keyholder_only=True,
    words={"heading": gettext_lazy("Induct"), "submit": gettext_lazy("Write down the induction")},
)


class InductSeveralView(EntryView):
    form_class, keyholder_only = InductSeveralForm, True
    operation = staticmethod(inductions.induct_all)
    success_url = "people:inductions"

    def get_initial(self):
        """?for=bath ticks whoever lacks it."""
        task = self.request.GET.get("for")
        return {"tasks": [task], "people": inductions.lacking(task)} if task in Task.values else {}
