"""
Every form of every page, found by looking at the page as a browser does, filled in and sent.

Nothing here lists forms or fields: a new one is in it by being on a page, and what is refused is filled in otherwise.
`FIGURES` only helps to guess what a field takes that is no free text.
"""

import re
import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from unittest.mock import patch

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from inventory.models import Container, Place
from studio.people import invitations
from studio.people.roles import KEYHOLDER, MEMBER
from studio.printing import papers, press
from studio.shelf import counting
from studio.shelf import operations as shelf
from studio.shelf.models import CountSheet
from tests.factories import PersonFactory, PlaceFactory, adopted, plate, signed, stocked
from tests.studio.conftest import sign_in
from tests.studio.printing.test_uploaded_pdf import sheet
from tests.studio.printing.test_uploaded_photo import photo
from tests.studio.waste.shop import drum, put
from tests.test_access import addresses_of, one_of_everything

SIGN_OUT = "/people/sign-out/"
TEXTS = ("text", "textarea", "tel", "email", "search", "url", "hidden")
PASSWORD, NEW_PASSWORD = "tallow and rosin", "etched in blue"
ANYTHING = "anything"  # was wrong where no field was said to be
TIMES_ANYTHING = 6
LATER_ROW, FIRST_ROW = re.compile(r"(row|line)[1-9]\d*-"), re.compile(r"(row|line)0-")
# what a field takes that refuses free text, tried one after the other; the first that fits the end of its name leads
LADDER = ("1", "10 g", "0.5", "20", "100 cm2", "15 x 10 cm", "10 mL", "3 pieces", "DE", "2026-03-02", "EUR")
# of a studio whose last bite began on the fourth
MOMENTS = ("2026-03-02T10:00", "2026-03-04T11:00", "2026-03-05T10:00")
AS_LONG_AS = {"date": len("2026-03-02"), "datetime-local": len(MOMENTS[0]), "month": len("2026-03")}
TRIES = len(LADDER) + len(MOMENTS) + 2
FIGURES = {
    "litres_0": "0.1", "water_l_0": "0.5", "level_0": "11", "level_before_0": "11", "level_after_0": "10.9",
    "hydrometer_0": "1.14", "temperature_c": "20", "copper_0": "0.9", "strength_g_per_l": "150", "rim_l_0": "14",
    "surface_cm2": "400 cm2", "marks": "10 = 4\n20 = 8", "capacity_l_0": "20", "amps": "1.2", "minutes": "20",
    "size": "10 x 10 cm", "percent": "95", "half_width": "3", "facing_cm2": "900 cm2", "bare_0": "900",
    "mass_g": "400", "mass_g_0": "1050", "gross_g_0": "3000", "tare_g_0": "900", "gap_cm": "5", "volts": "1",
    "exposed_0": "30", "amount_0": "10", "amount": "100 g", "price_cents": "9.50", "packs_1": "2", "packs": "1",
    "link": "https://example.org/list", "email": "post@example.org", "email_0": "post@example.org",
    "figure": "4", "pin": "481516", "again": "481516", "code": "Z9", "username": "somebody.else",
    "composition": "Acetone 20-30",
    "hazards": "H302 Harmful if swallowed.", "precautions": "P264 Wash hands thoroughly after handling.",
    "order_up_to": "2 kg", "usual_days": "3", "worst_days": "9", "c1": "400 g", "flash_point_c": "40", "ph": "1",
    "cup_g": "250", "thickness": "1 mm", "density": "1.1", "us_state": "CA", "keep_until": "2031-01-01",
    "copies": "1", "list-heading": "1", "more": "10 = 1.2, 0.9", "counted_ah": "0.5", "acid_0": "10",
    "acid_percent": "37",
}  # fmt: skip


@dataclass
class Control:
    kind: str
    name: str
    value: str = ""
    options: list[tuple[str, bool]] = field(default_factory=list)
    is_on: bool = False
    is_required: bool = False
    is_wrong: bool = False
    is_figure: bool = False
    autocomplete: str = ""
    most: int = 0

    @property
    def takes_text(self) -> bool:
        return self.kind in TEXTS and self.kind != "hidden" and not self.is_figure


@dataclass
class Form:
    """url: where it goes. buttons: those that send it, in their order; one that says nothing has no name."""

    url: str
    controls: list[Control]
    buttons: list[Control] = field(default_factory=list)

    @property
    def pressed(self) -> list[Control]:
        """The button that says something with it: the first, where each of them does."""
        return self.buttons[:1] if all(each.name for each in self.buttons) else []


class Reader(HTMLParser):
    def __init__(self, url: str):
        super().__init__()
        self.url, self.forms, self.form, self.select, self.area = url, [], None, None, None

    def handle_starttag(self, tag, attributes):
        told = dict(attributes)
        if tag == "form":
            posts = told.get("method", "get").lower() == "post"
            action = told.get("action") or self.url
            action = self.url.partition("?")[0] + action if action.startswith("?") else action
            self.form = Form(action, []) if posts and action != SIGN_OUT else None
            if self.form:
                self.forms.append(self.form)
        # those that lead away for an errand send a form as it is
        elif (
            self.form is not None and tag == "button" and not ("formnovalidate" in told or told.get("type") == "button")
        ):
            self.form.buttons.append(Control("hidden", told.get("name", ""), told.get("value") or ""))
        elif self.form is not None and tag in ("input", "select", "textarea") and told.get("name"):
            kind = tag if tag != "input" else told.get("type", "text")
            control = Control(
                kind=kind,
                name=told["name"],
                # a browser says "on" where the page says nothing at all
                value=told.get("value", "on" if kind in ("radio", "checkbox") else "") or "",
                is_on="checked" in told,
                is_required="required" in told,
                is_wrong=told.get("aria-invalid") == "true",
                is_figure=bool(told.get("inputmode")),
                autocomplete=told.get("autocomplete") or "",
                most=int(told.get("maxlength") or 0),
            )
            self.form.controls.append(control)
            self.select = control if tag == "select" else None
            self.area = control if tag == "textarea" else None
        elif tag == "option" and self.select is not None:
            self.select.options.append((told.get("value", ""), "selected" in told))

    def handle_data(self, data):
        if self.area is not None:
            self.area.value += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.form = None
        elif tag == "textarea" and self.area is not None:
            self.area.value, self.area = self.area.value.removeprefix("\n"), None
        elif tag == "select":
            self.select = None


def forms_on(page: str, url: str) -> list[Form]:
    reader = Reader(url)
    reader.feed(page)
    return reader.forms


def as_shown(form: Form) -> dict:
    """What a browser would send of a form that nobody touched."""
    sent: dict = {}
    for each in [*form.controls, *form.pressed]:
        if each.kind in ("radio", "checkbox"):
            if each.is_on:
                sent.setdefault(each.name, []).append(each.value)
        elif each.kind == "select":
            chosen = [value for value, is_chosen in each.options if is_chosen] or [v for v, _ in each.options[:1]]
            sent.setdefault(each.name, []).extend(chosen)
        elif each.kind not in ("file", "submit", "button"):
            sent.setdefault(each.name, []).append(each.value)
    return sent


def filled_in(
    form: Form,
    text: Callable[[str], str],
    wrong: Mapping[str, int] | None = None,
    given: Mapping[str, Callable[[Control], object]] | None = None,
) -> dict:
    """
    As somebody fills it in who leaves nothing out that is free text or needed.

    wrong: how often each field was refused so far, less one. What is refused is filled in otherwise: free text turns
    out to be a figure, a moment comes later, of several choices the next is taken. Where nobody says which field it was
    (`ANYTHING`), first every box is ticked, then every figure is told, then each choice is made otherwise.
    given: what a field takes, by its name.
    """
    wrong = wrong or {}
    anything = wrong.get(ANYTHING, -1)
    sent = as_shown(form)
    has_rows = any(FIRST_ROW.match(each.name) for each in form.controls)
    for each in form.controls:
        # of a sheet with many rows the first is filled in
        if has_rows and LATER_ROW.match(each.name):
            continue
        empty, is_wrong, turn = not any(sent.get(each.name, [])), each.name in wrong, wrong.get(each.name, 0)
        is_needed = is_wrong or empty and each.is_required
        if given and each.name in given:
            sent[each.name] = [given[each.name](each)]
        elif each.kind == "checkbox" and (is_wrong or anything >= 0):
            sent[each.name] = [each.value]
        elif each.kind in ("radio", "checkbox", "select"):
            offered = choices(form, each)
            if offered and is_needed:
                sent[each.name] = [offered[turn % len(offered)]]
            elif offered and anything >= 2 and not is_unit(form, each):
                sent[each.name] = [offered[(anything - 2) % len(offered)]]
        elif each.kind == "file":
            sent[each.name] = [bring(each.name, text("file"))]
        elif each.kind in AS_LONG_AS:
            if is_needed:
                sent[each.name] = [MOMENTS[turn % len(MOMENTS)][: AS_LONG_AS[each.kind]]]
        elif each.kind == "password":
            known = {"current-password": PASSWORD, "new-password": NEW_PASSWORD}
            sent[each.name] = [known.get(each.autocomplete) or figure(each.name, turn)]
        elif (each.is_figure or is_wrong) and each.kind != "hidden":
            if is_needed or empty and anything >= 1:
                sent[each.name] = [figure(each.name, turn)]
        elif each.takes_text and (empty or each.name == "name"):
            sent[each.name] = [text(each.name)[: each.most or None]]
    return sent


def choices(form: Form, control: Control) -> list[str]:
    if control.kind == "select":
        return [value for value, _ in control.options if value]
    return [each.value for each in form.controls if each.name == control.name]


def is_unit(form: Form, control: Control) -> bool:
    """The unit of a figure beside it."""
    figure = f"{control.name.removesuffix('_1')}_0"
    return control.name.endswith("_1") and any(each.name == figure for each in form.controls)


# what they are about is gone once others were sent
SENT_FIRST = (
    "shelf:open",
    "shelf:split",
    "waste:report",
    "bites:read",
    "waste:strip",
    "waste:look_over",
    "waste:move",
    "waste:test",
    "people:induct",
    "people:invite_one",
    "people:role",
)
# these end what the others need, such as a stay or a name
SENT_LAST = (
    "people:left", "people:mark_tablet", "people:own_password", "people:own_pin", "people:stays",
    "people:take_name_out",
)  # fmt: skip
# a code that a telephone makes is sent by tests/studio/people/test_second_factor.py
NOT_BY_HAND = {"people:second_factor"}


def addresses() -> dict[str, str]:
    """Every address of a studio that has one of everything, and what some acts need besides."""
    known = one_of_everything()
    adopted(name="Second tank")
    counted = CountSheet.objects.get(pk=known["shelf"]["sheet"])
    counting.note(counted, {Container.objects.get(code=known["shelf"]["code"]): 400_000}, by=signed().done_by)
    plate(at=1, name="Here")
    away = stocked("300 g", name="Lent ink")
    shelf.send_away(away, place=PlaceFactory(kind=Place.Kind.AWAY), by=signed(1))
    put(full := drum("bath_spent", name="W7"), 4)
    drum("bath_spent", name="W6")
    invited = PersonFactory()
    PersonFactory(account=None, role="")
    invitations.invite([invited], role=MEMBER, by=signed(1))
    copper = stocked("30x40 cm", name="Sheet copper", dimension="area", shown_unit="cm2", thickness_um=1291)
    known |= {"shelf:confirm": {"code": away.code}, "people:take_back": {"pk": invited.pk}}
    known |= {"shelf:cut": {"code": copper.code}, "waste:strip": known["cathodes"]}
    known |= {f"waste:{page}": {"pk": full.pk} for page in ("pour_over", "test")}
    known |= {f"waste:{page}": known["baths"] for page in ("strain", "take_out")}
    return addresses_of(known)


def keyholder() -> Client:
    """A keyholder's browser; a page that breaks is an answer like any other."""
    person = PersonFactory(role=KEYHOLDER)
    person.account.set_password(PASSWORD)
    person.account.save()
    client = Client(raise_request_exception=False)
    client.person = person
    sign_in(client, person)
    sign_in(Client(), person)  # where they are signed in besides
    return client


def again(client: Client) -> Client:
    """The same browser before it took any other cookie."""
    other = Client(raise_request_exception=False)
    other.cookies.update(client.cookies)
    return other


def figure(name: str, turn: int) -> str:
    last = re.sub(r"^(row|line)\d+-", "", name)
    ladder = [FIGURES[last], *LADDER] if last in FIGURES else [*LADDER]
    # at last nothing at all
    return [*ladder, ""][min(turn, len(ladder))]


def bring(name: str, called: str) -> SimpleUploadedFile:
    if name == "pictures":
        return SimpleUploadedFile(f"{called}.jpg", photo(), content_type="image/jpeg")
    return SimpleUploadedFile(f"{called}.pdf", sheet(), content_type="application/pdf")


@dataclass
class Sent:
    """The last try of a form: what was sent, what came back, and whether it led on."""

    form: Form
    typed: dict
    answer: HttpResponse

    @property
    def is_taken(self) -> bool:
        if self.answer.status_code == 302:
            return SIGN_IN not in self.answer.headers["Location"]
        # links to come in by are shown at once, and the form is gone
        return self.answer.status_code == 200 and not self.forms_again

    @property
    def forms_again(self) -> list[Form]:
        page = self.answer.content.decode(errors="replace")
        return [each for each in forms_on(page, self.form.url) if each.url == self.form.url]


def said_of(sent: Sent) -> str:
    """What was wrong with it, for whoever teaches this module a new page."""
    page = sent.answer.content.decode(errors="replace")
    said = re.findall(r'class="[^"]*(?:error|refus|wrong)[^"]*"[^>]*>(.*?)</(?:ul|p|div|li|span)>', page, re.DOTALL)
    told = [" ".join(re.sub(r"<[^>]+>", " ", each).split()) for each in said]

    return f"{sent.answer.status_code} {sorted(set(told))} {sent.typed}"


SIGN_IN = "/people/sign-in/"


def fill_and_send(
    client: Client,
    url: str,
    number: int,
    text: Callable[[str], str],
    given: Mapping[str, Callable[[Control], object]] | None = None,
    refused: list[Sent] | None = None,
) -> Sent:
    """
    One form of a page, until it is taken or a few tries have failed; what is refused is guessed otherwise.

    refused: gets every try that was turned back with a page.
    """
    wrong: dict[str, int] = {}
    form = forms_on(client.get(url).content.decode(), url)[number]
    for _ in range(TRIES):
        typed = filled_in(form, text, wrong, given)
        sent = Sent(form, typed, client.post(form.url, typed))
        if sent.is_taken or sent.answer.status_code != 200:
            break
        if refused is not None:
            refused.append(sent)
        again = sent.forms_again
        form = again[min(number, len(again) - 1)]  # with what was typed, and what is asked besides
        wrong_ones = {each.name for one in again for each in one.controls if each.is_wrong}
        if not wrong_ones and wrong.get(ANYTHING, -1) == TIMES_ANYTHING:
            break
        for name in wrong_ones or {ANYTHING}:
            wrong[name] = wrong.get(name, -1) + 1
    return sent


def writing_pages(client: Client, addresses: Mapping[str, str]) -> Iterator[tuple[str, str, int]]:
    """The name, the address and the number of each form that sends something."""
    blank = papers.pdf("print.html", {}, title="Blank")
    for name, url in sorted(addresses.items()):
        with patch.object(press, "print_alone", return_value=blank):
            answer = again(client).get(url)
        if answer.headers.get("Content-Type", "").startswith("text/html") and answer.status_code == 200:
            for number, _ in enumerate(forms_on(answer.content.decode(), url)):
                yield name, url, number
        elif answer.streaming:
            list(answer.streaming_content)


def one_after_the_other(
    client: Client, pages: Iterable[tuple[str, str, int]]
) -> Iterator[tuple[Client, str, str, int]]:
    """Each form with the browser that sends it, in an order in which few end what the others need."""
    turns = {name: turn - len(SENT_FIRST) for turn, name in enumerate(SENT_FIRST)} | dict.fromkeys(SENT_LAST, 1)
    for name, url, number in sorted(pages, key=lambda page: turns.get(page[0], 0)):
        yield (keyholder() if name in SENT_LAST else again(client)), name, url, number


def plain_words(name: str) -> str:
    return f"words {uuid.uuid4().hex[:6]}"


def is_by_hand(name: str) -> bool:
    return name not in NOT_BY_HAND
