from functools import partial

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.contrib.messages.views import SuccessMessageMixin
from django.core.exceptions import PermissionDenied
from django.db.models import F
from django.forms import model_to_dict
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse, reverse_lazy
from django.utils.decorators import method_decorator

from inventory.models import Person
from studio.pages.writing import SignedForm, write
from studio.people import operations, register, roles, tablets
from studio.people.forms.people import (
    AccountForm,
    ContactForm,
    LeaveForm,
    NewPasswordForm,
    OwnPasswordForm,
    PersonForm,
    RoleForm,
    SignInForm,
)
from studio.people.models import Contact
from studio.people.roles import keyholder_required
from studio.people.tables import PeopleTable


@method_decorator(login_not_required, name="dispatch")
class SignIn(LoginView):
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def dispatch(self, request, *args, **kwargs):
        """At the studio's tablet a name and a PIN come first; ?password=1 asks for the password there too."""
        if request.method == "GET" and "password" not in request.GET and tablets.here(request):
            return redirect(f"{reverse('people:who')}?{request.GET.urlencode()}")
        return super().dispatch(request, *args, **kwargs)

    def form_valid(self, form):
        answer = super().form_valid(form)
        tablets.keep_short(self.request)
        return answer


class OwnPassword(SuccessMessageMixin, PasswordChangeView):
    form_class = OwnPasswordForm
    template_name = "people/own_password.html"
    success_url = reverse_lazy("people:people")
    success_message = "Your password is changed. Other browsers you were signed in with are signed out."


def people(request):
    table = PeopleTable(Person.objects.select_related("account").order_by(F("left_on").desc(nulls_first=True), "name"))
    return render(request, "people/people.html", {"table": table, "who_may": roles.WHO_MAY})


def person(request, pk):
    shown = person_or_404(pk)
    facts = [
        ("May use the book as", shown.role if shown.signs_in else Person.Role.NONE.label),
        ("Signs in as", shown.account.username if shown.account else "no account"),
        ("Left on", shown.left_on or "still here"),
    ]
    [row] = register.rows([shown])
    may_reach = may_reach_person(request, shown)
    if may_reach:
        facts.append(("Reached at", Contact.objects.current(shown) or "nothing is written down"))
    context = {"person": shown, "facts": facts, "cells": row.cells, "may_reach": may_reach}
    return render(request, "people/person.html", context)


def contact(request, pk):
    reached = person_or_404(pk)
    if not may_reach_person(request, reached):
        raise PermissionDenied(f"Only {reached} and the keyholders see and change this.")
    known = Contact.objects.current(reached)
    form = ContactForm(request.POST or None, request=request, initial=known and model_to_dict(known))
    act = partial(operations.reach, reached)
    return write_about(request, reached, form, act, heading="How to reach", submit="Write it down")


@keyholder_required
def add(request):
    form = PersonForm(request.POST or None, request=request)
    return write(request, form, operations.add, to="people:people", template="people/add.html")


@keyholder_required
def role(request, pk):
    changed = person_or_404(pk)
    if changed.account is None or changed.left_on:
        raise Http404
    form = RoleForm(request.POST or None, request=request, initial={"role": changed.role})
    act = partial(operations.change_role, changed)
    return write_about(request, changed, form, act, heading="Change the role", submit="Write down the role")


@keyholder_required
def account(request, pk):
    """Somebody without an account is given one; somebody with one a new password."""
    holder = person_or_404(pk)
    if holder.left_on:
        raise Http404
    if holder.account:
        form = NewPasswordForm(request.POST or None, request=request, signs_in_as=holder.account.username)
        act, heading, submit = partial(operations.renew_password, holder), "A new password", "Give the new password"
    else:
        form = AccountForm(request.POST or None, request=request)
        act, heading, submit = partial(operations.give_account, holder), "Give an account", "Give the account"
    return write_about(request, holder, form, act, heading=heading, submit=submit)


@keyholder_required
def left(request, pk):
    """Somebody who is here leaves; somebody who left comes back."""
    leaver = person_or_404(pk)
    if leaver.left_on:
        form = SignedForm(request.POST or None, request=request)
        act, heading, submit = partial(operations.come_back, leaver), "Came back", "Write down the return"
    else:
        form = LeaveForm(request.POST or None, request=request)
        act, heading, submit = partial(operations.leave, leaver), "Left the studio", "Write down the leaving"
    return write_about(request, leaver, form, act, heading=heading, submit=submit)


def may_reach_person(request, person):
    """What is private is for the person and the keyholders."""
    return request.is_keyholder or request.person == person


def person_or_404(pk):
    return get_object_or_404(Person.objects.select_related("account"), pk=pk)


def write_about(request, person, form, act, **words):
    to = person.get_absolute_url()
    return write(request, form, act, to=to, template="people/about.html", context={"person": person, "to": to} | words)
