import numpy as np
import pytest

from chemistry.bath import replay
from tests.chemistry.bath.matrix_bath import MatrixBath, a_year_of_events, a_year_with_acid

LOGS = {"without acid": a_year_of_events(400), "with acid, powder and weighed pours": a_year_with_acid(400)}


@pytest.fixture(scope="module", params=LOGS)
def compared(request):
    """The states of our replay beside those of filterpy's ExtendedKalmanFilter, after each event."""
    events = LOGS[request.param]
    return list(zip(replay(events), MatrixBath().replay(events), strict=True))


def test_the_five_figures_agree_with_a_general_purpose_kalman_library(compared):
    for state, (figures, _) in compared:
        ours = [state.water_g, state.salt_g, state.drying_factor, state.hydrometer_offset, state.acid_g]

        assert ours == pytest.approx(list(figures), rel=1e-9, abs=1e-12)


def test_the_covariance_agrees_with_a_general_purpose_kalman_library(compared):
    for state, (_, covariance) in compared:
        sd = np.sqrt(np.diag(covariance).clip(min=1e-30))

        assert np.abs((np.array(state.covariance) - covariance) / np.outer(sd, sd)).max() < 1e-9


def test_the_covariance_stays_one(compared):
    for state, _ in compared:
        assert np.linalg.eigvalsh(np.array(state.covariance)).min() > -1e-12
