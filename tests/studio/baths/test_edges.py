"""A bath at the edges, through the real pages: whatever is typed, a page answers, and never with a fault of its own."""

from uuid import uuid4

import pytest

from studio.baths import estimate
from studio.baths.models import BathEvent
from tests.factories import BathFactory, adopted, stocked
from tests.studio.baths.test_planner import url, words

pytestmark = pytest.mark.django_db

TANK, TRAY, VAT = {"rim_l": 13.0}, {"rim_l": 0.1}, {"rim_l": 2000.0}
# a tank, what stands in it, how strong it is, how warm, and what else is true of it
EDGES = {
    "usual": (TANK, 12.0, 240.0, 20, {}),
    "50 mL": (TRAY, 0.05, 240.0, 20, {}),
    "2,000 L to the rim": (VAT, 2000.0, 240.0, 20, {}),
    "to the rim": (TANK, 13.0, 240.0, 20, {}),
    "nearly empty": (TANK, 0.02, 240.0, 20, {}),
    "2 °C": (TANK, 12.0, 240.0, 2, {}),
    "45 °C": (TANK, 12.0, 240.0, 45, {}),
    "3 g/L": (TANK, 12.0, 3.0, 20, {}),
    "nothing in it": (TANK, 12.0, 0.0, 20, {}),
    "saturated": (TANK, 12.0, 318.0, 20, {}),
    "over its solubility": (TANK, 12.0, 330.0, 20, {}),
    "over its solubility at 2 °C": (TANK, 12.0, 330.0, 2, {}),
    "far over its solubility": (TANK, 12.0, 400.0, 45, {}),
    "dried to a crust": (TANK, 0.5, 300.0, 20, {"lid_on": False, "surface_cm2": 2000}),
}
LITRES = ("0.001", "12", "2000", "-1", "x")
GRAMS = ("0.1", "974", "99999999", "")
GRAVITIES = ("0.95", "1.000", "1.004", "1.21", "1.40", "1150", "x")
COPPER = ("0", "0.012", "1.3", "9", "")
DEGREES = ("-5", "2", "60", "99", "")
PHS = ("0", "4.5", "14", "15")
PERCENTS = ("1", "37", "101", "")
ACID = {"known_by": "ph"}
LEVELS = {"told": "levels", "where_to": "away", "level_before_1": "L", "level_after_1": "L"}


def asked(degrees: int, jar) -> list[tuple[str, dict]]:
    """What is typed into which page: every field at each of its edges, the others as they usually are."""
    warm = {"temperature_c": str(degrees)}
    typed: list[tuple[str, dict]] = []
    for litres in LITRES:
        amount = {"litres_0": litres, "litres_1": "L"}
        level = {"level_0": litres, "level_1": "L", "half_width_l": "0.1"}
        typed += [
            ("top_up", warm | {"water_l_0": litres, "water_l_1": "L", "weak_anyway": "on"}),
            ("mix", warm | {"water_l_0": litres, "water_l_1": "L", f"salt_{jar.pk}_0": "160", f"salt_{jar.pk}_1": "g"}),
            ("read_level", warm | level),
            ("take_out", {"told": "jug", "where_to": "away"} | amount),
            ("take_out", LEVELS | {"level_before_0": litres, "level_after_0": "0.01"}),
            ("add_solution", {"strength_g_per_l": "6"} | amount),
            ("adopt", {"known_by": "about", "strength_g_per_l": "240", "lid_on": "on"} | level),
        ]
    for grams in GRAMS:
        salt = {f"salt_{jar.pk}_0": grams, f"salt_{jar.pk}_1": "g", "salt_anyway": "on"}
        typed += [
            ("top_up", warm | salt | {"water_l_0": "0.1", "water_l_1": "L", "weak_anyway": "on"}),
            ("take_out", {"told": "scale", "weight_0": grams, "weight_1": "g", "where_to": "away"}),
            ("add_acid", {"acid_0": grams, "acid_1": "g", "acid_percent": "96", "trained": "on"}),
        ]
    poured = {"acid_0": "10", "acid_1": "g", "trained": "on"}
    typed += [("add_acid", poured | {"acid_percent": percent}) for percent in PERCENTS]
    typed += [
        ("read_hydrometer", warm | {"hydrometer_0": sg, "hydrometer_1": "SG", "reference_c": "20"}) for sg in GRAVITIES
    ]
    glass = {"hydrometer_0": "1.15", "hydrometer_1": "SG", "reference_c": "20"}
    typed += [("read_hydrometer", glass | {"temperature_c": odd}) for odd in DEGREES]
    typed += [("titrate", {"copper_0": each, "copper_1": "mol/L", "half_width_percent": "2"}) for each in COPPER]
    typed += [("read_acid", ACID | {"ph": ph}) for ph in PHS]
    return typed


@pytest.mark.parametrize("edge", EDGES)
def test_every_page_answers_at_the_edges(keyholder, edge):
    """What is written moves on to the bath, and what is not says why beside its field."""
    tank, volume_l, strength, degrees, more = EDGES[edge]
    jar = stocked("400 kg", powder=True)

    def bath():
        return adopted(volume_l=volume_l, strength_g_per_l=strength, fill_l=tank["rim_l"], **tank, **more)

    standing = bath()
    for page in ("bath", "top_up", "mix", "what_if", "log", "take_out", "read_level", "read_hydrometer", "titrate"):
        assert keyholder.get(url(page, standing)).status_code == 200, page
    written = 0
    for page, typed in asked(degrees, jar):
        response = keyholder.post(url(page, standing), typed | {"key": uuid4()})
        assert response.status_code in (200, 302), (page, typed)
        if response.status_code == 200:
            assert response.context["form"].errors, (page, typed)
            continue
        written += 1
        state = estimate.at_moment(standing)
        assert state.water_g > 0 and state.salt_g >= 0 and state.volume_sd_l >= 0, (page, typed)
        assert keyholder.get(standing.get_absolute_url()).status_code == 200, (page, typed)
        # the next is typed into the same edge, not into what this one has made of it
        standing = bath()

    assert written > 12, "an edge at which nothing can be written is none of a bath"


def test_a_recipe_above_the_rim_warns_before_anything_is_poured(keyholder):
    bath = BathFactory(rim_l=13, fill_l=12)
    stocked("20 kg", crystals=True)

    for volume, warned in (("12", False), ("13", False), ("14", True), ("2000", True)):
        shown = words(keyholder.get(url("mix", bath), {"volume_0": volume, "volume_1": "L", "strength": "240"}))
        assert ("runs over" in shown) == warned, volume


def test_beyond_the_tables_the_range_is_said_and_the_spread_is_wider(keyholder):
    widths = {}
    for degrees, beyond in ((20, False), (2, True), (45, True)):
        bath = adopted(volume_l=12, strength_g_per_l=240)
        typed = {"hydrometer_0": "1.151", "hydrometer_1": "SG", "temperature_c": str(degrees), "reference_c": "20"}
        keyholder.post(url("read_hydrometer", bath), typed | {"key": uuid4()})
        event = BathEvent.objects.filter(bath=bath, kind="DensityRead").get()
        widths[degrees] = event.event.model(estimate.at_moment(bath).running())[-1]
        assert ("only from 18 to 25 °C" in words(keyholder.get(url("log", bath)))) == beyond, degrees

    assert widths[2] > widths[45] > widths[20]


def test_a_bath_that_dried_to_a_crust_still_has_its_page(member):
    bath = adopted(volume_l=0.5, strength_g_per_l=300, lid_on=False, surface_cm2=2000, rim_l=13)

    # half a litre open to the room since the book began: nothing but salt is left
    assert member.get(bath.get_absolute_url()).status_code == 200
    assert member.get(url("top_up", bath)).status_code == 200
