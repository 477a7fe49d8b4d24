"""What is done to a cathode. Each is one entry in one transaction."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.measured import Measured
from chemistry.quantity import quantity
from inventory import book
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Entry, Material
from inventory.refusals import Questioned, Refused
from studio.baths.models import Bath
from studio.bites.plates import question_metal
from studio.cathodes import hangings, kinds
from studio.cathodes.models import Cathode, CathodeWeighing, CopperContent, Hanging, Sheet, Strip
from studio.cathodes.sheets import InOne
from studio.cathodes.status import status_of_cathode

UNLIKELY_TIMES, UNLIKELY_G = 3, 5.0  # so much more than the current can have laid down is a slip of the pen


def hang_new(cathode: Cathode, *, sheet: Sheet, bath: Bath, by: Signed, metal_anyway: bool = False) -> Entry:
    """A sheet comes into the book as a cathode, bare, and hangs in a bath."""
    with book.entry(kinds.HUNG, hung_words(cathode, bath, by), by) as entry:
        come_into_the_book(cathode, sheet, entry)
        hang_in(cathode, bath, entry, metal_anyway=metal_anyway)
    return entry


def hang(cathode: Cathode, *, bath: Bath, by: Signed, metal_anyway: bool = False) -> Entry:
    """A cathode goes into a bath, or back into it; the one that hung there came out for it."""
    with writing(cathode, kinds.HUNG, hung_words(cathode, bath, by), by) as entry:
        refuse_before_it_came(cathode, entry)
        if hangings.bath_of(cathode, entry.happened_at) == bath:
            raise Refused("bath", _("It hangs in %(bath)s already.") % {"bath": bath})
        hang_in(cathode, bath, entry, metal_anyway=metal_anyway)
    return entry


def replace(old: Cathode, *, by: Signed, new: Cathode, sheet: Sheet | None = None, metal_anyway: bool = False) -> Entry:
    """One cathode comes out of its bath and another goes in; with a sheet, the other is new to the book."""
    with writing(old, kinds.HUNG, _("Replaced %(old)s by %(new)s") % {"old": old, "new": new}, by, other=new) as entry:
        refuse_before_it_came(old, entry)
        bath = hangings.bath_of(old, entry.happened_at)
        if bath is None:
            raise Refused("happened_at", _("It hung in no bath then."), ways=[hang_it(old)])
        if sheet:
            come_into_the_book(new, sheet, entry)
        else:
            refuse_before_it_came(new, entry)
        if new == old:
            raise Refused("ready", _("It hangs there already; choose another one."))
        Hanging.objects.create(entry=entry, cathode=old, bath=None)
        hang_in(new, bath, entry, metal_anyway=metal_anyway)
    return entry


def take_out(cathode: Cathode, *, by: Signed) -> Entry:
    """A cathode leaves its bath and keeps what has gathered on it."""
    with writing(cathode, kinds.TAKEN_OUT, _("Took %(cathode)s out") % {"cathode": cathode}, by) as entry:
        if hangings.bath_of(cathode, entry.happened_at) is None:
            raise Refused("happened_at", _("It hung in no bath then."), ways=[hang_it(cathode)])
        # its copper stays on it: only a strip takes that off
        Hanging.objects.create(entry=entry, cathode=cathode, bath=None)
    return entry


def measure(cathode: Cathode, *, sheet: Sheet, by: Signed) -> Entry:
    """What is known of the sheet is put right; it holds for all of its past."""
    # no moment is refused as too early: what was measured of the sheet was so all the time
    with writing(
        cathode, kinds.MEASURED, _("Measured %(cathode)s: %(sheet)s") % {"cathode": cathode, "sheet": sheet}, by
    ) as entry:
        record_sheet(cathode, sheet, entry)
    return entry


def weigh(
    cathode: Cathode, *, weight: Measured, by: Signed, is_dry: bool = True, unlikely_anyway: bool = False
) -> Entry:
    weighing = CathodeWeighing(cathode=cathode, mass_g=weight.value, half_width_g=weight.half_width, is_dry=is_dry)
    with writing(
        cathode, kinds.WEIGHED, _("Weighed %(cathode)s: %(weighing)s") % {"cathode": cathode, "weighing": weighing}, by
    ) as entry:
        refuse_before_it_came(cathode, entry)
        sheet = sheet_of(cathode)
        # no tick helps here: a sheet lighter than bare would have copper below nothing
        refuse_lighter_than_bare(weight, sheet, cathode)
        with entry.unless(unlikely_anyway):
            question_unlikely(cathode, weight.value - sheet.bare_g, entry)
        weighing.entry = entry
        weighing.save()
    return entry


def strip(
    cathode: Cathode,
    *,
    weight: Measured,
    by: Signed,
    is_dry: bool = True,
    powder_g: float = 0.0,
    unlikely_anyway: bool = False,
) -> Entry:
    """Copper comes off a cathode; loose powder is kept wet and apart from the metal."""
    came_off = Strip(
        cathode=cathode, mass_g=weight.value, half_width_g=weight.half_width, is_dry=is_dry, powder_g=powder_g
    )
    with writing(
        cathode,
        kinds.STRIPPED,
        _("Stripped %(cathode)s: %(came_off)s") % {"cathode": cathode, "came_off": came_off},
        by,
    ) as entry:
        refuse_before_it_came(cathode, entry)
        # an empty strip would make the cathode bare in the book
        if not weight.value and not powder_g:
            raise Refused("mass_g", _("Nothing came off by this: give the metal, the powder or both as weighed."))
        with entry.unless(unlikely_anyway):
            question_unlikely(cathode, weight.value, entry)
        came_off.entry = entry
        came_off.save()
    return entry


def say_copper(material: Material, *, said: InOne, by: Signed) -> Entry:
    """How much copper is in a piece, mm², mm or mg of a material, so that the balance can follow it off the shelf."""
    with book.entry(
        kinds.COPPER_CONTENT, _("Copper in %(material)s: %(words)s") % {"material": material, "words": said.words}, by
    ) as entry:
        CopperContent.objects.create(
            entry=entry, material=material, grams=said.copper.value, sd_g=said.copper.sd, words=said.words
        )
    return entry


@contextmanager
def writing(cathode: Cathode, kind: str, subject: str, by: Signed, *, other: Cathode | None = None) -> Iterator[Entry]:
    """One entry about one cathode or two, one at a time, and none about a cathode that was struck meanwhile."""
    with book.entry(kind, subject, by) as entry:
        keys = {each.pk for each in (cathode, other) if each and each.pk}
        for each in Cathode.objects.select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk"):
            # its entry is read once the lock is held: PostgreSQL would hand out the one of before the wait
            if each.entry.is_struck:
                raise Refused(
                    None,
                    _("%(each)s was struck out of the book: %(strike_reason)s.")
                    % {"each": each, "strike_reason": each.entry.strike_reason},
                    ways=[(_("Why it was struck"), each.entry.get_absolute_url())],
                )
        yield entry


def hung_words(cathode: Cathode, bath: Bath, by: Signed) -> str:
    there = bath.hangings.hung_at(by.happened_at or timezone.now())
    if there and there.cathode != cathode:
        places = {"cathode": cathode, "bath": bath, "other": there.cathode}
        return _("Hung %(cathode)s in %(bath)s, in the place of %(other)s") % places
    return _("Hung %(cathode)s in %(bath)s") % {"cathode": cathode, "bath": bath}


def come_into_the_book(cathode: Cathode, sheet: Sheet, entry: Entry) -> None:
    refuse_a_second(cathode)
    cathode.entry = entry
    cathode.save()
    record_sheet(cathode, sheet, entry)


def hang_in(cathode: Cathode, bath: Bath, entry: Entry, *, metal_anyway: bool) -> None:
    # new, back again or in the place of another: the bath eats it all the same
    with entry.unless(metal_anyway):
        question_metal(cathode.name, _("copper or stainless steel"))
    # one cathode to a bath at a time: whoever hangs another waits
    Bath.objects.select_for_update(of=("self",)).get(pk=bath.pk)
    Hanging.objects.create(entry=entry, cathode=cathode, bath=bath)


def record_sheet(cathode: Cathode, sheet: Sheet, entry: Entry) -> None:
    sheet.entry, sheet.cathode = entry, cathode
    sheet.save()


def sheet_of(cathode: Cathode) -> Sheet:
    """As it was measured last; a cathode came into the book with its first."""
    sheet: Sheet = cathode.sheets.standing().latest("entry__happened_at", "entry_id")
    return sheet


def hang_it(cathode: Cathode) -> tuple[str, str]:
    return _("Hang it"), reverse("cathodes:hang", args=[cathode.pk])


def refuse_a_second(cathode: Cathode) -> None:
    if there := Cathode.objects.standing().filter(name__iexact=cathode.name).first():
        ways = [(_("The cathode of that name"), there.get_absolute_url())]
        raise Refused(
            "name",
            _("There is a cathode called %(cathode)s already; give this one another name.") % {"cathode": cathode},
            ways=ways,
        )


def refuse_before_it_came(cathode: Cathode, entry: Entry) -> None:
    came_at = Cathode.objects.select_related("entry").get(pk=cathode.pk).entry.happened_at
    if entry.happened_at < came_at:
        raise Refused(
            "happened_at",
            _("%(cathode)s was first hung on %(came_at)s.") % {"cathode": cathode, "came_at": long_day(came_at)},
            ways=[(_("Its page"), cathode.get_absolute_url())],
        )


def refuse_lighter_than_bare(weight: Measured, sheet: Sheet, cathode: Cathode) -> None:
    gathered = weight - sheet.bare
    # within what both weighings may be off, it is bare
    if gathered.value < -gathered.half_width:
        raise Refused(
            "mass_g",
            _(
                "%(value)s is less than the %(bare_g)s of the bare sheet. Weigh it again; if the bare "
                "sheet has changed, put its figures right first."
            )
            % {"value": quantity(weight.value, "g"), "bare_g": quantity(sheet.bare_g, "g")},
            ways=[(_("Put its figures right"), reverse("cathodes:measure", args=[cathode.pk]))],
        )


def question_unlikely(cathode: Cathode, gathered_g: float, entry: Entry) -> None:
    """Far more than the current can have laid down is asked about once."""
    # as it stood at that moment: a backdated weighing is held against the bites before it alone
    now = status_of_cathode(cathode, entry.happened_at)
    if now and gathered_g > UNLIKELY_TIMES * now.deposit.value + UNLIKELY_G:
        raise Questioned(
            "unlikely_anyway",
            _("By the current there should be about %(value)s on it, and this makes %(gathered_g)s.")
            % {
                "value": quantity(now.deposit.value, "g", decimals=1),
                "gathered_g": quantity(gathered_g, "g", decimals=1),
            },
            _("Look again at the scale; tick to write it all the same."),
        )
