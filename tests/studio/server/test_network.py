import socket

import pytest

from studio.server import network


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.5", "::1", "localhost"])
def test_loopback_is_this_machine_alone(host):
    assert network.is_loopback(host)


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.5", "press.example"])
def test_anything_else_is_open_to_others(host):
    assert not network.is_loopback(host)


@pytest.mark.parametrize(
    ("text", "host", "port"),
    [
        ("127.0.0.1:8000", "127.0.0.1", 8000),
        ("0.0.0.0:80", "0.0.0.0", 80),
        ("[::1]:8000", "::1", 8000),
        ("8080", "127.0.0.1", 8080),  # a port alone opens nothing to others
        (":8080", "127.0.0.1", 8080),
    ],
)
def test_an_address_to_listen_on_is_read_as_people_write_it(text, host, port):
    assert network.host_and_port(text) == (host, port)


@pytest.mark.parametrize("text", ["127.0.0.1", "press.example:http", "127.0.0.1:0", "127.0.0.1:70000", "::1"])
def test_an_address_without_a_port_is_refused_in_words(text):
    with pytest.raises(ValueError, match="such as 127.0.0.1:8000"):
        network.host_and_port(text)


def test_an_ipv6_address_can_be_typed_into_a_browser():
    assert network.url("http", "::1", 8000) == "http://[::1]:8000"


def test_a_port_with_a_listener_is_not_free():
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]

        assert not network.is_free("127.0.0.1", port)
        assert network.claim("127.0.0.1", port) is None
        other, claimed = network.claim_next("127.0.0.1", port)
        with claimed:
            assert other > port


def test_a_port_is_claimed_once_before_anybody_listens_there():
    port, claimed = network.claim_next("127.0.0.1", 20_000)

    with claimed:
        assert network.claim("127.0.0.1", port) is None

    with network.claim("127.0.0.1", port):
        pass


def test_without_a_folder_of_one_s_own_a_free_port_is_taken_all_the_same(monkeypatch, tmp_path):
    (tmp_path / "file").touch()
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *_, **__: tmp_path / "file")
    port, claimed = network.claim_next("127.0.0.1", 21_000)

    claimed.close()

    assert port > 21_000


def test_a_port_shared_on_purpose_is_not_free_either():
    with socket.socket() as other:
        other.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        other.bind(("127.0.0.1", 0))
        other.listen()

        assert not network.is_free("127.0.0.1", other.getsockname()[1])


def test_without_any_network_the_address_is_this_machine_s_own(monkeypatch):
    monkeypatch.setattr(network, "SOMEWHERE_ELSE", ("255.255.255.255", 9))  # a route the system refuses

    assert network.address() == "127.0.0.1"
