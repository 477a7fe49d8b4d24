import pytest

from inventory.book import strike
from inventory.models import Entry
from inventory.refusals import Refused
from studio.cathodes import hangings, operations, status
from studio.cathodes.models import Cathode, CathodeWeighing, Strip
from tests.factories import adopted, day, signed
from tests.studio.cathodes.shop import bite, bite_in, hung, sheet, stripped, weighed

pytestmark = pytest.mark.django_db


def on_it(cathode, at):
    return status.status_of_cathode(cathode, day(at)).deposit


def struck(written):
    strike(written, by=signed(90), reason="written by mistake")


def test_a_new_cathode_hangs_bare():
    cathode = hung(at=1)

    assert hangings.bath_of(cathode, day(1.5)).name == "Upright tank"
    assert on_it(cathode, 1.5).value == 0
    assert Entry.objects.get(cathodes=cathode).kind == "cathode hung"


def test_bites_lay_copper_on_the_cathode_of_their_bath():
    cathode = hung()
    other = adopted(name="Small tank")
    bite(cathode, 10, at=2)
    bite_in(other, 50, at=3)

    assert on_it(cathode, 4).value == pytest.approx(10 * 0.975 * 1.1855, rel=1e-3)


def test_what_was_bitten_before_it_hung_or_after_it_came_out_is_not_on_it():
    cathode = hung(at=2)
    bite(cathode, 10, at=1.5)
    operations.take_out(cathode, by=signed(4))
    bite(cathode, 10, at=5, in_bath="Upright tank")

    assert on_it(cathode, 6).value == 0


def test_a_cathode_that_comes_out_keeps_its_copper():
    cathode = hung()
    bite(cathode, 10, at=2)
    laid = on_it(cathode, 3).value

    operations.take_out(cathode, by=signed(4))

    assert on_it(cathode, 5).value == laid
    assert hangings.bath_of(cathode, day(5)) is None


def test_a_second_cathode_takes_the_place_of_the_first():
    first = hung(name="Old sheet")
    bath = hangings.bath_of(first, day(1))

    entry = operations.hang_new(Cathode(name="New sheet"), sheet=sheet(), bath=bath, by=signed(3))
    bite(entry.cathodes.get(), 10, at=4)

    assert str(entry) == "Hung New sheet in Upright tank, in the place of Old sheet"
    assert hangings.bath_of(first, day(4)) is None
    assert on_it(first, 5).value == 0
    assert on_it(entry.cathodes.get(), 5).value > 10


def test_striking_the_hanging_of_a_second_leaves_the_first_where_it_was():
    first = hung(name="Old sheet")
    second = operations.hang_new(
        Cathode(name="New sheet"), sheet=sheet(), bath=hangings.bath_of(first, day(1)), by=signed(3)
    )
    bite(first, 10, at=4, in_bath="Upright tank")

    struck(second)

    assert on_it(first, 5).value > 10


def test_a_strip_leaves_the_cathode_bare():
    cathode = hung()
    bite(cathode, 12, at=2)

    stripped(cathode, 14, at=3, scale=1)
    bite(cathode, 2, at=4)

    assert on_it(cathode, 5).value == pytest.approx(2 * 1.1855 * 0.975, rel=0.03)
    assert str(Strip.objects.get()) == "14 g"


def test_striking_a_strip_puts_its_copper_back():
    cathode = hung()
    bite(cathode, 12, at=2)
    laid = on_it(cathode, 2.5).value
    written = stripped(cathode, 14, at=3)

    struck(written)

    assert on_it(cathode, 5).value == pytest.approx(laid)


def test_striking_a_bite_takes_its_copper_off_the_prediction():
    cathode = hung()
    written = bite(cathode, 12, at=2)

    struck(written)

    assert on_it(cathode, 5).value == 0


def test_a_dry_weighing_starts_the_sum_anew():
    cathode = hung()
    bite(cathode, 12, at=2)

    weighed(cathode, 1013.6, at=3)

    now = on_it(cathode, 4)
    assert now.value == pytest.approx(13.6)
    assert now.half_width == pytest.approx(0.1 * 2**0.5, rel=1e-3)


def test_a_wet_weighing_is_kept_but_tells_nothing():
    cathode = hung()
    bite(cathode, 12, at=2)
    laid = on_it(cathode, 2.5)

    weighed(cathode, 1022, at=3, is_dry=False)

    assert on_it(cathode, 4) == laid
    assert CathodeWeighing.objects.standing().count() == 1


def test_a_line_written_late_stands_where_it_happened():
    cathode = hung()
    bite(cathode, 12, at=2)
    stripped(cathode, 14, at=5)

    bite(cathode, 3, at=4)

    assert on_it(cathode, 6).value == 0


def test_a_bare_mass_put_right_was_wrong_all_the_time():
    cathode = hung()
    bite(cathode, 12, at=2)
    weighed(cathode, 1016, at=3)

    operations.measure(cathode, sheet=sheet(bare_g=1002), by=signed(4))

    assert on_it(cathode, 3.5).value == pytest.approx(14)


def test_powder_is_kept_apart_from_the_metal():
    cathode = hung()
    bite(cathode, 12, at=2)

    stripped(cathode, 10, at=3, powder_g=6)

    written = Strip.objects.get()
    assert (written.mass_g, written.powder_g) == (10, 6)
    assert str(written) == "10 g and 6 g of wet powder"
    assert written.entry.subject == "Stripped Copper sheet: 10 g and 6 g of wet powder"


@pytest.mark.parametrize(
    ("act", "field", "sentence"),
    [
        (lambda c: weighed(c, 900, at=3), "mass_g", "900 g is less than the 1000 g of the bare sheet"),
        (lambda c: stripped(c, 140, at=3), "unlikely_anyway", "should be about 13.9 g on it, and this makes 140.0 g"),
        (lambda c: weighed(c, 1140, at=3), "unlikely_anyway", "and this makes 140.0 g"),
        (lambda c: stripped(c, 0, at=3), "mass_g", "Nothing came off by this"),
        (lambda c: stripped(c, 14, at=0.1), "happened_at", "Copper sheet was first hung on 3 March 2026"),
        (lambda c: operations.hang(c, bath=hangings.bath_of(c, day(3)), by=signed(3)), "bath", "hangs in Upright tank"),
        (lambda c: stripped(c, 14, at=1e5), "happened_at", "has not come yet"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(act, field, sentence):
    cathode = hung(at=1)
    bite(cathode, 12, at=2)
    before = Entry.objects.count()

    with pytest.raises(Refused, match=sentence) as refusal:
        act(cathode)

    assert refusal.value.field == field
    assert Entry.objects.count() == before


def test_what_is_unlikely_is_written_once_somebody_stands_by_it():
    cathode = hung()
    bite(cathode, 12, at=2)

    stripped(cathode, 140, at=3, unlikely_anyway=True)

    assert Strip.objects.get().mass_g == 140


def test_a_cathode_out_of_the_bath_cannot_come_out_again():
    cathode = hung()
    operations.take_out(cathode, by=signed(2))

    with pytest.raises(Refused, match="hung in no bath then"):
        operations.take_out(cathode, by=signed(3))


def test_two_cathodes_do_not_share_a_name():
    hung()

    with pytest.raises(Refused, match="There is a cathode called copper sheet already"):
        operations.hang_new(Cathode(name="copper sheet"), sheet=sheet(), bath=adopted(name="Small tank"), by=signed(2))


def test_a_cathode_struck_out_of_the_book_takes_no_more_lines():
    cathode = hung()
    struck(cathode.entry)

    with pytest.raises(Refused, match="was struck out of the book"):
        stripped(cathode, 14, at=3)

    assert status.statuses_of_cathodes(day(5)) == []


def test_a_cathode_is_struck_only_after_what_was_done_to_it():
    cathode = hung()
    bite(cathode, 12, at=1)
    off = stripped(cathode, 14, at=2)

    with pytest.raises(Refused, match="strike them first.*“Stripped Copper sheet: 14 g”"):
        struck(cathode.entry)

    struck(off)
    struck(cathode.entry)
    assert status.statuses_of_cathodes(day(5)) == []


def test_its_name_is_free_again_once_it_was_struck():
    cathode = hung()
    struck(cathode.entry)

    again = operations.hang_new(
        Cathode(name=cathode.name), sheet=sheet(), bath=adopted(name="Small tank"), by=signed(2)
    )

    assert again.cathodes.get() != cathode


def test_a_replacement_is_one_entry_out_of_which_both_sheets_come_right():
    old = hung(name="Old sheet")
    bath = hangings.bath_of(old, day(1))
    bite(old, 10, at=2)

    entry = operations.replace(old, new=Cathode(name="New sheet"), sheet=sheet(), by=signed(3))
    new = entry.cathodes.get()
    bite_in(bath, 5, at=4)

    assert str(entry) == "Replaced Old sheet by New sheet"
    assert (hangings.bath_of(old, day(5)), hangings.bath_of(new, day(5))) == (None, bath)
    assert on_it(old, 5).value == pytest.approx(10 * 0.975 * 1.1855, rel=1e-3)
    assert on_it(new, 5).value == pytest.approx(5 * 0.975 * 1.1855, rel=1e-3)
    struck(entry)
    assert hangings.bath_of(old, day(5)) == bath


def test_what_cannot_take_the_place_of_a_cathode_is_refused_with_a_reason():
    old, elsewhere = hung(name="Old sheet"), hung(name="Other sheet", bath=adopted(name="Small tank"))
    out = hung(name="Spare sheet", bath=adopted(name="Third tank"), at=0.5)
    operations.take_out(out, by=signed(1))
    came_later = hung(name="Late sheet", bath=adopted(name="Fourth tank"), at=4)
    struck(operations.take_out(elsewhere, by=signed(1)))
    refusals = [
        (old, {"new": Cathode(name="old SHEET"), "sheet": sheet()}, "There is a cathode called old SHEET already"),
        (old, {"new": Cathode(name="Zinc sheet"), "sheet": sheet()}, "copper or stainless steel"),
        (old, {"new": came_later}, "Late sheet was first hung"),
        (old, {"new": old}, "It hangs there already"),
        (out, {"new": elsewhere}, "It hung in no bath then"),
    ]
    before = Entry.objects.count()

    for cathode, given, sentence in refusals:
        with pytest.raises(Refused, match=sentence):
            operations.replace(cathode, by=signed(3), **given)

    assert Entry.objects.count() == before
    operations.replace(old, new=Cathode(name="Zinc sheet"), sheet=sheet(), metal_anyway=True, by=signed(3))
    operations.replace(hung_in("Small tank"), new=out, by=signed(3))
    assert hangings.bath_of(out, day(4)).name == "Small tank"


def hung_in(bath):
    return next(Cathode.objects.get(pk=s.cathode_id) for s in hangings.stays() if s.bath.name == bath and not s.until)


def test_a_cathode_of_another_metal_is_asked_about_however_it_comes_into_a_bath():
    metals = [("Zinc sheet", "zinc"), ("Old steel sheet", "steel"), ("Aluminium foil", "aluminium")]
    for at, (name, metal) in enumerate([*metals, ("Brass plate", "brass")], start=2):
        first, second = adopted(name=f"First tank {at}"), adopted(name=f"Second tank {at}")
        other = operations.hang_new(Cathode(name=f"Copper sheet {at}"), sheet=sheet(), bath=second, by=signed(1))
        hang = {"sheet": sheet(), "bath": first, "metal_anyway": True, "by": signed(1)}
        cathode = operations.hang_new(Cathode(name=name), **hang).cathodes.get()
        operations.take_out(cathode, by=signed(at))

        for way in (
            lambda by, anyway, cathode=cathode, first=first: operations.hang(cathode, bath=first, by=by, **anyway),
            lambda by, anyway, cathode=cathode, other=other: operations.replace(
                other.cathodes.get(), new=cathode, by=by, **anyway
            ),
        ):
            with pytest.raises(Refused, match=f"sounds like {metal}") as refusal:
                way(signed(at), {})
            assert refusal.value.field == "metal_anyway"
            assert way(signed(at), {"metal_anyway": True}).hangings.filter(cathode=cathode).exists()
