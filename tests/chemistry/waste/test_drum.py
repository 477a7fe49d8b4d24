import pytest

from chemistry import bath, waste
from chemistry.bath.events import Removed
from chemistry.copper.removal import taken_out
from chemistry.measured import Measured, within
from chemistry.solution import sulfate
from chemistry.waste import drum
from chemistry.waste.drum import Contribution
from tests.formulas import redone

RINSES = [
    Contribution(
        name="rinse water, 7 Oct 2024", litres=Measured(4, 0.2, "L"), copper_g=Measured(3, 0.75, "g", error="rinse")
    ),
    Contribution(
        name="rinse water, 11 Nov 2024", litres=Measured(4.4, 0.22, "L"), copper_g=Measured(4, 1.0, "g", error="rinse")
    ),
]


def test_every_figure_can_be_redone_from_what_it_shows():
    volume, copper = drum.volume(RINSES), drum.copper(RINSES)

    for figure in (volume, copper, drum.per_litre(copper, volume)):
        assert redone(figure.working) == pytest.approx(figure.value)


def test_of_very_many_parts_the_last_ones_are_told_and_the_others_together():
    few, many = (
        drum.copper([Contribution(name=f"rinse {number}", copper_g=Measured(number, 0.1, "g")) for number in range(n)])
        for n in (drum.MOST_TOLD + 1, 2000)
    )

    assert [len(figure.working.inputs) for figure in (few, many)] == [drum.MOST_TOLD + 1] * 2
    assert "rinse 1999" in many.working.inputs[-1].name
    for figure in (few, many):
        assert redone(figure.working) == pytest.approx(figure.value)
    assert many.sd == pytest.approx(0.1 * 2000**0.5)


def test_what_was_guessed_alike_is_wrong_alike():
    apart = [
        Contribution(name="rinse", copper_g=Measured(3, 0.75, "g")),
        Contribution(name="rinse", copper_g=Measured(4, 1, "g")),
    ]

    assert drum.copper(RINSES).sd == pytest.approx(1.75)
    assert drum.copper(apart).sd == pytest.approx(1.25)


def test_what_nobody_knows_of_a_part_nobody_knows_of_the_whole():
    unknown = [*RINSES, Contribution(name="something else, 1 Dec 2024", litres=Measured(1, 0.1, "L"))]

    assert drum.copper(unknown) is None
    assert drum.mass(unknown) is None
    assert drum.volume(unknown).value == pytest.approx(9.4)


def test_nothing_has_no_figures():
    assert drum.volume([]) is drum.mass([]) is drum.copper([]) is None


def test_bath_taken_out_carries_the_copper_that_its_book_loses():
    begun = bath.Adopted(day=0, volume_l=12, strength_g_per_l=240, volume_sd_l=0.1, strength_sd_g_per_l=5)
    removed = Removed(day=1, litres=2)
    before, after = bath.replay([begun, removed])

    found = taken_out(removed, before).copper

    assert found.value == pytest.approx(sulfate.COPPER_PER_BLUE * (before.salt_g - after.salt_g))
    assert found.sd > 0.1 * found.value  # by the jug


def test_a_litre_of_strong_bath_weighs_more_than_water():
    adopted = bath.Adopted(day=0, volume_l=12, strength_g_per_l=250, volume_sd_l=0.1, strength_sd_g_per_l=5)
    litre = taken_out(Removed(day=1, litres=1), bath.replay([adopted])[-1])
    weighs = litre.litres.times(litre.density, "g") * drum.G_PER_KG

    # the density itself is held against published tables where it is worked out
    mass_fraction = sulfate.mass_fraction_from_strength(250, 20)
    assert weighs.value == pytest.approx(1000 * sulfate.density_g_per_ml(mass_fraction, 20))
    assert weighs.value > 1140


def test_a_test_tells_the_copper_of_all_there_is():
    volume = drum.volume([Contribution(name="rinse, 1 Oct 2024", litres=Measured(5, 0.25, "L"))])

    found = within(100, 300, "mg/L").times(volume, "g") / drum.MG_PER_G

    assert found.value == pytest.approx(1.0)
    assert found.sd / found.value == pytest.approx((0.05**2 + (100 / 1.96 / 200) ** 2) ** 0.5)


@pytest.mark.parametrize("litres", [-1, 5000])
def test_a_jug_has_its_bounds(litres):
    with pytest.raises(ValueError, match="litres must be between"):
        drum.poured(litres)


def test_no_share_of_nothing():
    copper = drum.copper([Contribution(name="rinse, 1 Oct 2024", copper_g=Measured(1, 0, "g"))])
    empty = drum.volume([Contribution(name="rinse, 1 Oct 2024", litres=Measured(0, 0, "L"))])

    with pytest.raises(ValueError, match="volume must be between"):
        drum.per_litre(copper, empty)


def test_one_plates_drips_in_a_rinse_tray_pass_every_sewer_limit_we_read():
    # 8 mL of a 250 g/L bath in 5 L: about 100 mg/L
    copper_g = Measured(0.008 * 250 * 63.546 / 249.686, unit="g")
    tray = [Contribution(name="rinse", litres=Measured(5, unit="L"), copper_g=copper_g)]

    found = drum.per_litre(drum.copper(tray), drum.volume(tray))

    assert found.value == pytest.approx(101.8, abs=0.1)
    assert all(found.value > limit.cu_mg_per_l for limit in waste.SEWER_LIMITS)
