"""The first page of a new book: a studio and its first keyholder, who can let the others in."""

from django import forms
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.refusals import Refused
from studio.people import operations
from studio.people.forms.people import TwicePassword, UsernameField
from studio.server.network import is_this_machine
from studio.workshop.forms import FirstWorkshopForm


class BeginForm(TwicePassword, FirstWorkshopForm):
    keyholder = forms.CharField(
        label=gettext_lazy("Your name"), max_length=80, help_text=gettext_lazy("You become the first keyholder.")
    )
    username = UsernameField()

    field_order = ["name", "keyholder", "username", "password1", "password2"]

    def clean(self):
        typed = super().clean()
        self.check_passwords(typed.get("username", ""), typed.get("keyholder", ""))
        return typed

    def facts(self):
        """Of the first keyholder; the studio's own are the form's instance."""
        typed = self.cleaned_data
        return {"name": typed["keyholder"], "username": typed["username"], "password": typed["password1"]}


@login_not_required
def begin(request):
    if request.workshop:
        return redirect("bench:bench")
    # or whoever first reached a fresh book over the network would be its keyholder
    if not is_this_machine(request):
        raise PermissionDenied(
            _("A new book is begun on the machine that keeps it: open it there, or use the command “begin”.")
        )
    form = BeginForm(request.POST or None)
    if form.is_valid():
        try:
            keyholder = operations.begin(form.save(commit=False), **form.facts())
        except Refused as refusal:
            form.add_error(None, refusal)
        else:
            # by name: there are two ways in, and the one by PIN makes no keyholder
            login(request, keyholder.account, backend="studio.people.backend.BookBackend")
            messages.success(
                request, _("The book of %(instance)s is open, and you are its keyholder.") % {"instance": form.instance}
            )
            return redirect("bench:bench")
    return render(request, "people/begin.html", {"form": form})
