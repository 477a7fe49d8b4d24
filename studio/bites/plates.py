"""What is done to plates, from the sheet to the parcel. Each is one entry in one transaction."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.copper import displacement
from chemistry.copper.electrolysis import COPPER_G_PER_CM3
from chemistry.measured import Measured
from chemistry.quantity import quantity
from inventory import book, ledger
from inventory.asked_often import asked_often
from inventory.book import Signed
from inventory.models import Container, Entry, Material, Place
from inventory.refusals import Questioned, Refused
from studio.bites import kinds
from studio.bites.models import Parcel, Photograph, Plate, Preparation, Travel, Weighing
from studio.pages.documents import Picture
from studio.people.inductions import Task, refuse_uninducted

Dimension = Material.Dimension
MM_PER_CM = 10
# as much as a preparation has room for
LONGEST_NAME = 80


@dataclass(frozen=True, kw_only=True)
class GroundApplication:
    """A ground or stop-out as it was laid: in words, or out of a container, of which so much is gone."""

    words: str = ""
    jar: Container | None = None
    amount: int | None = None

    @property
    def name(self) -> str:
        return str(self.jar.material)[:LONGEST_NAME] if self.jar else self.words


NOTHING = GroundApplication()


def take(plate: Plate, *, by: Signed, weight: Measured | None = None, metal_anyway: bool = False) -> Entry:
    """A plate comes into the book; when it comes off the shelf, the shelf holds so much less."""
    source = _(" from %(code)s") % {"code": plate.cut_from.code} if plate.cut_from else ""
    with book.entry(
        kinds.PLATE_TAKEN, _("Took the plate %(plate)s%(source)s") % {"plate": plate, "source": source}, by
    ) as entry:
        refuse_a_second(plate)
        with entry.unless(metal_anyway):
            refuse_no_copper(plate, "cut_from")
        if plate.cut_from:
            # a plate that came cut to size goes by no shears
            if plate.cut_from.material.dimension == Dimension.AREA:
                refuse_uninducted(Task.CUTTING, by)
            ledger.use(plate.cut_from, copper_amount(plate, plate.cut_from.material), entry=entry)
        plate.entry, plate.happened_at = entry, entry.happened_at
        plate.save()
        if weight:
            record_weighing(plate, weight, entry, is_bare=True)
    return entry


def refuse_no_copper(plate: Plate, field: str) -> None:
    """
    A copper bath eats other metals, current or none, and every sum here is one of copper.

    Of its name somebody may say that it misleads; what its sheet is sold as no tick makes copper.
    """
    sheet = plate.cut_from.material if plate.cut_from else None
    metal = displacement.metal_of_material(sheet.name) if sheet else None
    if metal:
        raise Refused(
            field,
            _("%(sheet)s is %(name)s: no plate for a copper bath. %(what)s")
            % {"sheet": sheet, "name": metal.name, "what": metal.what},
        )
    question_metal(plate.name)


def question_metal(name: str, otherwise: str = "copper") -> None:
    """A piece that is called by another metal is asked about; what it is, no name can prove."""
    metal = displacement.metal_of_piece(name)
    if metal:
        why = _("“%(name)s” sounds like %(name_2)s. %(what)s") % {
            "name": name,
            "name_2": metal.name,
            "what": metal.what,
        }
        raise Questioned("metal_anyway", why, _("Tick if it is %(otherwise)s.") % {"otherwise": otherwise})


def copper_amount(plate: Plate, material: Material) -> int:
    """What a plate takes from the shelf, in base units: a piece, or its face cut out of a sheet."""
    if material.dimension == Dimension.COUNT:
        return 1
    if material.dimension == Dimension.AREA:
        # the bare face: offcuts are still sheet, and stay in the book until somebody counts
        return plate.width_mm * plate.height_mm
    raise Refused(
        "cut_from",
        _("%(material)s is kept by %(dimension)s: no plate is cut from that.")
        % {"material": material, "dimension": material.dimension},
        ways=[(_("What is known of it"), material.get_absolute_url())],
    )


def expected_mass_g(plate: Plate) -> float | None:
    """
    What copper of its size and thickness weighs. [g]

    >>> round(expected_mass_g(Plate(width_mm=152, height_mm=203, thickness_mm=1.02)))
    282
    """
    if plate.thickness_mm is None:
        return None
    return plate.area_cm2 * plate.thickness_mm / MM_PER_CM * COPPER_G_PER_CM3


def prepare(
    plate: Plate,
    *,
    by: Signed,
    state: int = 1,
    ground: GroundApplication = NOTHING,
    stop_out: GroundApplication = NOTHING,
    second_stop_out: GroundApplication = NOTHING,
    protected: str = "",
    exposed: Measured | None = None,
) -> Entry:
    """Ground is laid, drawn through or stopped out: from here on so much copper is bare, and the shelf holds less."""
    with writing(plate, kinds.PLATE_PREPARED, _("Prepared the plate %(plate)s") % {"plate": plate}, by) as entry:
        refuse_too_large(exposed, plate)
        use_laid({"ground": ground, "stop_out": stop_out, "second_stop_out": second_stop_out}, entry)
        Preparation.objects.create(
            entry=entry,
            plate=plate,
            state=state,
            ground=ground.name,
            ground_from=ground.jar,
            stop_out=stop_out.name,
            stop_out_from=stop_out.jar,
            second_stop_out=second_stop_out.name,
            second_stop_out_from=second_stop_out.jar,
            protected=protected,
            exposed_cm2=exposed.value if exposed else None,
            exposed_sd_cm2=exposed.sd if exposed else None,
        )
    return entry


def use_laid(laid: Mapping[str, GroundApplication], entry: Entry) -> None:
    """What was laid leaves the shelf, as far as somebody said how much; a refusal stands beside its own amount."""
    portions = [(name, each.jar, each.amount) for name, each in laid.items() if each.jar and each.amount]
    # in one order for everybody, or two people could each wait for the other's jar
    for name, jar, amount in sorted(portions, key=lambda portion: (portion[1].material_id, portion[1].pk)):
        try:
            ledger.use(jar, amount, entry=entry)
        except Refused as refusal:
            raise Refused(f"{name}_amount", str(refusal.message), ways=refusal.ways) from refusal


def weigh(plate: Plate, *, weight: Measured, by: Signed, is_bare: bool = True) -> Entry:
    with writing(
        plate,
        kinds.PLATE_WEIGHED,
        _("Weighed the plate %(plate)s: %(value)s") % {"plate": plate, "value": quantity(weight.value, "g")},
        by,
    ) as entry:
        record_weighing(plate, weight, entry, is_bare=is_bare)
    return entry


def photograph(plate: Plate, *, pictures: Sequence[Picture], shows: str, state: int, words: str, by: Signed) -> Entry:
    subject = ngettext(
        "Photographed the plate %(plate)s", "Took %(count)s photographs of the plate %(plate)s", len(pictures)
    )
    named = {"plate": plate, "count": len(pictures)}
    with writing(plate, kinds.PLATE_PHOTOGRAPHED, subject % named, by) as entry:
        for picture in pictures:
            said = {"shows": shows, "state": state, "words": words}
            Photograph.objects.create(entry=entry, plate=plate, **said, **picture._asdict())
    return entry


def send(
    plates: Sequence[Plate], *, partner: Place, by: Signed, weight_g: float | None = None, next_step: str = ""
) -> Entry:
    with book.entry(
        kinds.PLATES_SENT,
        _("Sent %(names_of)s to %(partner)s") % {"names_of": names_of(plates), "partner": partner},
        by,
    ) as entry:
        for plate in locked(plates):
            if is_away(plate):
                ways = [(_("It came back"), f"{reverse('bites:bring_back')}?plate={plate.pk}")]
                raise Refused("plates", _("%(plate)s is away already, by the book.") % {"plate": plate}, ways=ways)
        pack(plates, entry, partner=partner, is_outward=True, weight_g=weight_g, next_step=next_step)
    return entry


def bring_back(
    plates: Sequence[Plate], *, partner: Place, by: Signed, weight_g: float | None = None, next_step: str = ""
) -> Entry:
    """Plates come back; one that the book has here already only says so once more."""
    with book.entry(
        kinds.PLATES_CAME,
        _("%(names_of)s came from %(partner)s") % {"names_of": names_of(plates), "partner": partner},
        by,
    ) as entry:
        # nothing is locked or refused until the iterator is run through
        list(locked(plates))
        pack(plates, entry, partner=partner, is_outward=False, weight_g=weight_g, next_step=next_step)
    return entry


def state_of(plate: Plate) -> int:
    """The latest that was bitten or prepared; the first of a plate that is new."""
    known = [
        lines.standing().order_by("-state").values_list("state", flat=True)[:1]
        for lines in (plate.bites, plate.preparations)
    ]
    return max(state for found in known for state in (*found, 1))


def is_away(plate: Plate) -> bool:
    """Whether its last parcel went out."""
    last = Travel.objects.standing().filter(plate=plate).select_related("parcel")
    travel = last.order_by("parcel__entry__happened_at", "parcel__entry_id").last()
    return travel is not None and travel.parcel.is_outward


def lock(plate: Plate) -> None:
    """One write at a time, and none on a plate that was struck meanwhile."""
    # its entry is only read: whoever strikes that locks the plate first
    [entry_id] = entries_locked(plate.pk)
    entry = book.as_it_stands(entry_id)
    if entry.is_struck:
        raise Refused(
            None,
            _("%(plate)s was struck out of the book: %(strike_reason)s.")
            % {"plate": plate, "strike_reason": entry.strike_reason},
            ways=[(_("Why it was struck"), entry.get_absolute_url())],
        )


@asked_often
def entries_locked(plate: int) -> QuerySet[Plate, int]:
    return Plate.objects.select_for_update(of=("self",)).filter(pk=plate).values_list("entry", flat=True)


def refuse_too_large(exposed: Measured | None, plate: Plate | None) -> None:
    if exposed and plate and exposed.value > plate.area_cm2:
        # to the last digit: "309 cm² is more than 309 cm²" would be no reason
        face = quantity(plate.area_cm2, "cm²")
        raise Refused(
            "exposed_cm2",
            _("%(value)s is more than the whole face of the plate, %(face)s.")
            % {"value": quantity(exposed.value, "cm²"), "face": face},
        )


@contextmanager
def writing(plate: Plate, kind: str, subject: str, by: Signed) -> Iterator[Entry]:
    with book.entry(kind, subject, by) as entry:
        lock(plate)
        yield entry


def locked(plates: Sequence[Plate]) -> Iterator[Plate]:
    """In one order for everybody, or two people could each hold the plate that the other waits for."""
    if not plates:
        raise Refused("plates", _("A parcel holds at least one plate: choose which."))
    for plate in sorted(plates, key=lambda plate: plate.pk):
        lock(plate)
        yield plate


def pack(plates: Sequence[Plate], entry: Entry, **facts) -> None:
    parcel = Parcel.objects.create(entry=entry, **facts)
    for plate in plates:
        Travel.objects.create(parcel=parcel, plate=plate)


def record_weighing(plate: Plate, weight: Measured, entry: Entry, *, is_bare: bool) -> None:
    Weighing.objects.create(
        entry=entry, plate=plate, mass_g=weight.value, half_width_g=weight.half_width, is_bare=is_bare
    )


def names_of(plates: Sequence[Plate]) -> str:
    return ", ".join(map(str, plates))


def refuse_a_second(plate: Plate) -> None:
    # not by a constraint of the database: the name of a struck plate is free again
    if there := Plate.objects.standing().filter(name__iexact=plate.name).first():
        ways = [(_("The plate of that name"), there.get_absolute_url())]
        raise Refused(
            "name",
            _("There is a plate called %(name)s already; give this one another name.") % {"name": plate.name},
            ways=ways,
        )
