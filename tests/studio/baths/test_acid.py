"""Acid in a bath, through its pages: into the log, the reading, the label."""

import re
from uuid import uuid4

import pytest

from studio.baths import estimate
from studio.baths.status import status_of_baths
from studio.hazards.classification import classify_bath
from tests.factories import BathFactory, adopted
from tests.studio.baths.test_planner import errors, url, words

pytestmark = pytest.mark.django_db


def sent(browser, page, bath, **typed):
    return browser.post(url(page, bath), {"key": uuid4()} | typed)


def acid_of(bath):
    return estimate.at_moment(bath).acid_g_per_l


def of_label(bath, region="EU"):
    return classify_bath(status_of_baths([bath])[0], region).now


@pytest.mark.parametrize(
    ("amount", "unit", "percent", "grams"),
    [("480", "g", "96", 460.8), ("261.5", "mL", "96", 460.8), ("1", "L", "37", None), ("500", "mL", "37", 236.2)],
)
def test_acid_goes_in_by_weight_or_by_volume_at_its_strength(member, amount, unit, percent, grams):
    bath = adopted(volume_l=10)

    answer = sent(member, "add_acid", bath, acid_0=amount, acid_1=unit, acid_percent=percent, trained="on")

    if grams is None:
        assert answer.status_code == 200  # litres are no unit of the page
    else:
        assert estimate.at_moment(bath).acid_g == pytest.approx(grams, rel=0.003)


def test_acid_is_for_somebody_trained(member):
    bath = adopted()

    answer = sent(member, "add_acid", bath, acid_0="100", acid_1="g", acid_percent="96")

    assert "somebody trained" in errors(answer, "trained")
    assert "Acid into water, never the other way" in words(answer)
    assert acid_of(bath) == 0


@pytest.mark.parametrize(
    ("typed", "g_per_l"),
    [
        ({"known_by": "none"}, 0),
        ({"known_by": "about", "g_per_l": "45"}, 45),
        ({"known_by": "titration", "g_per_l": "45"}, 45),
        ({"known_by": "ph", "ph": "1"}, 25),
    ],
)
def test_whoever_knows_of_the_acid_says_so(member, typed, g_per_l):
    bath = adopted()
    assert "Nobody has said" in words(member.get(bath.get_absolute_url()))

    sent(member, "read_acid", bath, **typed)

    assert acid_of(bath) == pytest.approx(g_per_l, rel=0.2)
    assert "Nobody has said" not in words(member.get(bath.get_absolute_url()))


@pytest.mark.parametrize("typed", [{}, {"known_by": "ph"}, {"known_by": "about"}, {"known_by": "ph", "ph": "17"}])
def test_half_an_answer_is_asked_again(member, typed):
    bath = adopted()

    assert sent(member, "read_acid", bath, **typed).status_code == 200
    assert not estimate.at_moment(bath).acid_is_known


def test_without_an_answer_the_hydrometer_page_says_what_acid_would_do(member):
    unasked, sour = adopted(strength_g_per_l=200), adopted(strength_g_per_l=200)
    sent(member, "read_acid", sour, known_by="about", g_per_l="50")

    said = words(member.get(url("read_hydrometer", unasked)))

    read = re.search(r"with 50 g/L of acid this bath would read (\d+) g/L instead of 200", said)
    assert 244 <= int(read[1]) <= 254
    assert "this bath would read" not in words(member.get(url("read_hydrometer", sour)))


def test_the_label_knows_the_corrosion():
    clear, unasked = adopted(strength_g_per_l=200), adopted(strength_g_per_l=200)
    for bath in (clear, unasked):
        assert "skin_corr_1" not in of_label(bath).classes
    assert any("whether there is acid" in each for each in of_label(unasked).needs_info)


@pytest.mark.parametrize("region", ["US", "EU", "GB"])
def test_a_sour_bath_is_corrosive_in_every_region(keyholder, region):
    bath = BathFactory()
    typed = {
        "level_0": "10",
        "level_1": "L",
        "known_by": "about",
        "strength_g_per_l": "200",
        "reference_c": "20",
        "acid_known": "some",
        "acid_g_per_l": "50",
        "lid_on": "on",
    }

    sent(keyholder, "adopt", bath, **typed)

    known = of_label(bath, region)
    assert {"skin_corr_1", "eye_dam_1"} <= {*known.classes}
    assert "acid" in known.storage_groups
    assert not any("whether there is acid" in each for each in known.needs_info)


def test_acid_that_went_into_a_bath_of_which_nobody_said_anything_is_on_its_label(member):
    bath = adopted(volume_l=10, strength_g_per_l=200)

    sent(member, "add_acid", bath, acid_0="50", acid_1="g/L", acid_percent="96", trained="on")

    known = of_label(bath)
    assert "skin_corr_1" in known.classes
    assert any("whether there is acid" in each for each in known.needs_info)
