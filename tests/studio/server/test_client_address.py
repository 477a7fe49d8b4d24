import pytest

from studio.server import network


def _request(rf, forwarded=None):
    headers = {"x_forwarded_for": forwarded} if forwarded is not None else {}
    return rf.get("/", headers=headers, REMOTE_ADDR="10.0.0.9")


def test_without_a_proxy_the_forwarding_header_is_not_believed(rf, settings):
    settings.PROXIES = 0

    assert network.client_address(_request(rf, "203.0.113.7")) == "10.0.0.9"


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (1, "203.0.113.7", "203.0.113.7"),
        (1, "198.51.100.66, 203.0.113.7", "203.0.113.7"),  # the client wrote the first one itself
        (2, "198.51.100.66, 203.0.113.7, 10.0.0.8", "203.0.113.7"),
        (2, "203.0.113.7", "10.0.0.9"),  # shorter than our own proxies make it: nobody of ours wrote it
        (1, "", "10.0.0.9"),
        (1, None, "10.0.0.9"),
    ],
)
def test_behind_proxies_the_entry_of_the_outermost_counts(rf, settings, proxies, forwarded, address):
    settings.PROXIES = proxies

    assert network.client_address(_request(rf, forwarded)) == address
