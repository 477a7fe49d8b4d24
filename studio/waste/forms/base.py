"""What every form about waste has: the studio's units, a choice of drums, and a keyholder's reason."""

from collections.abc import Sequence
from dataclasses import replace

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.waste import streams
from inventory.book import Signed
from inventory.refusals import Refused
from inventory.wording import translated
from studio.baths.forms.base import read_in
from studio.pages.writing import SignedForm
from studio.waste import whereabouts
from studio.waste.models import Drum
from studio.waste.operations import Allowance


def reason_field() -> forms.CharField:
    return forms.CharField(
        required=False,
        max_length=200,
        label=_("Why it goes in all the same"),
        help_text=_("Only a keyholder may say so."),
    )


class WithReason(SignedForm):
    """What is asked about may go in all the same when a keyholder says why; that is folded away until it is asked."""

    reason = reason_field()

    is_refused = is_asked = False
    refused_kind = ""
    refused_by = None
    ASIDE: tuple[str, ...] = ("reason",)
    CHOOSES = "into"
    ASIDE_TITLE = gettext_lazy("For a keyholder: why it goes in although the book asks not to")

    def refuse(self, refusal: Refused) -> None:
        """What must not go into a drum stands beside whatever chose it."""
        self.is_refused, self.refused_kind = True, self.kind_of_it()
        self.refused_by = self.cleaned_data.get(self.CHOOSES) or getattr(self, "drum", None)
        self.is_asked = refusal.field in ("drum", "vessel", "is_vented", *self.ASIDE)
        if refusal.field == "drum" and "drum" not in self.fields:
            refusal.field = self.CHOOSES
        super().refuse(refusal)

    @property
    def elsewhere(self) -> list[Drum]:
        """Drums that are for what was refused."""
        found = drums_for([self.refused_kind]) if self.refused_kind else []
        return [drum for drum in found if drum not in (self.refused_by, getattr(self, "drum", None))]

    def kind_of_it(self) -> str:
        return self.cleaned_data.get("kind", "")

    def signed(self) -> Signed:
        signed, reason = super().signed(), self.cleaned_data.get("reason", "")
        # into no drum: nothing asks for it, and it stays in the note
        if reason and self.CHOOSES in self.fields and not self.cleaned_data[self.CHOOSES]:
            return replace(signed, note="\n".join(filter(None, (signed.note, reason))))
        return signed

    def allowance(self) -> Allowance:
        return Allowance(reason=self.cleaned_data["reason"], is_keyholder=self.request.is_keyholder)

    @property
    def content_fields(self):
        return [field for field in super().content_fields if field.name not in self.ASIDE]

    @property
    def folded(self):
        fields = [self[name] for name in self.ASIDE]
        is_refused = self.is_asked or any(field.errors for field in fields)
        yield {"title": self.ASIDE_TITLE, "fields": fields, "is_refused": is_refused}


class AboutDrum(SignedForm):
    """What is seen or measured of a drum, typed in the studio's units."""

    def __init__(self, *args, drum, **kwargs):
        super().__init__(*args, **kwargs)
        self.drum = drum
        read_in(self.fields.values(), self.request.workshop.units)


class WasteForm(WithReason):
    """Its numbers are typed in the studio's units."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        read_in(self.fields.values(), self.request.workshop.units)


class DrumField(forms.ModelChoiceField):
    """One of the drums that are here; `offer` says which."""

    def __init__(self, **kwargs):
        super().__init__(Drum.objects.none(), required=False, empty_label=_("Into no drum of the book"), **kwargs)

    def offer(self, drums: Sequence[Drum], *, kind: str = "") -> None:
        """Some of them; the only one for a kind, or the only one, is chosen unless somebody chooses otherwise."""
        # any drum that is here is accepted: the operation refuses an unfit one, and can say why
        self.queryset = whereabouts.drums_on_site()
        fitting = [drum for drum in drums if kind in (drum.kind, "")]
        # never the first by the alphabet: it would be taken for the one that fits
        self.choices = [
            ("", self.empty_label or _("choose a drum")),
            *((drum.pk, self.label_from_instance(drum)) for drum in drums),
        ]
        self.initial = fitting[0].pk if len(fitting) == 1 else None
        if not drums:
            self.help_text = _("No drum for this is here. Begin one first.")

    def label_from_instance(self, drum: Drum) -> str:
        return f"{drum}: {translated(drum.stream)}"


def drums_for(kinds: Sequence[str]) -> list[Drum]:
    return list(whereabouts.drums_on_site().filter(kind__in=kinds))


def kinds() -> list[tuple[str, str]]:
    return [(kind.id, translated(kind.title)) for kind in streams.STREAMS.values()]
