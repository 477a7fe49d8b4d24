"""One way to write: a form that is signed, one operation, one entry."""

from collections.abc import Callable, Iterable, Mapping
from hashlib import sha256
from typing import Any, ClassVar, NamedTuple
from uuid import uuid4

from django import forms
from django.contrib import messages
from django.db import DatabaseError, transaction
from django.utils.functional import Promise
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.ranges import OutOfRange
from inventory import uploads
from inventory.book import AlreadyWritten, Signed
from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.pages.fields import FigureForm, MomentField, NumberAndUnit, ask_for_what_is_needed
from studio.server import database

ASK_A_KEYHOLDER = gettext_lazy("A keyholder does this. Ask one to write it for you.")
TYPED_IN, UNITS_REMEMBERED = "typed_in", 40
READS_ONLY = gettext_lazy("A viewer reads the book and writes nothing. A member or a keyholder can write this.")


class SignedForm(FigureForm):
    """
    A form that ends as one entry: what was done, and below it who did it, when, and a note.

    Fields of a subclass become the operation's arguments through `facts`; convert what was typed there.
    """

    happened_at = MomentField(
        label=gettext_lazy("When"), required=False, help_text=gettext_lazy("Leave it empty for now.")
    )
    done_by = forms.ModelChoiceField(Person.objects.at_work(), label=gettext_lazy("Done by"), required=False)
    note = forms.CharField(
        label=gettext_lazy("Note"), required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    data: Any  # as a request brings it: a QueryDict
    SIGNATURE = ("happened_at", "done_by", "note", "key")

    def __init__(self, *args, request, **kwargs):
        super().__init__(*args, **kwargs)
        self.request = request
        ask_for_what_is_needed(self.fields.values())
        done_by = self.fields["done_by"]
        done_by.empty_label = _("%(person)s (me)") % {"person": request.person}
        # whoever is signed in stands above the list already
        done_by.queryset = done_by.queryset.exclude(account=request.user)
        self.order_fields([name for name in self.fields if name not in self.SIGNATURE] + list(self.SIGNATURE))

    def __getitem__(self, name):
        bound = super().__getitem__(name)
        if isinstance(bound.field.widget, NumberAndUnit):
            bound.field.widget.last = self.request.session.get(TYPED_IN, {}).get(f"{self.request.path} {name}", "")
        return bound

    def remember_units(self) -> None:
        """The unit that was typed for a thing comes first when it is asked for again."""
        known = self.request.session.get(TYPED_IN, {})
        asked = [name for name, field in self.fields.items() if isinstance(field.widget, NumberAndUnit)]
        typed = {
            f"{self.request.path} {name}": self.data.get(f"{self.add_prefix(name)}_1", "")
            for name in asked
            if self.data.get(f"{self.add_prefix(name)}_0")
        }
        if not typed.items() <= known.items():
            latest = {**{key: unit for key, unit in known.items() if key not in typed}, **typed}
            self.request.session[TYPED_IN] = dict([*latest.items()][-UNITS_REMEMBERED:])

    def entry(self) -> Entry | None:
        """What was written under its key before; what it asks for may be gone since, through its own writing."""
        key = self.cleaned_data.get("key")
        return None if key is None else Entry.objects.filter(key=key).first()

    def digest(self) -> str:
        """Of all that was sent with the form: two taps send the same, a form that was changed in between does not."""
        begins, key = self.add_prefix(""), self.add_prefix("key")
        sent = sha256(self.request.path.encode())
        for name in sorted(self.data):
            if name.startswith(begins) and name not in {key, "csrfmiddlewaretoken"}:
                sent.update(repr((name, self.data.getlist(name))).encode())
        for name in sorted(self.files):
            for file in self.files.getlist(name):
                sent.update(repr((name, file.name, file.size)).encode())
                for chunk in file.chunks():
                    sent.update(chunk)
                file.seek(0)
        return sent.hexdigest()

    def meet_again(self, entry: Entry) -> Entry | None:
        """The entry of the first tap; None, with a question, where something else is sent under the same key."""
        if entry.form_digest == self.digest():
            return entry
        # as its own act from here on, if that is what was meant
        self.data = self.data.copy()
        self.data[self.add_prefix("key")] = str(uuid4())
        words = _(
            "Written already as <a href='{}'>“{}”</a>, and that stands as it was. Strike it there if it was wrong; "
            "send this form again to write it as a line of its own."
        )
        self.add_error(None, format_html(words, entry.get_absolute_url(), entry))
        return None

    def signed(self) -> Signed:
        typed = self.cleaned_data
        return Signed(
            done_by=typed["done_by"] or self.request.person,
            recorded_by=self.request.user,
            happened_at=typed["happened_at"],
            note=typed["note"],
            key=typed["key"],
            form_digest=self.digest(),
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

    def is_left_alone(self, names: Iterable[str]) -> bool:
        """Whether nothing was typed or chosen in these fields beside what the page showed; a unit alone is nothing."""
        return all(_typed(self[name]) in ("", _as_shown(self[name])) for name in names)

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

    FOLDED: ClassVar[Mapping[Any, tuple[str, ...]]] = {}

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


def _typed(bound: forms.BoundField) -> str:
    return _as_text(bound.field, bound.data)[0]


def _as_shown(bound: forms.BoundField) -> str:
    return _as_text(bound.field, bound.initial)[0]


class NextDeed(NamedTuple):
    """What usually comes after something was written, and where it is done."""

    words: str | Promise
    url: str


def tell_of(entry: Entry, deeds: Iterable[NextDeed]) -> SafeString:
    """That it is in the book, where it stands there, and what usually comes next."""
    buttons = format_html_join(" ", '<a class="button" href="{}">{}</a>', ((url, words) for words, url in deeds))
    told = _('Written: {}. <span class="buttons">{} <a href="{}">Wrong? Its line in the book</a></span>')
    return format_html(told, entry, buttons, entry.get_absolute_url())


def why_not_written(error: DatabaseError | OSError) -> str:
    """The sentence for a book that would not take it; where it is not known whether it did, the error goes on."""
    said = uploads.why_not_kept(error) if isinstance(error, OSError) else database.why_not_written(error)
    if not said:
        raise error
    return said


def write_once(
    request,
    form: SignedForm,
    act: Callable[..., Entry],
    deeds: Callable[[Entry], Iterable[NextDeed]] = lambda entry: (),
) -> Entry | None:
    """The entry of a form, written now or by its first tap; None where the form or the book refuses or asks."""
    if not form.is_valid():
        first = form.entry()
        return form.meet_again(first) if first else None
    try:
        # together with what an act reads once its entry is written: where that fails, nothing is written
        with uploads.gone_unless_written(), transaction.atomic():
            entry = act(by=form.signed(), **form.facts())
    except AlreadyWritten as again:
        return form.meet_again(again.entry)
    except (Refused, OutOfRange) as refusal:
        # the first tap may have used up what is asked for
        if first := form.entry():
            return form.meet_again(first)
        if isinstance(refusal, OutOfRange):
            form.refuse_figure(refusal, request.workshop.units)
        else:
            form.refuse(refusal)
        return None
    except (DatabaseError, OSError) as error:
        form.add_error(None, why_not_written(error))
        return None
    form.remember_units()
    try:
        next_deeds = list(deeds(entry))
    except DatabaseError:
        next_deeds = []  # it is written, and what usually comes next is on its page too
    messages.success(request, tell_of(entry, next_deeds))
    return entry
