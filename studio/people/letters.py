"""Mails about the book itself: the one that tries whether mail is sent, and the link that somebody was invited by."""

from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.dates import long_moment
from studio.people import invitations
from studio.people.models import Invitation, Mail
from studio.people.outbox import Letter, composes
from studio.server import network
from studio.workshop.models import Workshop


@composes(Mail.TEST)
def test(mail: Mail) -> Letter:
    words = {"workshop": Workshop.objects.get()}
    return Letter(_("Mail from the book of %(workshop)s") % words, _("The book of %(workshop)s sends mail.") % words)


@composes(Mail.INVITATION)
def invitation(mail: Mail) -> Letter | None:
    """The link is made here and kept nowhere: what waited in the outbox opens nothing."""
    invited = Invitation.objects.open_at(timezone.now()).filter(pk=mail.about).select_related("person").first()
    if invited is None:
        return None
    link = invitations.renew(invited)
    words = {
        "workshop": Workshop.objects.get(),
        "address": network.public(link.path),
        "until": long_moment(link.expires_at),
    }
    text = _("Choose how you sign in to the book of %(workshop)s:\n\n%(address)s\n\nThis opens once, until %(until)s.")
    return Letter(_("Come into the book of %(workshop)s") % words, text % words)
