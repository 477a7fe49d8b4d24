"""How rows hold the events of a bath: what was written by an older version is read as it was meant."""

import pytest

from chemistry.bath import (
    AcidAdded,
    AcidTitrated,
    Adopted,
    Bitten,
    CrystalsAdded,
    DensityRead,
    DryingRate,
    LevelRead,
    Mixed,
    PhRead,
    Removed,
    RemovedByLevel,
    RemovedByWeight,
    SolutionAdded,
    Titrated,
    WaterAdded,
)
from studio.baths import event_log, operations
from studio.baths.models import BathEvent
from tests.factories import adopted, signed

# as version 1 wrote them: never change these lines, add those of a later version below them
VERSION_1 = [
    (
        "Mixed",
        {"water_l": 11.0, "salt_g": 3e3, "temperature_c": 20.0, "water_sd_l": None, "salt_sd_g": None, "purity": 0.99},
        Mixed(day=2, water_l=11, salt_g=3000, purity=0.99),
    ),
    (
        "Adopted",
        {"volume_l": 12.0, "strength_g_per_l": 240.0, "volume_sd_l": 0.1, "strength_sd_g_per_l": 5.0},
        Adopted(day=2, volume_l=12, strength_g_per_l=240, volume_sd_l=0.1, strength_sd_g_per_l=5),
    ),
    (
        "WaterAdded",
        {"litres": 0.5, "temperature_c": 12.0, "sd_l": None},
        WaterAdded(day=2, litres=0.5, temperature_c=12),
    ),
    (
        "CrystalsAdded",
        {"grams": 200.0, "sd_g": 13.0, "purity": 1.0},
        CrystalsAdded(day=2, grams=200, sd_g=13),
    ),
    (
        "SolutionAdded",
        {"litres": 2.0, "strength_g_per_l": 6.0, "sd_l": 0.05, "strength_sd_g_per_l": 0.3},
        SolutionAdded(day=2, litres=2, strength_g_per_l=6, sd_l=0.05, strength_sd_g_per_l=0.3),
    ),
    (
        "Removed",
        {"litres": 0.1, "sd_l": None, "crystals_g": 50.0},
        Removed(day=2, litres=0.1, crystals_g=50),
    ),
    (
        "LevelRead",
        {"volume_l": 11.9, "sd_l": 0.04, "temperature_c": 18.0},
        LevelRead(day=2, volume_l=11.9, sd_l=0.04, temperature_c=18),
    ),
    (
        "DensityRead",
        {"sg": 1.151, "temperature_c": 19.0, "reference_c": 15.56, "sd": 0.0015},
        DensityRead(day=2, sg=1.151, temperature_c=19, reference_c=15.56),
    ),
    ("Titrated", {"mol_per_l": 0.96, "sd": 0.01}, Titrated(day=2, mol_per_l=0.96, sd=0.01)),
    ("Bitten", {"charge_ah": 3.5}, Bitten(day=2, charge_ah=3.5)),
    ("DryingRate", {"g_per_day": 0.0}, DryingRate(day=2, g_per_day=0)),
]


# what version 2 writes otherwise, or for the first time
VERSION_2 = [
    (
        "Mixed",
        {
            "water_l": 11.0,
            "salt_g": 3e3,
            "temperature_c": 20.0,
            "water_sd_l": None,
            "salt_sd_g": None,
            "purity": 0.99,
            "waters": 0.0,
            "acid_g": 0.0,
            "acid_percent": 100.0,
        },
        Mixed(day=2, water_l=11, salt_g=3000, purity=0.99, waters=0),
    ),
    (
        "Adopted",
        {
            "volume_l": 12.0,
            "strength_g_per_l": 240.0,
            "volume_sd_l": 0.1,
            "strength_sd_g_per_l": 5.0,
            "acid_g_per_l": 40.0,
            "acid_sd_g_per_l": 5.0,
        },
        Adopted(
            day=2,
            volume_l=12,
            strength_g_per_l=240,
            volume_sd_l=0.1,
            strength_sd_g_per_l=5,
            acid_g_per_l=40,
            acid_sd_g_per_l=5,
        ),
    ),
    (
        "SolutionAdded",
        {
            "litres": 2.0,
            "strength_g_per_l": 6.0,
            "sd_l": 0.05,
            "strength_sd_g_per_l": 0.3,
            "acid_g_per_l": 1.0,
            "acid_sd_g_per_l": 0.1,
        },
        SolutionAdded(
            day=2,
            litres=2,
            strength_g_per_l=6,
            sd_l=0.05,
            strength_sd_g_per_l=0.3,
            acid_g_per_l=1,
            acid_sd_g_per_l=0.1,
        ),
    ),
    ("AcidAdded", {"grams": 330.0, "percent": 96.0, "sd_g": None}, AcidAdded(day=2, grams=330, percent=96)),
    ("AcidTitrated", {"g_per_l": 39.0, "sd": 1.0}, AcidTitrated(day=2, g_per_l=39, sd=1)),
    ("PhRead", {"ph": 1.5}, PhRead(day=2, ph=1.5)),
    (
        "CrystalsAdded",
        {"grams": 200.0, "sd_g": 13.0, "purity": 1.0, "waters": 1.0},
        CrystalsAdded(day=2, grams=200, sd_g=13, waters=1),
    ),
    (
        "RemovedByWeight",
        {"crystals_g": 0.0, "grams": 1104.0, "sd_g": None},
        RemovedByWeight(day=2, grams=1104),
    ),
    (
        "RemovedByLevel",
        {"crystals_g": 0.0, "before_l": 11.9, "after_l": 10.9, "sd_l": 0.04},
        RemovedByLevel(day=2, before_l=11.9, after_l=10.9, sd_l=0.04),
    ),
]


def test_every_event_is_read_as_it_was_written():
    for kind, figures, event in VERSION_1:
        assert event_log.event_of(kind, figures, schema=1, day=2) == event, kind
    for kind, figures, event in VERSION_2:
        assert event_log.event_of(kind, figures, schema=2, day=2) == event, kind
        # version 3 writes the acid of a mix as an event of its own
        kept = {name: value for name, value in figures.items() if kind != "Mixed" or "acid" not in name}
        assert event_log.figures_of(event) == kept


def test_a_mix_with_acid_in_one_row_is_not_read_without_it():
    figures = VERSION_2[0][1] | {"acid_g": 50.0}

    with pytest.raises(event_log.Unreadable, match="Mixed"):
        event_log.event_of("Mixed", figures, schema=2)


def test_every_kind_of_row_has_its_event():
    written = {kind for kind, _, _ in (*VERSION_1, *VERSION_2)}
    # what was poured in from another bath is worked out by the log of that
    assert set(event_log.EVENTS) == set(BathEvent.Kind.values) - {BathEvent.Kind.POURED_IN} == written


def test_a_row_of_an_older_version_is_brought_up_to_date(monkeypatch):
    def in_millilitres(kind, figures):
        return figures | {"litres": figures["litres"] / 1000} if kind == "WaterAdded" else figures

    monkeypatch.setattr(event_log, "UPGRADES", {1: in_millilitres, 2: lambda kind, figures: figures})
    figures = {"litres": 500.0, "temperature_c": 20.0, "sd_l": None}

    assert event_log.event_of("WaterAdded", figures, schema=1) == WaterAdded(day=0, litres=0.5)
    assert event_log.event_of("WaterAdded", figures, schema=3) == WaterAdded(day=0, litres=500)


@pytest.mark.parametrize(
    ("kind", "figures"),
    [("Poured", {"litres": 1}), ("WaterAdded", {"litres": 1.0}), ("Bitten", {"charge_ah": 1.0, "amps": 2.0})],
)
def test_a_row_that_nobody_wrote_is_not_guessed_at(kind, figures):
    with pytest.raises(event_log.Unreadable, match=f"{kind} with litres|charge_ah, amps"):
        event_log.event_of(kind, figures, schema=1)


@pytest.mark.django_db
def test_the_version_stands_beside_the_figures():
    entry = operations.top_up(adopted(), water_l=0.2, by=signed(1))

    assert entry.bath_events.get().schema == event_log.SCHEMA
