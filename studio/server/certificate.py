"""The certificate by which the book speaks HTTPS itself, without a proxy in front."""

import ssl
from dataclasses import dataclass
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


@dataclass(frozen=True)
class Certificate:
    chain: Path
    key: Path


def from_files(text: str) -> Certificate | None:
    """
    Read "chain.pem,key.pem", or one file that holds both; None where nothing is said.

    Raises ImproperlyConfigured where they cannot be read or do not belong together, or nobody would be let in.
    """
    if not text:
        return None
    chain, _, key = (part.strip() for part in text.partition(","))
    found = Certificate(Path(chain).absolute(), Path(key or chain).absolute())
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(found.chain, found.key, password=lambda: "")
    except OSError as error:  # what ssl raises is one too
        raise ImproperlyConfigured(
            f"MORDANT_CERTIFICATE must name a certificate with its key, as PEM without a password: {error}"
        ) from error
    return found
