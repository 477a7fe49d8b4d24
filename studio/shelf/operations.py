"""What is done at the shelf. Each is one entry in one transaction."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.core.files import File
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import units
from inventory import book, ledger
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Container, Entry, Material, Place, SafetySheet
from inventory.refusals import Refused
from studio.people.inductions import Task, refuse_uninducted
from studio.shelf import hydrates, kinds

IN_ORDER = ("entry__happened_at", "entry_id")


def receive(
    material: Material,
    *,
    amount: int,
    place: Place,
    by: Signed,
    code: str = "",
    batch: str = "",
    use_by_on: date | None = None,
    purity: float | None = None,
) -> Entry:
    """A new container comes onto the shelf; `entry.movements` knows which."""
    with book.entry(
        kinds.RECEIVED,
        _("Received %(show)s of %(material)s") % {"show": material.show(amount), "material": material},
        by,
    ) as entry:
        ledger.receive(
            material,
            amount,
            entry=entry,
            place=place,
            code=code,
            batch=batch,
            use_by_on=use_by_on,
            purity=purity,
        )
    return entry


def use(container: Container, *, amount: int, by: Signed) -> Entry:
    material = container.material
    with book.entry(
        kinds.USED,
        _("Used %(show)s of %(material)s from %(code)s")
        % {"show": material.show(amount), "material": material, "code": container.code},
        by,
    ) as entry:
        refuse_uninducted_for([material], by)
        ledger.use(container, amount, entry=entry)
    return entry


def use_several(portions: Sequence[tuple[Container, int]], *, by: Signed) -> Entry:
    """Out of many containers in one entry: what one evening took."""
    used = ", ".join(
        _("%(show)s of %(material)s from %(code)s")
        % {"show": jar.material.show(amount), "material": jar.material, "code": jar.code}
        for jar, amount in portions
    )
    with book.entry(kinds.USED, _("Used %(used)s") % {"used": used}, by) as entry:
        refuse_uninducted_for([jar.material for jar, _ in portions], by)
        # in one order for everybody, or two people could each wait for the other's jar
        for jar, amount in sorted(portions, key=lambda portion: (portion[0].material_id, portion[0].pk)):
            try:
                ledger.use(jar, amount, entry=entry)
            except Refused as refusal:
                raise Refused(jar.code, str(refusal.message), ways=refusal.ways) from refusal
    return entry


def open_it(container: Container, *, by: Signed) -> Entry:
    with book.entry(kinds.OPENED, _("Opened %(container)s") % {"container": container}, by) as entry:
        ledger.open_it(container, entry=entry)
    return entry


def finish(container: Container, *, reason: str, by: Signed) -> Entry:
    """The jar is done with; what was left in it is written off with the reason."""
    with book.entry(
        kinds.FINISHED, _("Finished %(container)s: %(reason)s") % {"container": container, "reason": reason}, by
    ) as entry:
        ledger.finish(container, entry=entry)
    return entry


def split(container: Container, *, amount: int, place: Place, by: Signed, code: str = "") -> Entry:
    """Some goes into a second container; `entry.movements` knows which."""
    shown = container.material.show(amount)
    with book.entry(
        kinds.SPLIT,
        _("Put %(shown)s of %(container)s into another container") % {"shown": shown, "container": container},
        by,
    ) as entry:
        refuse_uninducted_for([container.material], by)
        ledger.split(container, amount, entry=entry, place=place, code=code)
    return entry


def cut(
    container: Container, *, size: str, plate_mm2: int, plates: int, place: Place, by: Signed, offcut: int = 0
) -> Entry:
    """Plates out of a sheet; an offcut that is kept becomes a piece of its own."""
    what = ngettext("a plate", "%(plates)s plates", plates) % {"plates": plates}
    with book.entry(
        kinds.CUT,
        _("Cut %(what)s of %(size)s from %(container)s") % {"what": what, "size": size, "container": container},
        by,
    ) as entry:
        refuse_uninducted(Task.CUTTING, by)
        try:
            ledger.use(container, plates * plate_mm2, entry=entry)
        except Refused as refusal:
            # the form asks for plates and an offcut, and has no field for an amount
            raise Refused("plate", str(refusal.message), ways=refusal.ways) from refusal
        if offcut:
            try:
                ledger.split(container, offcut, entry=entry, place=place)
            except Refused as refusal:
                raise Refused("offcut", str(refusal.message), ways=refusal.ways) from refusal
    return entry


def send_away(container: Container, *, place: Place, by: Signed) -> Entry:
    """To a partner studio; theirs until they send it back, ours in the book until they have confirmed it."""
    if place.kind != Place.Kind.AWAY:
        said = _("%(place)s is here; move it there instead.") % {"place": place}
        raise Refused("place", said, ways=[(_("Move it"), reverse("shelf:move", args=[container.code]))])
    with book.entry(
        kinds.SENT_AWAY,
        _("Sent %(shown_on_hand)s of %(container)s to %(place)s")
        % {"shown_on_hand": container.shown_on_hand(), "container": container, "place": place},
        by,
    ) as entry:
        ledger.move(container, place, entry=entry)
    return entry


def confirm(container: Container, *, amount: int, by: Signed) -> Entry:
    """The partner studio says how much arrived; what was lost on the way is the difference from the book."""
    if not container.is_away:
        said = _("%(container)s is not away.") % {"container": container}
        raise Refused(None, said, ways=[(_("Its page"), container.get_absolute_url())])
    subject = _("%(place)s confirmed %(show)s of %(container)s") % {
        "place": container.place,
        "show": container.material.show(amount),
        "container": container,
    }
    with book.entry(kinds.RECEIPT_CONFIRMED, subject, by) as entry:
        # as a count: what was lost on the way is found missing, and nobody used it
        ledger.count(container, amount, entry=entry)
    return entry


def confirmed(container: Container) -> Entry | None:
    """The partner's word since the container was sent to where it is."""
    sent = (
        container.moves.standing().filter(to_place=container.place).select_related("entry").order_by(*IN_ORDER).last()
    )
    if not sent:
        return None
    # what they confirmed before it was last sent there was about another journey
    words = Entry.objects.standing().filter(kind=kinds.RECEIPT_CONFIRMED, counts__container=container)
    return words.filter(happened_at__gte=sent.entry.happened_at).latest_first().first()


def weigh_cup(container: Container, *, density_g_per_ml: float, by: Signed) -> Entry:
    """One level cup was weighed once; from then on what is in it can be measured by the cup."""
    said = _("Weighed a level cup of %(container)s") % {"container": container}
    return book.change(
        container, {"bulk_density_g_per_ml": density_g_per_ml}, kind=kinds.CUP_WEIGHED, subject=said, by=by
    )


def count(container: Container, *, amount: int, by: Signed) -> Entry:
    """Somebody looked: so much is there, whatever the book thought."""
    material = container.material
    with book.entry(
        kinds.COUNTED,
        _("Counted %(show)s of %(material)s in %(code)s")
        % {"show": material.show(amount), "material": material, "code": container.code},
        by,
    ) as entry:
        ledger.count(container, amount, entry=entry)
    return entry


def move(container: Container, *, place: Place, by: Signed) -> Entry:
    with book.entry(
        kinds.MOVED, _("Moved %(container)s to %(place)s") % {"container": container, "place": place}, by
    ) as entry:
        ledger.move(container, place, entry=entry)
    return entry


def add_material(material: Material, *, by: Signed) -> Entry:
    hydrates.refuse_unreasoned(material.name, material.bath_use, by.note)
    return book.add(
        material,
        kind=kinds.MATERIAL_ADDED,
        subject=_("Wrote down the material %(material)s") % {"material": material},
        by=by,
    )


def change_material(material: Material, *, by: Signed) -> Entry:
    """What is known of a material is put right; what it is measured in stays, or its containers would lose theirs."""
    if not Material.objects.filter(pk=material.pk, name=material.name, bath_use=material.bath_use).exists():
        hydrates.refuse_unreasoned(material.name, material.bath_use, by.note)
    said = _("Changed what is known of %(material)s") % {"material": material}
    return book.change(material, material.facts(), kind=kinds.MATERIAL_CHANGED, subject=said, by=by)


def file_sheet(material: Material, *, file: "File[Any]", sha256: str, dated_on: date, by: Signed) -> Entry:
    """The supplier's safety sheet, beside the older ones."""
    with book.entry(
        kinds.SHEET_FILED,
        _("Filed the safety sheet of %(material)s, dated %(dated_on)s")
        % {"material": material, "dated_on": long_day(dated_on)},
        by,
    ) as entry:
        if dated_on > timezone.localdate():
            raise Refused("dated_on", _("That has not come yet; the date stands on the sheet's first page."))
        if there := SafetySheet.objects.standing().filter(material=material, sha256=sha256).first():
            ways = [(_("The sheet on file"), there.get_absolute_url())]
            raise Refused("file", _("This very sheet is on file already."), ways=ways)
        # written last: a refusal leaves no file behind
        SafetySheet.objects.create(entry=entry, material=material, file=file, sha256=sha256, dated_on=dated_on)
    return entry


def add_place(*, name: str, kind: str, by: Signed) -> Entry:
    return book.add(
        Place(name=name, kind=kind),
        kind=kinds.PLACE_ADDED,
        subject=_("Wrote down the place %(name)s") % {"name": name},
        by=by,
    )


def limit_flammables(place: Place, *, flammables_limit_ul: int | None, by: Signed) -> Entry:
    """The studio's own limit of a place, or back to the default."""
    limit = _("the default") if flammables_limit_ul is None else units.show(flammables_limit_ul, "volume", "L")
    known, said = (
        {"flammables_limit_ul": flammables_limit_ul},
        _("Limited flammable liquid in %(place)s to %(limit)s") % {"place": place, "limit": limit},
    )
    return book.change(place, known, kind=kinds.PLACE_CHANGED, subject=said, by=by)


def refuse_uninducted_for(materials: Iterable[Material], by: Signed) -> None:
    """A solvent is taken and decanted by people who were shown how."""
    if any(material.category == Material.Category.SOLVENTS for material in materials):
        refuse_uninducted(Task.SOLVENTS, by)
