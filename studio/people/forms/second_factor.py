from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.pages.fields import PlainForm
from studio.people import second_factor
from studio.people.forms.people import OwnPasswordAsked


class CodeField(forms.CharField):
    def __init__(self, **kwargs):
        # letters too: those on paper have them
        widget = forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"}
        )
        super().__init__(label=gettext_lazy("Code"), max_length=20, widget=widget, **kwargs)


class FirstCodeForm(OwnPasswordAsked):
    """Shows that the telephone knows what it was told; `codes` are then those to keep on paper."""

    code = CodeField(help_text=gettext_lazy("The six digits that the telephone shows now."))
    codes: tuple[str, ...] = ()

    def clean(self):
        typed = super().clean()
        if not self.errors:
            self.codes = tuple(second_factor.turn_on(self.request.user, "".join(typed["code"].split())))
            if not self.codes:
                said = _("That is not the code of now. Wait for the next one; is the telephone’s clock right?")
                self.add_error("code", said)
        return typed


class CodeForm(PlainForm):
    code = CodeField(help_text=gettext_lazy("The six digits on your telephone, or a code from your paper."))

    def __init__(self, *args, account, **kwargs):
        super().__init__(*args, **kwargs)
        self.account = account

    def clean_code(self):
        if not second_factor.opens(self.account, self.cleaned_data["code"]):
            raise ValidationError(_("That code opens nothing, or came too soon after a wrong one. Wait for the next."))
        return ""
