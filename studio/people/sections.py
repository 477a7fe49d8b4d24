"""What people have to say on the Studio page: how mail goes."""

from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inventory.dates import long_moment
from studio.pages.sections import section_of
from studio.people import outbox
from studio.people.models import Mail


@section_of("studio")
def mail(request: Any) -> dict[str, SafeString]:
    if not request.is_keyholder:
        return {}
    never = _("none in the last 90 days")
    known, account = Mail.objects.summary(), settings.MAIL
    told = [(_("Account"), _("none: MORDANT_MAIL names one"))]
    if outbox.is_set_up():
        security = _("encrypted") if account.starts_tls or account.uses_tls else _("not encrypted")
        failure = never
        if known["last_failed_at"]:
            failed = Mail.objects.filter(failed_at=known["last_failed_at"]).first()
            failure = f"{long_moment(known['last_failed_at'])}: {failed.error if failed else ''}"
        told = [
            (_("Account"), f"{account.host}:{account.port}, {security}"),
            (_("From"), settings.DEFAULT_FROM_EMAIL),
            (_("Last sent"), long_moment(known["last_sent_at"]) if known["last_sent_at"] else never),
            (_("Last failure"), failure),
        ]
        if not outbox.can_tell_addresses():
            told.append((_("Links in mails"), _("none: MORDANT_URL says where the book is found")))
    if known["waiting"]:
        told.append((_("Waiting"), known["waiting"]))
    given_up = Mail.objects.given_up().select_related("person") if known["given_up"] else ()
    shown = {"facts": told, "is_set_up": outbox.is_set_up(), "given_up": given_up}
    return {"mail": SafeString(render_to_string("people/_mail.html", shown, request=request))}
