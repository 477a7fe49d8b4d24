"""A code beside the password: set up, asked for at the door, and taken away again by whoever has it."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from studio.drawing import qr
from studio.people import second_factor, tablets
from studio.people.forms.second_factor import CodeForm, FirstCodeForm


def own(request):
    """Whether a code is asked of whoever looks, and how to begin or end it."""
    if request.is_at_tablet:
        raise PermissionDenied(_("A code is set up where you sign in with your password."))
    if second_factor.is_on(request.user):
        return turn_off(request)
    device = second_factor.prepared(request.user)
    form = FirstCodeForm(request.POST or None, request=request)
    if form.is_valid():
        request.session[second_factor.BY_CODE] = True
        return render(request, "people/codes_on_paper.html", {"codes": form.codes})
    told = {"drawing": qr.svg(device.config_url, title=_("For the telephone")), "secret": second_factor.secret(device)}
    return render(request, "people/second_factor.html", {"form": form, **told})


def turn_off(request):
    form = CodeForm(request.POST or None, account=request.user)
    if form.is_valid():
        if "stay" in request.POST:
            request.session[second_factor.BY_CODE] = True
        else:
            second_factor.turn_off(request.user)
            request.session.pop(second_factor.BY_CODE, None)
            messages.success(request, _("Your password alone opens the book again."))
        return redirect("people:people")
    return render(request, "people/second_factor_on.html", {"form": form, "owes_code": request.owes_code})


@login_not_required
def code(request):
    """Asked of whoever has one and gave the right password a moment ago."""
    account, then = second_factor.who_waits(request.session)
    if account is None:
        return redirect("people:sign_in")
    form = CodeForm(request.POST or None, account=account)
    if form.is_valid():
        login(request, account, backend="studio.people.backend.BookBackend")
        request.session.pop(second_factor.WAITING)
        request.session[second_factor.BY_CODE] = True
        tablets.keep_short(request)
        return redirect(then)
    return render(request, "people/code.html", {"form": form})
