"""One way to write: a form that is signed, one operation, one entry."""

from collections.abc import Callable, Mapping
from typing import ClassVar
from uuid import uuid4

from django import forms
from django.contrib import messages

from chemistry.ranges import OutOfRange
from inventory.book import AlreadyWritten, Signed
from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.pages.fields import FigureForm, ask_for_what_is_needed

ASK_A_KEYHOLDER = "A keyholder does this. Ask one to write it for you."
READS_ONLY = "A viewer reads the book and writes nothing. A member or a keyholder can write this."


class SignedForm(FigureForm):
    """
    A form that ends as one entry: what was done, and below it who did it, when, and a note.

    Fields of a subclass become the operation's arguments through `facts`; convert what was typed there.
    """

    happened_at = forms.DateTimeField(
        label="When",
        required=False,
        help_text="Leave it empty for now.",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"],
    )
    done_by = forms.ModelChoiceField(Person.objects.here(), label="Done by", required=False)
    note = forms.CharField(required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    SIGNATURE = ("happened_at", "done_by", "note", "key")

    def __init__(self, *args, request, **kwargs):
        super().__init__(*args, **kwargs)
        self.request = request
        ask_for_what_is_needed(self.fields.values())
        done_by = self.fields["done_by"]
        done_by.empty_label = f"{request.person} (me)"
        # whoever is signed in stands above the list already
        done_by.queryset = done_by.queryset.exclude(account=request.user)
        self.order_fields([name for name in self.fields if name not in self.SIGNATURE] + list(self.SIGNATURE))

    def entry(self) -> Entry | None:
        """What this very form wrote before; what it asks for may be gone since, through its own writing."""
        key = self.cleaned_data.get("key")
        return None if key is None else Entry.objects.filter(key=key).first()

    def signed(self) -> Signed:
        typed = self.cleaned_data
        return Signed(
            done_by=typed["done_by"] or self.request.person,
            recorded_by=self.request.user,
            happened_at=typed["happened_at"],
            note=typed["note"],
            key=typed["key"],
        )

    def facts(self) -> dict:
        """What the operation is told, apart from the signature."""
        return {name: value for name, value in self.cleaned_data.items() if name not in self.SIGNATURE}

    @property
    def touched(self) -> set[str]:
        """The fields that were not sent back as the page showed them, which may have been rounded."""
        return {
            bound.name for bound in self if _as_text(bound.field, bound.initial) != _as_text(bound.field, bound.data)
        }

    def refuse(self, refusal: Refused) -> None:
        """A refusal of the book stands beside the field that caused it, or above the form."""
        self.add_error(refusal.field if refusal.field in self.fields else None, refusal)

    @property
    def content_fields(self):
        return [field for field in self.visible_fields() if field.name not in self.SIGNATURE]

    @property
    def signature_fields(self):
        return [field for field in self.visible_fields() if field.name in self.SIGNATURE]

    @property
    def signature_is_refused(self) -> bool:
        return any(field.errors for field in self.signature_fields)


class FoldedForm(SignedForm):
    """A form some of whose fields most people leave alone: in groups, folded away until something in one is refused."""

    FOLDED: ClassVar[Mapping[str, tuple[str, ...]]] = {}

    @property
    def content_fields(self):
        folded = {name for names in self.FOLDED.values() for name in names}
        return [field for field in super().content_fields if field.name not in folded]

    @property
    def folded(self):
        for title, names in self.FOLDED.items():
            fields = [self[name] for name in names]
            yield {"title": title, "fields": fields, "is_refused": any(field.errors for field in fields)}


def _as_text(field: forms.Field, value: object) -> list[str]:
    shown = field.prepare_value(value)
    parts = (isinstance(field.widget, forms.MultiWidget) and field.widget.decompress(shown)) or [shown]
    # browsers send back CR LF wherever the page held a plain line end
    return ["" if part is None else "\n".join(str(part).split("\r\n")).strip() for part in parts]


def write_once(request, form: SignedForm, act: Callable[..., Entry]) -> Entry | None:
    """The entry of a form, written now or by its first tap; None where the form or the book refuses it."""
    valid = form.is_valid()
    # before what the form says of itself: the first tap may have used up what it asks for
    if entry := form.entry():
        return entry
    if not valid:
        return None
    try:
        entry = act(by=form.signed(), **form.facts())
    except AlreadyWritten as first:
        return first.entry
    except Refused as refusal:
        form.refuse(refusal)
        return None
    except OutOfRange as error:
        form.refuse_figure(error, request.workshop.units)
        return None
    messages.success(request, f"Written: {entry}.")
    return entry
