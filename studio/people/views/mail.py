"""What somebody is mailed, and what a keyholder does about mail that was not sent."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _

from studio.pages import errands
from studio.people import outbox
from studio.people.forms.mail import WishesForm
from studio.people.models import Mail, MailWishes
from studio.people.roles import keyholder_required


def own(request):
    """Chosen by whoever it is about; to choose nothing is to be mailed nothing."""
    known = MailWishes.objects.filter(person=request.person).first()
    address = outbox.address_of(request.person)
    initial = {"kinds": known.kinds.strip(",").split(",") if known else []}
    # sent with nothing chosen it is sent all the same
    sent = request.POST if request.method == "POST" else None
    form = WishesForm(sent, address=address, initial=initial)
    if form.is_valid():
        outbox.choose(request.person, form.cleaned_data["kinds"])
        messages.success(request, _("Chosen.") if form.cleaned_data["kinds"] else _("No mail comes any more."))
        return redirect("people:people")
    return render(request, "people/mail.html", {"form": form, "address": address, "is_set_up": outbox.is_set_up()})


@keyholder_required
@errands.button
def test(request):
    """Sent while the keyholder waits; what went wrong is said in a sentence."""
    if not outbox.is_set_up():
        messages.error(request, _("No mail account is set up."))
    elif not outbox.address_of(request.person):
        words = _('Write down first <a href="{}">at which address mail reaches you</a>.')
        messages.error(request, format_html(words, reverse("people:contact", args=[request.person.pk])))
    else:
        mail = outbox.test(request.person)
        if mail.sent_at:
            messages.success(request, _("Sent. Look whether it arrived, among unwanted mail too."))
        else:
            messages.error(request, _("Not sent. %(why)s") % {"why": mail.error})
    return redirect("workshop:studio")


@keyholder_required
@errands.button
def decide(request, pk):
    """Somebody decides on a mail that was not sent: once more, or let it be."""
    mail = get_object_or_404(Mail.objects.given_up(), pk=pk)
    outbox.send_again(mail) if "again" in request.POST else outbox.leave(mail)
    return redirect("workshop:studio")
