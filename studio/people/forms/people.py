from datetime import timedelta

from django import forms
from django.contrib.auth import authenticate, get_user_model
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, SetPasswordMixin
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Person
from studio.pages.fields import DayField, FigureForm, PlainForm, ask_for_what_is_needed
from studio.pages.writing import SignedForm
from studio.people import roles
from studio.people.inductions import Task
from studio.workshop.forms import PhoneField

ROLES = [
    (roles.VIEWER, gettext_lazy("viewer: reads everything and writes nothing, such as a landlord or an inspector")),
    (roles.MEMBER, gettext_lazy("member: reads everything and writes what was done")),
    (roles.KEYHOLDER, gettext_lazy("keyholder: also looks after people and settings, and strikes anything")),
]
NOBODY = "nobody"
GOOD_PASSWORD = gettext_lazy(
    "Four words that do not belong together are good. Eight characters or more, nothing like the name."
)


def checked_password(request, typed: str) -> str:
    """Their own password of whoever is signed in; wrong ones are counted like wrong ones at the door."""
    if authenticate(request, username=request.user.get_username(), password=typed) is None:
        raise ValidationError(_("That is not the password you sign in with."))
    return typed


class OwnPasswordAsked(PlainForm):
    """What changes how somebody comes in asks for the password again: a page left open is not enough."""

    password = forms.CharField(
        label=gettext_lazy("Password you sign in with"),
        # a password may begin or end with a space
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args, request, **kwargs):
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_password(self):
        return checked_password(self.request, self.cleaned_data["password"])


class SignInForm(AuthenticationForm):
    error_messages = {
        # one sentence for a wrong name and a wrong password: whoever guesses learns neither
        "invalid_login": gettext_lazy("That name and that password do not go together. Capital letters count."),
        "inactive": gettext_lazy("This account is closed."),
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("Name you sign in with")
        ask_for_what_is_needed(self.fields.values())

    def confirm_login_allowed(self, user):
        super().confirm_login_allowed(user)
        if not hasattr(user, "person"):
            raise ValidationError(_("This account belongs to nobody in the book. Ask a keyholder to give you one."))


class OwnPasswordForm(PasswordChangeForm, FigureForm):
    error_messages = {
        "password_mismatch": gettext_lazy("The two passwords differ; type both again."),
    }

    def __init__(self, *args, request, **kwargs):
        super().__init__(*args, **kwargs)
        self.request = request
        self.fields["old_password"].label = _("Password so far")
        self.fields["new_password1"].label = _("New password")
        self.fields["new_password1"].help_text = GOOD_PASSWORD
        self.fields["new_password2"].label = _("The new password again")
        self.fields["new_password2"].help_text = ""
        ask_for_what_is_needed(self.fields.values())

    def clean_old_password(self):
        return checked_password(self.request, self.cleaned_data["old_password"])


class UsernameField(forms.CharField):
    def __init__(self, **kwargs):
        super().__init__(
            label=_("Name to sign in with"),
            max_length=150,
            validators=[UnicodeUsernameValidator(message=_("Letters, digits and @ . + - _ only, without spaces."))],
            widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
            **kwargs,
        )


class TwicePassword(SetPasswordMixin, PlainForm):
    """A new password, typed twice and fit for whoever is going to use it."""

    error_messages = {"password_mismatch": gettext_lazy("The two passwords differ; type both again.")}

    password1, password2 = SetPasswordMixin.create_password_fields(
        gettext_lazy("Password"), gettext_lazy("The same password again")
    )
    password1.help_text, password2.help_text = GOOD_PASSWORD, ""

    def check_passwords(self, username: str, name: str = "") -> None:
        self.validate_passwords()
        # never saved: only to compare the password with the names it must not be like
        self.validate_password_for_user(get_user_model()(username=username, first_name=name), "password1")


class RoleForm(SignedForm):
    role = forms.ChoiceField(label=gettext_lazy("May use the book as"), choices=ROLES, widget=forms.RadioSelect)


class InductionForm(SignedForm):
    tasks = forms.MultipleChoiceField(
        label=gettext_lazy("Was shown"), choices=Task.choices, widget=forms.CheckboxSelectMultiple
    )
    until_on = DayField(
        label=gettext_lazy("Until"),
        required=False,
        initial=lambda: timezone.localdate() + timedelta(days=365),
        help_text=gettext_lazy(
            "Its last day. Empty: it does not end. A newer induction takes the place of an older one."
        ),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["done_by"].label = _("Shown by")


class InductSeveralForm(InductionForm):
    people = forms.ModelMultipleChoiceField(
        Person.objects.at_work(), label=gettext_lazy("Who"), widget=forms.CheckboxSelectMultiple
    )

    field_order = ["tasks", "until_on", "people"]


class ContactForm(SignedForm):
    telephone = PhoneField(label=gettext_lazy("Telephone"))
    email = forms.EmailField(label=gettext_lazy("E-mail"), required=False)


class LeaveForm(SignedForm):
    left_on = DayField(label=gettext_lazy("Left on"), initial=timezone.localdate)

    def clean_left_on(self):
        left_on = self.cleaned_data["left_on"]
        if left_on > timezone.localdate():
            raise ValidationError(_("That day has not come yet; write it down when it has."))
        return left_on


class NameOutForm(SignedForm):
    also = forms.CharField(
        label=gettext_lazy("Also called"),
        max_length=200,
        required=False,
        help_text=gettext_lazy(
            "As it stands in names of jars, plates and places: the Rosa of “Rosa’s jar”. Commas between several."
        ),
    )

    def clean_also(self) -> list[str]:
        return [called for each in self.cleaned_data["also"].split(",") if (called := each.strip())]
