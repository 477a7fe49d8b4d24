"""
An errand on the way: a form is left for another page, which comes back to it with all that was typed.

What was typed waits in the session, under the page's whole address. Of every form that `form_of` makes, a field leads
to the page that makes what it chooses from (`MADE_AT` of its model), a refusal to the pages that help. A file alone has
to be chosen again, for a browser hands none over twice.

A form that is sent after its stay has ended waits in the same way, while its typist signs in again.
"""

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any
from urllib.parse import urlencode, urlsplit, urlunsplit

from django import forms
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

LEAVE, BACK = "leave", "back"  # the name of the buttons that lead away, and what the address says of the way back
TYPED, TYPIST = "typed", "typist"
MOST_WAITING, LONGEST_TYPED = 8, 200_000  # a sheet of many rows
OF_THE_BROWSER = ("csrfmiddlewaretoken", LEAVE)


def set_out(request: HttpRequest) -> HttpResponseBase | None:
    """To the page that a button of the form names, once what was typed is kept; None for any other button."""
    to = request.POST.get(LEAVE, "")
    if not is_ours(to, request):
        return None
    keep(request)
    return redirect(with_back(to, request.get_full_path()))


def keep(request: HttpRequest) -> None:
    typed = request.POST.copy()
    for name in OF_THE_BROWSER:
        typed.pop(name, None)
    waiting = {**request.session.get(TYPED, {})}
    waiting.pop(here := request.get_full_path(), None)
    if len(text := typed.urlencode()) <= LONGEST_TYPED:
        waiting[here] = text
    request.session[TYPED] = dict(list(waiting.items())[-MOST_WAITING:])


def keep_for(request: HttpRequest, account: str) -> None:
    """What somebody sent whose stay had ended; nobody else who signs in here is shown it."""
    if request.session.get(TYPIST) != account:
        request.session.pop(TYPED, None)
    keep(request)
    request.session[TYPIST] = account


def take_up(session: SessionBase, account: str) -> None:
    """Somebody has signed in."""
    typist = session.pop(TYPIST, None)
    if typist and typist != account:
        session.pop(TYPED, None)


def button(view: Callable[..., Any]) -> Callable[..., Any]:
    """Where a button of another page leads that shows nothing itself; somebody who signs in sees that page again."""
    pressed: Any = require_POST(view)
    pressed.is_button = True
    return pressed


def page_of_button(request: HttpRequest) -> str:
    """The page on which it was pressed; the bench where a browser does not say."""
    page = request.META.get("HTTP_REFERER", "")
    if not url_has_allowed_host_and_scheme(page, {request.get_host()}):
        return reverse("bench:bench")
    return urlunsplit(("", "", *urlsplit(page)[2:]))


def form_of(request: HttpRequest, form_class: Callable[..., Any], /, **told: Any) -> Any:
    """A form as it was sent, or as it waits since somebody left it for another page."""
    typed = request.POST or waiting(request)
    form = form_class(typed or None, request.FILES or None, **told)
    form.is_taken_up = bool(typed and not request.POST)
    form.may_be_left = True
    return form


def may_be_left(view: Callable[..., Any]) -> Callable[..., Any]:
    """A function of a page whose forms are `form_of`; once it leads on, nothing waits any longer."""

    @wraps(view)
    def page(request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
        if away := set_out(request):
            return away
        answer = view(request, *args, **kwargs)
        if request.method != "POST" or answer.status_code != 302:
            return answer
        written(request)
        back = way_back(request)
        return redirect(back) if back else answer

    return page


def waiting(request: HttpRequest) -> QueryDict | None:
    """What was typed here before somebody went on an errand."""
    text = request.session.get(TYPED, {}).get(request.get_full_path())
    return QueryDict(text) if text else None


def written(request: HttpRequest) -> None:
    """What was typed here waits no longer."""
    kept = request.session.get(TYPED, {})
    if kept.pop(request.get_full_path(), None):
        request.session[TYPED] = kept


def way_back(request: HttpRequest) -> str:
    """The form whose errand this page is; empty where it is none."""
    back = request.GET.get(BACK, "")
    return back if is_ours(back, request) else ""


def with_back(url: str, back: str) -> str:
    """The address of a page that is part of the errand."""
    if not back:
        return url
    return f"{url}{'&' if urlsplit(url).query else '?'}{urlencode({BACK: back})}"


def is_ours(url: str, request: HttpRequest) -> bool:
    return url.startswith("/") and url_has_allowed_host_and_scheme(url, {request.get_host()})


def way_of(field: forms.BoundField) -> tuple[str | Promise, str] | None:
    """Where what a field chooses from is made, in words and as an address; beside the first of its form alone."""
    way = _way(field)
    return way if way and next(each.name for each in field.form if _way(each) == way) == field.name else None


def ways_of(form: Iterable[forms.BoundField]) -> list[tuple[str | Promise, str]]:
    """Those of all its fields, each once: for a sheet of many rows."""
    return list(dict.fromkeys(way for field in form if (way := _way(field))))


def _way(field: forms.BoundField) -> tuple[str | Promise, str] | None:
    form: Any = field.form
    # a field whose choices are no rows of a query says itself what it chooses from
    model = getattr(field.field, "chooses", None) or getattr(getattr(field.field, "queryset", None), "model", None)
    made_at = getattr(model, "MADE_AT", None)
    if not (made_at and getattr(form, "may_be_left", False)):
        return None
    words, page, by_keyholders = made_at
    return None if by_keyholders and not form.request.is_keyholder else (words, reverse(page))
