"""A bath at the edges, through the real pages: whatever is typed, a page answers, and never with a fault of its own."""

from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from studio.people.roles import KEYHOLDER
from tests.factories import BathFactory, PersonFactory, WorkshopFactory, adopted, stocked
from tests.studio.baths.test_planner import url
from tests.studio.conftest import sign_in

VOLUMES = st.sampled_from(["0.05", "0.5", "12", "2000", "1e9", "-1", "", "0"])
STRENGTHS = st.sampled_from(["0", "3", "80", "240", "311", "330", "400", "900", "abc", ""])
DEGREES = st.sampled_from(["2", "20", "45", "60", "-5", "99", ""])
GRAMS = st.sampled_from(["0", "0.1", "160", "974", "5000", "99999999", "x", ""])
PERCENTS = st.sampled_from(["1", "37", "96", "100", "0", "101", ""])
GRAVITIES = st.sampled_from(["0.99", "1.000", "1.004", "1.15", "1.21", "1.40", "1.9", "1150", ""])
PHS = st.sampled_from(["0", "1", "4.5", "7", "9", "-2", ""])
RIMS = st.sampled_from([0.1, 3.0, 13.0, 2000.0])
FULL = st.sampled_from([0.02, 0.5, 0.9, 1.0])
MADE_OF = st.sampled_from([0.0, 3.0, 80.0, 240.0, 330.0, 400.0])


class TestEdges(TestCase):
    def sign_in(self):
        # each example has a book and a browser of its own
        WorkshopFactory()
        sign_in(self.client, PersonFactory(role=KEYHOLDER))
        self.jars = [stocked("400 kg", crystals=True), stocked("400 kg", powder=True)]

    def answers(self, bath, page, typed):
        for answer in (self.client.get(url(page, bath)), self.client.post(url(page, bath), typed | {"key": uuid4()})):
            assert answer.status_code in (200, 302), (page, typed, answer.status_code)
        assert self.client.get(bath.get_absolute_url()).status_code == 200
        assert self.client.get(url("top_up", bath)).status_code in (200, 302)

    @settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
    @given(RIMS, VOLUMES, st.data(), DEGREES)
    def test_mixing(self, rim_l, water, data, degrees):
        self.sign_in()
        bath = BathFactory(rim_l=rim_l, fill_l=rim_l)
        typed = {"water_l_0": water, "water_l_1": "L", "temperature_c": degrees, "lid_on": "on"}
        for jar in self.jars:
            typed |= {f"salt_{jar.pk}_0": data.draw(GRAMS), f"salt_{jar.pk}_1": "g"}
        self.answers(bath, "mix", typed)
        asked = {"volume_0": water, "volume_1": "L", "strength": data.draw(STRENGTHS)}
        assert self.client.get(url("mix", bath), asked).status_code == 200

    @settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
    @given(RIMS, FULL, MADE_OF, VOLUMES, GRAMS, STRENGTHS, DEGREES)
    def test_topping_up(self, rim_l, full, made_of, water, grams, strength, degrees):
        self.sign_in()
        bath = adopted(volume_l=max(0.02, rim_l * full), strength_g_per_l=made_of, rim_l=rim_l, fill_l=rim_l)
        typed = {
            "water_l_0": water,
            "water_l_1": "L",
            "temperature_c": degrees,
            "salt_anyway": "on",
            "weak_anyway": "on",
        }
        typed |= {f"salt_{self.jars[1].pk}_0": grams, f"salt_{self.jars[1].pk}_1": "g"}
        self.answers(bath, "top_up", typed)
        for way in ("water", "crystals", "both"):
            asked = {"level_0": water, "level_1": "L", "way": way, "strength": strength}
            assert self.client.get(url("top_up", bath), asked).status_code == 200

    @settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
    @given(RIMS, FULL, MADE_OF, GRAVITIES, DEGREES, PHS, GRAMS, PERCENTS)
    def test_reading_and_acid(self, rim_l, full, made_of, gravity, degrees, ph, grams, percent):
        self.sign_in()
        bath = adopted(volume_l=max(0.02, rim_l * full), strength_g_per_l=made_of, rim_l=rim_l, fill_l=rim_l)
        acid = {"acid_0": grams, "acid_1": "g", "acid_percent": percent, "trained": "on"}
        self.answers(bath, "add_acid", acid)
        glass = {"hydrometer_0": gravity, "hydrometer_1": "SG", "temperature_c": degrees, "reference_c": "20"}
        self.answers(bath, "read_hydrometer", glass)
        self.answers(bath, "read_acid", {"known_by": "ph", "ph": ph})
        self.answers(
            bath, "read_level", {"level_0": grams, "level_1": "L", "temperature_c": degrees, "half_width_l": "0.1"}
        )
        self.answers(bath, "titrate", {"copper_0": gravity, "copper_1": "mol/L", "half_width_percent": "2"})


@pytest.mark.django_db
def test_a_bath_that_dried_to_a_crust_still_has_its_page(member):
    bath = adopted(volume_l=0.5, strength_g_per_l=300, lid_on=False, surface_cm2=2000, rim_l=13)

    # half a litre open to the room since the book began: nothing but salt is left
    assert member.get(bath.get_absolute_url()).status_code == 200
    assert member.get(url("top_up", bath)).status_code == 200
