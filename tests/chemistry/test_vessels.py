"""What is typed with the vessel that it stands in, in every language that lists come in."""

import pytest

from chemistry import units, vessels


@pytest.mark.parametrize(
    ("typed", "dimension", "plainly"),
    [
        ("5 lb bag", "mass", "5 lb"),
        ("2 kg tub", "mass", "2 kg"),
        ("1 gal jug", "volume", "1 gal"),
        ("5 L Kanister", "volume", "5 L"),
        ("sac de 5 kg", "mass", "5 kg"),
        ("Sack zu 25 kg", "mass", "25 kg"),
        ("Flasche 250 ml", "volume", "250 ml"),
        ("bidón de 5 L", "volume", "5 L"),
        ("1 bottle of 500 mL", "volume", "500 mL"),
        ("500 g (jar)", "mass", "500 g"),
        ("2 bags of 5 lb", "mass", "10 lb"),
        ("3 x 500 g", "mass", "1500 g"),
        ("1.5 L bottle", "volume", "1.5 L"),
        ("3 lb 2 oz bag", "mass", "3 lb 2 oz"),
        ("sheet 12x18 in", "area", "12x18 in"),
        ("5 m roll", "length", "5 m"),
    ],
)
def test_a_vessel_is_said_in_passing(typed, dimension, plainly):
    assert vessels.parse_typed(typed, dimension) == units.parse(plainly, dimension)


@pytest.mark.parametrize("typed", ["bag", "5 bag", "5 lb wombat", "0 lb bag", "bag of 5", "9999 x 900 t"])
def test_what_has_no_meaning_with_a_vessel_is_refused(typed):
    with pytest.raises(units.NotUnderstood):
        vessels.parse_typed(typed, "mass")


def test_pieces_are_counted_and_stand_in_nothing():
    assert [vessels.parse_typed(typed, "count") for typed in ("3 rolls", "2 boxes", "3")] == [3, 2, 3]
