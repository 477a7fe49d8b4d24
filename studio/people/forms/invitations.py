"""What is asked to invite people, and of whoever was invited."""

from collections.abc import Sequence
from hashlib import sha256

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import slugify
from django.utils.translation import gettext_lazy

from inventory.models import Person
from inventory.refusals import Refused
from studio.pages.writing import SignedForm
from studio.people import members, outbox, roles
from studio.people.forms.people import NOBODY, ROLES, TwicePassword, UsernameField
from studio.people.forms.tablet import PinField, check_pin

BY_PASSWORD, BY_PIN = "password", "pin"
NO_LINKS, LINKS, MAILED = "no", "shown", "mailed"
BY_MAIL = gettext_lazy("by mail to whoever has an address, shown for the others")


def can_mail_links() -> bool:
    return outbox.is_set_up() and outbox.can_tell_addresses()


class MembersForm(SignedForm):
    """A pasted list: read and shown first, and written when it comes back as it was shown."""

    text = forms.CharField(
        label=gettext_lazy("Who"),
        max_length=60_000,
        widget=forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"}),
        help_text=gettext_lazy("A name in each line, with an e-mail address or without; paste columns of a sheet."),
    )
    role = forms.ChoiceField(
        label=gettext_lazy("May use the book as"),
        choices=[*ROLES, (NOBODY, gettext_lazy("nobody: the book can name them, and they do not sign in"))],
        widget=forms.RadioSelect,
        initial=roles.MEMBER,
    )
    links = forms.ChoiceField(
        label=gettext_lazy("Links to come in by"),
        choices=[
            (LINKS, gettext_lazy("a link for each, to print, copy or send")),
            (NO_LINKS, gettext_lazy("none now")),
        ],
        widget=forms.RadioSelect,
        initial=LINKS,
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if can_mail_links():
            links = self.fields["links"]
            links.choices, links.initial = [(MAILED, BY_MAIL), *links.choices], MAILED

    newcomers: Sequence[members.Newcomer] = ()

    def clean_text(self):
        self.newcomers = members.read(self.cleaned_data["text"])
        try:
            members.refuse_unreadable(self.newcomers)
        except Refused as refusal:
            raise ValidationError(refusal.messages) from refusal
        return self.cleaned_data["text"]

    @property
    def is_confirmed(self) -> bool:
        """Whether what is sent is what the page showed last."""
        return self.cleaned_data.get("seen") == self.digest_of_list

    def show(self) -> None:
        """Next time it comes back as it is shown now."""
        self.data = self.data.copy()
        self.data[self.add_prefix("seen")] = self.digest_of_list

    @property
    def digest_of_list(self) -> str:
        return sha256(repr(self.newcomers).encode()).hexdigest()

    @property
    def is_shown(self) -> bool:
        """Whether the page shows what would be written."""
        return self.is_bound and self.data.get(self.add_prefix("seen")) == self.digest_of_list and not self.errors

    @property
    def new_count(self) -> int:
        return len(members.new_ones(self.newcomers))

    def facts(self):
        typed = self.cleaned_data
        role = "" if typed["role"] == NOBODY else typed["role"]
        links = typed["links"]
        return {
            "text": typed["text"],
            "role": role,
            "with_links": bool(role) and links != NO_LINKS,
            "by_mail": links == MAILED,
        }


class InviteForm(SignedForm):
    people = forms.ModelMultipleChoiceField(
        Person.objects.here(), label=gettext_lazy("Whom"), widget=forms.CheckboxSelectMultiple
    )
    role = forms.ChoiceField(
        label=gettext_lazy("Whoever may do nothing yet becomes"),
        choices=ROLES,
        widget=forms.RadioSelect,
        initial=roles.MEMBER,
    )

    by_mail = forms.BooleanField(label=BY_MAIL, required=False)
    ends_now = forms.BooleanField(
        label=gettext_lazy("somebody else may know the old password: it ends now"), required=False
    )

    def __init__(self, *args, who=None, **kwargs):
        super().__init__(*args, **kwargs)
        chosen = Person.objects.here()
        # somebody with an account is invited by name alone: their password ends with it
        self.fields["people"].queryset = chosen.filter(pk=who.pk) if who else chosen.filter(account=None)
        if who:
            self.initial["people"] = [who.pk]
        if not can_mail_links():
            del self.fields["by_mail"]
        if not (who and who.account):
            del self.fields["ends_now"]
        if who and who.role:
            del self.fields["role"]


class ComeInForm(TwicePassword):
    """Asked of whoever opens a link: a name to sign in with, where there is none yet, and a password or a PIN."""

    way = forms.ChoiceField(
        label=gettext_lazy("How you come in"),
        choices=[
            (BY_PASSWORD, gettext_lazy("with a password, wherever you are")),
            (BY_PIN, gettext_lazy("with a PIN, at the studio’s tablet alone")),
        ],
        widget=forms.RadioSelect,
        initial=BY_PASSWORD,
    )
    username = UsernameField()
    pin = PinField(
        label=gettext_lazy("PIN"),
        required=False,
        help_text=gettext_lazy("Four to eight digits, not all the same and not in a row."),
    )

    field_order = ["username", "way", "password1", "password2", "pin"]

    def __init__(self, *args, person, may_choose_pin, **kwargs):
        super().__init__(*args, **kwargs)
        self.person = person
        if not may_choose_pin:
            del self.fields["way"], self.fields["pin"]
        if person.account:
            del self.fields["username"]
        else:
            self.initial["username"] = slugify(person.name).replace("-", ".")

    def clean(self):
        typed = super().clean()
        if typed.get("way") == BY_PIN:
            for name in ("password1", "password2"):
                self.errors.pop(name, None)
            try:
                check_pin(typed.get("pin", ""))
            except ValidationError as error:
                self.add_error("pin", error)
        else:
            username = self.person.account.username if self.person.account else typed.get("username", "")
            self.check_passwords(username, self.person.name)
        return typed

    def facts(self):
        typed = self.cleaned_data
        by_pin = typed.get("way") == BY_PIN
        return {
            "username": typed.get("username", ""),
            "password": None if by_pin else typed["password1"],
            "pin": typed["pin"] if by_pin else "",
        }
