"""Leach tests of a drum: written down from the report, judged, and over with the next thing that goes in."""

from uuid import uuid4

import pytest
from django.urls import reverse

from studio.waste import content, flags
from tests.chemistry.waste.rule_edges import LEACHED_METALS, LEACHED_SOLVENTS, A, N, U
from tests.studio.waste.shop import found_out, put
from tests.studio.waste.test_lasting import begun

pytestmark = pytest.mark.django_db


def state(vessel, workshop, rule_id):
    said = flags.flags_of_drum(content.content_of_drum(vessel), workshop)
    return {flag.rule_id: flag.state for flag in said.flags}[rule_id]


@pytest.fixture
def american(studio):
    type(studio)._base_manager.update(region="us")
    studio.refresh_from_db()
    return studio


def test_a_leach_test_is_judged_and_is_over_with_the_next_deposit(american):
    wanted = [
        # what is known, then the two rules of metals: by the test, and whether there may be any
        ({}, U, U),
        ({"may_hold_other_metals": False}, N, N),
        ({"may_hold_other_metals": True}, U, A),
        ({"tclp_lead": (5.0, 5.0)}, A, A),
        ({"tclp_lead": (4.0, 6.0)}, U, A),
        (dict.fromkeys(LEACHED_METALS, (0.0, 0.05)), N, U),
        ({"may_hold_other_metals": False, "tclp_lead": (6.0, 6.0)}, A, A),
        (dict.fromkeys([*LEACHED_METALS][1:], (0.0, 0.0)) | {"may_hold_other_metals": True}, U, A),
    ]
    for known, by_test, may_hold in wanted:
        vessel = begun("ground_scrap")
        if known:
            found_out(vessel, at=3, **known)

        assert state(vessel, american, "us.tc.leached_metals") == by_test, known
        assert state(vessel, american, "us.tc.other_metals") == may_hold, known

        put(vessel, grams=100, at=4)
        assert state(vessel, american, "us.tc.leached_metals") == U, known
        # lead that came out of it once stays in it
        stays = A if may_hold == A else U
        assert state(vessel, american, "us.tc.other_metals") == stays, known


def test_what_was_measured_before_something_went_in_is_said(american):
    vessel = begun("ground_scrap")
    found_out(vessel, at=3, tclp_lead=(0.4, 0.4))

    put(vessel, grams=100, at=4)

    held = content.content_of_drum(vessel)
    assert any("lead in the leach test: 0.4 mg/L" in said for said in held.outdated(["tclp_lead"]))


def test_solvents_and_copper_have_their_tests_too(american, studio):
    vessel = begun("solvent_spent")
    found_out(vessel, at=3, **dict.fromkeys(LEACHED_SOLVENTS, (0.0, 0.1)))
    assert state(vessel, american, "us.tc.leached_solvents") == N

    found_out(vessel, at=4, tclp_mek=(200.0, 200.0))
    assert state(vessel, american, "us.tc.leached_solvents") == A

    for region in ("eu", "gb"):
        type(studio)._base_manager.update(region=region)
        studio.refresh_from_db()
        sludge = begun("sludge")
        assert state(sludge, studio, "eu.landfill.copper") == U
        found_out(sludge, at=3, leached_cu_mg_per_kg=(100.0, 100.0))
        assert state(sludge, studio, "eu.landfill.copper") == N
        found_out(sludge, at=4, leached_cu_mg_per_kg=(120.0, 130.0))
        assert state(sludge, studio, "eu.landfill.copper") == A


def test_no_leach_test_is_asked_for_before_somebody_said_that_there_may_be_any(american):
    vessel = begun("ground_scrap")
    needs = flags.flags_of_drum(content.content_of_drum(vessel), american).needs
    assert "What the leach test gives" not in [need.name for need in needs]

    found_out(vessel, at=3, may_hold_other_metals=True)

    [need] = [
        need
        for need in flags.flags_of_drum(content.content_of_drum(vessel), american).needs
        if need.name == "What the leach test gives"
    ]
    assert all(f"ask={key}" in need.url for key in LEACHED_METALS)


def test_the_report_of_a_laboratory_is_written_down_in_one_form(member, american):
    vessel = begun("ground_scrap")
    page = f"{reverse('waste:find', args=[vessel.pk])}?" + "&".join(f"ask={key}" for key in LEACHED_METALS)
    shown = member.get(page).content.decode()
    assert "Lead in the leach test, mg/L" in shown

    typed = {key: "0 to 0.05" for key in LEACHED_METALS} | {"tclp_lead": "7.2", "key": uuid4()}
    assert member.post(page, typed).status_code == 302

    assert state(vessel, american, "us.tc.leached_metals") == A
    assert "lead in the leach test: 7.2 mg/L" in member.get(vessel.get_absolute_url()).content.decode()
    assert "Lead in the leach test" not in member.get(reverse("waste:find", args=[vessel.pk])).content.decode()
