from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.pages.fields import PlainForm
from studio.people.models import Mail


class WishesForm(PlainForm):
    kinds = forms.MultipleChoiceField(
        label=gettext_lazy("Mail me"),
        choices=list(Mail.CHOICES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, address, **kwargs):
        super().__init__(*args, **kwargs)
        self.address = address

    def clean_kinds(self):
        kinds = self.cleaned_data["kinds"]
        if kinds and not self.address:
            raise forms.ValidationError(_("Write down your address for mail first."))
        return kinds
