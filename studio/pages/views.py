"""The two kinds of page: one that writes an entry, and one that reads what is the same for everybody."""

import logging
from collections.abc import Callable, Collection, Iterable
from functools import cache
from types import MappingProxyType
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import DatabaseError
from django.db.models import QuerySet
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise, SimpleLazyObject, cached_property
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString
from django.views.generic import View

from inventory.asked_often import asked_often
from inventory.models import Entry
from studio.pages import errands
from studio.pages.fragment_cache import Dependency, cached_fragment
from studio.pages.writing import ASK_A_KEYHOLDER, READS_ONLY, NextDeed, SignedForm, write_once

log = logging.getLogger("studio.pages")


class PageView(View):
    """
    What both have in common: whom they let in, and the thing that their address names.

    queryset: where that thing is found; None for a page about nothing in particular.
    template_name: left out, the address's own name in the folder of its feature.
    """

    request: Any  # it knows the workshop, the person and the role
    template_name = ""
    queryset: QuerySet | None = None
    keyholder_only = False
    writes = False

    def dispatch(self, request, *args, **kwargs):
        if self.keyholder_only and not request.is_keyholder:
            raise PermissionDenied(ASK_A_KEYHOLDER)
        # before the role is asked: what is not there reads "not found" to everybody
        self.object = self.get_object()
        if self.writes and request.is_viewer:
            raise PermissionDenied(READS_ONLY)
        return self.instead() or super().dispatch(request, *args, **kwargs)

    def get_object(self) -> Any:
        """The thing of the address: by its code, where that is what the address holds, otherwise by its number."""
        if self.queryset is None:
            return None
        [(argument, value)] = self.kwargs.items()
        found = thing_by(self.queryset, argument)(value)
        if not found:
            raise Http404
        return found[0]

    def instead(self) -> HttpResponseBase | None:
        """An answer in place of the page, where it cannot be asked for yet or no longer."""
        return None

    def template_of_address(self, *, is_part: bool = False) -> str:
        match = self.request.resolver_match
        return f"{match.app_name}/{'_' if is_part else ''}{match.url_name}.html"

    def get_context_data(self) -> dict[str, Any]:
        """The thing under the name of its model: a bath as `bath`."""
        # of the model and not of the thing, which would have to be fetched for its name
        return {} if self.queryset is None else {self.queryset.model._meta.model_name: self.object}


@cache
def thing_by(rows: Any, argument: str) -> Callable[..., list[Any]]:
    """The question that a page asks for its thing; rows: of a page, so there are no more of them than pages."""

    def by_code(value: str) -> QuerySet:
        return rows.with_code(value)  # those with a code are containers

    def by_number(value: int) -> QuerySet:
        return rows.filter(pk=value)

    return asked_often(by_code if argument == "code" else by_number)


class EntryView(PageView):
    """
    A page that writes: it asks in a form, does one operation once, and goes on.

    A double tap finds its first entry and goes on as if it had just been written. A viewer is not asked at all.

    form_wants: the name by which the form is told the thing of the page, where it asks for it.
    operation: writes the entry, told the thing of the page, if there is one, and what the form asked.
    prefilled: what the address may say beforehand, such as ?bath=2.
    success_url: a page's name, or what the entry leads to; left out, the thing of the page.
    afterwards: what usually comes next, pairs of words and the name of a page of the same thing.
    words: what the template says, where several pages share it.
    """

    writes = True
    form_class: type[SignedForm] = SignedForm
    form_wants = ""
    operation: Any = None
    prefilled: Collection[str] = ()
    success_url: str | Callable[[Entry], Any] = ""
    afterwards: Collection[tuple[str | Promise, str]] = ()
    words: Any = MappingProxyType({})

    @cached_property
    def form(self) -> Any:
        return errands.form_of(self.request, self.form_class, request=self.request, **self.get_form_kwargs())

    def get_form_kwargs(self) -> dict[str, Any]:
        told = {self.form_wants: self.object} if self.form_wants else {}
        initial = self.get_initial()
        return told | {"initial": initial} if initial else told

    def get_initial(self) -> dict[str, Any]:
        return {name: self.request.GET.get(name, "") for name in self.prefilled}

    def get_context_data(self) -> dict[str, Any]:
        return {**super().get_context_data(), **self.words, "form": self.form, "now": timezone.localtime()}

    def get(self, request, *args, **kwargs):
        return render(request, self.template_name or self.template_of_address(), self.get_context_data())

    def post(self, request, *args, **kwargs):
        if away := errands.set_out(request):
            return away
        # a form sent without anything, as by a script that only asks, is shown and not judged
        entry = write_once(request, self.form, self.write, self.next_deeds) if self.form.is_bound else None
        if entry is None:
            return self.get(request)
        try:
            errands.written(request)
            back = errands.way_back(request)
            return self.back_to(back) if back else self.go_on(entry)
        except DatabaseError:
            # it is written: whatever fails from here on must not look as if it were not
            log.exception("written, but what comes next could not be read")
            return redirect(entry)

    def write(self, **facts: Any) -> Entry:
        return self.operation(**facts) if self.object is None else self.operation(self.object, **facts)

    def next_deeds(self, entry: Entry) -> Iterable[NextDeed]:
        """What usually comes next: each page of `afterwards`, of the thing of the page."""
        return [NextDeed(words, self.next_page(name)) for words, name in self.afterwards]

    def next_page(self, name: str) -> str:
        return reverse(name, args=list(self.kwargs.values()))

    def back_to(self, form: str) -> HttpResponseBase:
        """The end of an errand; form: the address of the one that waits."""
        return redirect(form)

    def go_on(self, entry: Entry) -> HttpResponseBase:
        to = self.success_url(entry) if callable(self.success_url) else self.success_url
        return redirect(to or self.object)


class ReadView(PageView):
    """
    A page that reads: what is the same for everybody of a role is made once, and kept until something in it changes.

    part_name: the template of what is kept; the page's own shows it as `whole`, and around it what is the reader's.
    regardless_of: what the part shows nothing of.
    """

    part_name = ""
    regardless_of: Collection[Dependency] = ()

    def get_object(self) -> Any:
        """Looked for when something asks: where the part is kept, often nothing does."""
        return SimpleLazyObject(super().get_object)

    def get(self, request, *args, **kwargs):
        context = {"title": self.title} | self.get_context_data() | {"whole": self.part()}
        return render(request, self.template_name or self.template_of_address(), context)

    def title(self) -> SafeString:
        """What the thing of the page is called; kept too, so that nothing is fetched for its name alone."""
        return self.kept("title", lambda: conditional_escape(self.object))

    def part(self) -> SafeString:
        name = self.part_name or self.template_of_address(is_part=True)
        return self.kept(name, lambda: render_to_string(name, self.get_part_data()))

    def kept(self, name: str, make: Callable[[], str]) -> SafeString:
        return cached_fragment(name, self.request, regardless_of=self.regardless_of, make=make)

    def get_part_data(self) -> dict[str, Any]:
        """What the kept part shows: nothing of whoever asks but their role."""
        raise NotImplementedError
