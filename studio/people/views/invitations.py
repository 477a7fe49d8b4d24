"""Links that let people in: made, shown once, printed, taken back and used."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.cache import never_cache

from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.drawing import qr
from studio.pages import errands
from studio.pages.views import EntryView
from studio.people import invitations, members, tablets
from studio.people.forms.invitations import ComeInForm, InviteForm, MembersForm
from studio.people.invitations import Link
from studio.people.roles import KEYHOLDER, keyholder_required
from studio.people.views.people import SOMEBODY, AboutSomebodyView
from studio.printing import papers


def shown(request, links: list[Link]) -> list[dict]:
    """Each link as somebody is going to use it: its address and its code."""
    addressed = [(link, qr.address(request, link.path)) for link in links]
    return [
        {"link": link, "address": address, "code": qr.svg(address, title=_("The code of this link"))}
        for link, address in addressed
    ]


def mailed_words(count: int) -> str:
    words = ngettext("One link goes by mail.", "%(count)s links go by mail.", count)
    return words % {"count": count}


class LinkView(EntryView):
    """Writes an entry, and answers with the links that it made: nothing can show them again."""

    keyholder_only = True

    def write(self, **facts) -> Entry:
        entry, self.links = self.operation(**facts)
        return entry

    def go_on(self, entry):
        # a second tap finds the entry and no links
        links = getattr(self, "links", None)
        mailed = invitations.count_mailed(entry)
        if links == []:
            if mailed:
                messages.success(self.request, mailed_words(mailed))
            return redirect("people:people")
        context = {"links": shown(self.request, links or []), "caution": qr.caution(self.request), "entry": entry}
        context["mailed"] = mailed_words(mailed) if mailed else ""
        return render(self.request, "people/links.html", context)


class MembersView(LinkView):
    form_class = MembersForm
    operation = staticmethod(members.add_all)

    def post(self, request, *args, **kwargs):
        if self.form.is_valid() and not self.form.is_confirmed and self.form.entry() is None:
            self.form.show()
            return self.get(request)
        return super().post(request, *args, **kwargs)


class InviteView(LinkView):
    form_class = InviteForm
    operation = staticmethod(invitations.invite)


class InviteOneView(InviteView):
    """For somebody with an account it opens the choice of a new password."""

    template_name = "people/invite.html"
    queryset = SOMEBODY.here()
    form_wants = "who"

    def write(self, **facts):
        entry, self.links = invitations.invite(**facts)
        return entry


take_back = AboutSomebodyView.as_view(
    operation=invitations.take_back,
    keyholder_only=True,
    words={"heading": gettext_lazy("Take back the link"), "submit": gettext_lazy("Take it back")},
)


@keyholder_required
@errands.button
def slips(request):
    """Slips to hand over, of links that a page still shows."""
    links = invitations.links_of(request.POST.getlist("secret"))
    if not links:
        messages.error(request, _("These links open nothing any more. Invite again."))
        return redirect("people:people")
    return papers.answer(request, "people/papers/slips.html", {"links": shown(request, links)}, title=_("Come in"))


@login_not_required
@never_cache
def come_in(request, secret):
    """Whoever was invited chooses how to sign in. Asking for the page uses nothing up: mail programs look too."""
    if (lockout := invitations.too_many_tries(request)) is not None:
        return lockout
    invitation = invitations.found(request, secret)
    why_shut = invitations.why_shut(invitation) if invitation else _("This link is not known here. Is it whole?")
    if invitation is None or why_shut:
        return render(request, "people/link_shut.html", {"why": why_shut}, status=404 if invitation is None else 410)
    person = invitation.person
    may_choose_pin = invitations.may_choose_pin(person)
    form = ComeInForm(request.POST or None, person=person, may_choose_pin=may_choose_pin)
    if form.is_valid():
        try:
            facts = form.facts()
            invitations.accept(invitation, **facts)
        except Refused as refusal:
            form.refuse(refusal)
        else:
            return welcome(request, Person.objects.select_related("account").get(pk=person.pk), by_pin=facts["pin"])
    return render(request, "people/come_in.html", {"form": form, "invited": person, "invitation": invitation})


def welcome(request, person: Person, *, by_pin: str):
    if by_pin:
        return render(request, "people/pin_chosen.html", {"invited": person})
    login(request, person.account, backend="studio.people.backend.BookBackend")
    tablets.keep_short(request)
    messages.success(request, _("Welcome, %(person)s.") % {"person": person})
    if person.role == KEYHOLDER and request.workshop.asks_keyholders_for_code:
        return redirect("people:second_factor")
    return redirect("bench:bench")
