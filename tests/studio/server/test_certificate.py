import ssl
import urllib.request

import pytest
import trustme
from django.core.exceptions import ImproperlyConfigured

from studio.server import certificate
from studio.server.certificate import Certificate
from tests.studio.opened import opened
from tests.studio.server.test_settings import run, setting


@pytest.fixture(scope="module")
def issuer():
    return trustme.CA()


@pytest.fixture(scope="module")
def both(issuer, tmp_path_factory):
    """One file with a key and the certificate that goes with it."""
    path = tmp_path_factory.mktemp("certificate") / "book.pem"
    issuer.issue_cert("127.0.0.1", "book.example.org").private_key_and_cert_chain_pem.write_to_path(str(path))
    return path


def believing(issuer, **versions) -> ssl.SSLContext:
    context = ssl.create_default_context()
    issuer.configure_trust(context)
    for name, version in versions.items():
        setattr(context, name, version)
    return context


def test_with_a_certificate_the_book_speaks_https_by_itself(issuer, both, tmp_path):
    with opened(tmp_path, "--empty", MORDANT_CERTIFICATE=str(both)) as book:
        address = book.address + "/first-aid/"
        assert address.startswith("https://127.0.0.1:")
        with urllib.request.urlopen(address, timeout=10, context=believing(issuer)) as page:
            assert page.status == 200
            assert page.headers["Strict-Transport-Security"]
        with pytest.raises(OSError, match=r"(?i)version|alert"):
            urllib.request.urlopen(address, context=believing(issuer, maximum_version=ssl.TLSVersion.TLSv1_2))


def test_nobody_is_asked_for_a_proxy_that_is_not_there(both, tmp_path):
    given = {"MORDANT_CERTIFICATE": str(both), "MORDANT_URL": "https://book.example.org"}

    assert setting(tmp_path, "PROXIES", "HTTPS", **given) == "0 True"


def test_an_address_of_plain_http_is_refused_beside_a_certificate(both, tmp_path):
    said = run(tmp_path, "manage.py", "check", MORDANT_CERTIFICATE=str(both), MORDANT_URL="http://book.example.org")

    assert said.splitlines()[-1].endswith("so MORDANT_URL must begin with https://")


def test_key_and_certificate_may_lie_in_two_files_and_must_belong_together(issuer, both, tmp_path):
    other = tmp_path / "other.pem"
    issuer.issue_cert("127.0.0.1").private_key_pem.write_to_path(str(other))
    alone = tmp_path / "alone.pem"
    alone.write_text(both.read_text()[both.read_text().index("-----BEGIN CERTIFICATE") :])

    assert certificate.from_files("") is None
    assert certificate.from_files(f"{alone}, {both}") == Certificate(alone, both)
    for wrong in (f"{both},{other}", f"{alone}", f"{tmp_path / 'nowhere.pem'}"):
        with pytest.raises(ImproperlyConfigured, match="MORDANT_CERTIFICATE must name"):
            certificate.from_files(wrong)
