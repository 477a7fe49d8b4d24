"""Where what people bring along is kept: a folder, or storage that speaks S3 and that all nodes reach."""

from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from django.core.exceptions import ImproperlyConfigured

IN_A_FOLDER = "inventory.uploads.Uploads"
ALLOWED = {"endpoint_url", "region_name", "addressing_style", "verify"}


def chosen(said: str, *, data: Path) -> tuple[Path, dict[str, Any]]:
    """The folder of MORDANT_DOCUMENTS, and the storage that it names; who may enter a bucket the environment says."""
    if not said.startswith("s3://"):
        return Path(said or data / "uploads").absolute(), {"BACKEND": IN_A_FOLDER}
    address = urlsplit(said)
    options = dict(parse_qsl(address.query))
    if strange := set(options) - ALLOWED:
        raise ImproperlyConfigured(f"MORDANT_DOCUMENTS may end in {', '.join(sorted(ALLOWED))}, not in {strange.pop()}")
    bucket = {"bucket_name": address.netloc, "location": address.path.strip("/"), "file_overwrite": False}
    return data / "uploads", {"BACKEND": "studio.server.object_storage.Bucket", "OPTIONS": bucket | options}
