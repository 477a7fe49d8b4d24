import pytest

from chemistry import bath
from chemistry.bath.events import Removed
from chemistry.solution import sulfate
from chemistry.waste import drum
from chemistry.waste.drum import Known, Part
from tests.formulas import redone

RINSES = [
    Part(name="rinse water, 7 Oct 2024", litres=Known(4, 0.2), copper_g=Known(3, 0.75), alike="rinse"),
    Part(name="rinse water, 11 Nov 2024", litres=Known(4.4, 0.22), copper_g=Known(4, 1.0), alike="rinse"),
]


def test_every_figure_can_be_redone_from_what_it_shows():
    volume, copper = drum.volume(RINSES), drum.copper(RINSES)

    for figure in (volume, copper, drum.per_litre(copper, volume)):
        assert redone(figure.working) == pytest.approx(figure.value)


def test_what_was_guessed_alike_is_wrong_alike():
    apart = [Part(name=part.name, copper_g=part.copper_g) for part in RINSES]

    assert drum.copper(RINSES).sd == pytest.approx(1.75)
    assert drum.copper(apart).sd == pytest.approx(1.25)


def test_what_nobody_knows_of_a_part_nobody_knows_of_the_whole():
    unknown = [*RINSES, Part(name="something else, 1 Dec 2024", litres=Known(1, 0.1))]

    assert drum.copper(unknown) is None
    assert drum.mass(unknown) is None
    assert drum.volume(unknown).value == pytest.approx(9.4)


def test_nothing_has_no_figures():
    assert drum.volume([]) is drum.mass([]) is drum.copper([]) is None


def test_bath_taken_out_carries_the_copper_that_its_book_loses():
    begun = bath.Adopted(day=0, volume_l=12, strength_g_per_l=240, volume_sd_l=0.1, strength_sd_g_per_l=5)
    removed = Removed(day=1, litres=2)
    before, after = bath.replay([begun, removed])

    found = drum.in_bath_removed(removed, after)

    assert found.value == pytest.approx(sulfate.COPPER_PER_BLUE * (before.salt_g - after.salt_g))
    assert found.sd > 0.1 * found.value  # by the jug


def test_a_litre_of_strong_bath_weighs_more_than_water():
    weighs = drum.mass_of(Known(1, 0), drum.bath_density(250))

    # the density itself is held against published tables where it is worked out
    mass_fraction = sulfate.mass_fraction_from_strength(250, 20)
    assert weighs.value == pytest.approx(1000 * sulfate.density_g_per_ml(mass_fraction, 20))
    assert weighs.value > 1140


def test_a_test_tells_the_copper_of_all_there_is():
    volume = drum.volume([Part(name="rinse, 1 Oct 2024", litres=Known(5, 0.25))])

    found = drum.by_test(drum.between(100, 300), volume, per_unit=1e-3)

    assert found.value == pytest.approx(1.0)
    assert found.sd / found.value == pytest.approx((0.05**2 + (100 / 1.96 / 200) ** 2) ** 0.5)


@pytest.mark.parametrize("litres", [-1, 5000])
def test_a_jug_has_its_bounds(litres):
    with pytest.raises(ValueError, match="litres must be between"):
        drum.poured(litres)


def test_no_share_of_nothing():
    copper = drum.copper([Part(name="rinse, 1 Oct 2024", copper_g=Known(1, 0))])
    empty = drum.volume([Part(name="rinse, 1 Oct 2024", litres=Known(0, 0))])

    with pytest.raises(ValueError, match="volume must be between"):
        drum.per_litre(copper, empty)
