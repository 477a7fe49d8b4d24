"""What is asked at the studio's tablet, and of those who want to use it."""

import re

from django import forms
from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Person
from studio.pages.fields import PlainForm
from studio.pages.writing import SignedForm
from studio.people.forms.people import OwnPasswordAsked

RUNS = ("0123456789", "9876543210")


def check_pin(pin: str) -> str:
    if not re.fullmatch(r"\d{4,8}", pin, re.ASCII):
        raise ValidationError(_("Four to eight digits."))
    if len(set(pin)) == 1 or any(pin in run for run in RUNS):
        raise ValidationError(_("Anybody would try that one first; choose another."))
    return pin


class PinField(forms.CharField):
    def __init__(self, **kwargs):
        widget = forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(max_length=8, widget=widget, **kwargs)


class WhoForm(PlainForm):
    """Takes the place of a sign-in form: a name and a PIN, counted by the throttle as a password is."""

    who = forms.ModelChoiceField(
        Person.objects.here()
        .filter(pin__isnull=False, account__isnull=False)
        .exclude(role="")
        .select_related("account"),
        label=gettext_lazy("Who are you?"),
        empty_label=None,
        widget=forms.RadioSelect,
    )
    pin = PinField(label=gettext_lazy("Your PIN"))

    def __init__(self, request, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # the throttle counts tries by the request that `authenticate` is handed
        self.request, self.user = request, None

    def clean(self):
        typed = super().clean()
        who, pin = typed.get("who"), typed.get("pin")
        if who and pin:
            self.user = authenticate(self.request, username=who.account.get_username(), pin=pin)
            if self.user is None:
                self.add_error("pin", _("That is not the PIN of %(who)s.") % {"who": who})
        return typed

    def get_user(self):
        return self.user


class OwnPinForm(OwnPasswordAsked):
    pin = PinField(
        label=gettext_lazy("PIN"),
        help_text=gettext_lazy("Four to eight digits, not all the same and not in a row."),
    )
    again = PinField(label=gettext_lazy("The same PIN again"))

    def clean_pin(self):
        return check_pin(self.cleaned_data["pin"])

    def clean(self):
        typed = super().clean()
        if "pin" in typed and typed.get("again") and typed["pin"] != typed["again"]:
            self.add_error("again", _("The two PINs differ; type both again."))
        return typed


class TabletForm(SignedForm):
    name = forms.CharField(
        label=gettext_lazy("Name"), max_length=60, help_text=gettext_lazy("Such as: tablet by the tank.")
    )
