"""What is asked of somebody who was told something."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy

from chemistry.waste import streams, treatment
from inventory.wording import translated_lazy
from studio.pages.documents import DocumentField
from studio.pages.fields import DayField, NumberField
from studio.pages.writing import SignedForm
from studio.waste.models import LocalAdvice

Kind = LocalAdvice.Kind
KINDS = [
    ("", gettext_lazy("all kinds of waste")),
    *((kind.id, translated_lazy(kind.title)) for kind in streams.STREAMS.values()),
]


class AdviceForm(SignedForm):
    """One kind of answer; what only another kind has is not asked."""

    stream = forms.ChoiceField(label=gettext_lazy("About which kind of waste"), required=False, choices=KINDS)
    asked = forms.CharField(
        max_length=100,
        label=gettext_lazy("Who said so"),
        help_text=gettext_lazy("The office or firm, and a name if they gave one."),
    )
    question = forms.CharField(max_length=300, required=False, label=gettext_lazy("What you asked"))
    cu_mg_per_l = NumberField(low=0.000001, high=100_000, unit="mg/L", label=gettext_lazy("Most copper, mg/L"))
    method = forms.ChoiceField(
        label=gettext_lazy("Which treatment"),
        choices=[(id, translated_lazy(words)) for id, words in treatment.METHODS.items()],
    )
    answer = forms.CharField(
        max_length=1000,
        label=gettext_lazy("What they said"),
        help_text=gettext_lazy("In their words."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    next_on = DayField(
        label=gettext_lazy("Next on"),
        required=False,
        help_text=gettext_lazy("Then it comes into everybody’s calendar."),
    )
    repeats = forms.ChoiceField(
        label=gettext_lazy("And again"),
        required=False,
        choices=[("", gettext_lazy("no")), *LocalAdvice.Repeats.choices],
    )
    is_written = forms.BooleanField(label=gettext_lazy("They said so in writing"), required=False)
    said_on = DayField(label=gettext_lazy("When they said so"), initial=timezone.localdate)
    until_on = DayField(
        label=gettext_lazy("Until"), required=False, help_text=gettext_lazy("Its last day, if they named one.")
    )
    document = DocumentField(label=gettext_lazy("Their letter or page"))

    ONLY_OF = {
        # a sewer does not ask from which waste its copper comes
        "stream": tuple(kind for kind in Kind if kind != Kind.SEWER_LIMIT),
        "cu_mg_per_l": (Kind.SEWER_LIMIT,),
        "method": (Kind.TREATMENT,),
        "next_on": (Kind.COLLECTION,),
        "repeats": (Kind.COLLECTION,),
    }

    def __init__(self, *args, kind: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.kind = kind
        for name, kinds in self.ONLY_OF.items():
            if kind not in kinds:
                del self.fields[name]
        if kind in LocalAdvice.ABOUT_ONE_KIND:
            self.fields["stream"].required = True

    def facts(self) -> dict:
        facts = super().facts()
        document = facts.pop("document")
        return {"advice": LocalAdvice(kind=self.kind, **facts, **document._asdict())}
