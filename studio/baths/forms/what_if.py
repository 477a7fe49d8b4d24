"""What somebody thinks of doing to a bath, before anybody does it."""

from datetime import date, datetime, time, timedelta

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath.looking_ahead import LONGEST_DAYS, MOST_BITES
from inventory.dates import long_day
from studio.baths.fields import VolumeField
from studio.baths.forms.mixing import AskedForm
from studio.baths.forms.pouring import LidField
from studio.pages.fields import DayField, WholeNumberField

A_FORTNIGHT = timedelta(days=14)


class WhatIfForm(AskedForm):
    TYPED_IN = {"litres": "water_l", "days": "until"}

    lid_on = LidField(label=gettext_lazy("The lid stays"), initial="off")
    until = DayField(label=gettext_lazy("Until"))
    bites = WholeNumberField(label=gettext_lazy("Bites until then"), required=False, min_value=0, max_value=MOST_BITES)
    water_l = VolumeField(label=gettext_lazy("Water added then"), required=False)

    def __init__(self, *args, now: datetime, **kwargs):
        super().__init__(*args, **kwargs)
        self.now = now
        self.fields["until"].initial = timezone.localdate(now) + A_FORTNIGHT

    def clean_until(self) -> datetime:
        until: date = self.cleaned_data["until"]
        today = timezone.localdate(self.now)
        if until <= today:
            raise forms.ValidationError(_("Give a day that is to come."))
        if until - today > timedelta(days=LONGEST_DAYS):
            raise forms.ValidationError(
                _("Give a day until %(today)s.") % {"today": long_day(today + timedelta(days=LONGEST_DAYS))}
            )
        return timezone.make_aware(datetime.combine(until, time(12)))

    def facts(self) -> dict:
        typed = self.cleaned_data
        return typed | {"bites": typed["bites"] or 0, "water_l": typed["water_l"] or 0.0}
