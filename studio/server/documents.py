"""Where documents and backups are kept: a folder, or storage that speaks S3 and that all nodes reach."""

from pathlib import Path, PurePath
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
        raise ImproperlyConfigured(
            f"An address of s3:// may end in {', '.join(sorted(ALLOWED))}, not in {strange.pop()}"
        )
    bucket = {"bucket_name": address.netloc, "location": address.path.strip("/"), "file_overwrite": False}
    return data / "uploads", {"BACKEND": "studio.server.object_storage.Bucket", "OPTIONS": bucket | options}


def for_backups(said: str, *, data: Path, documents: tuple[Path, dict[str, Any]]) -> dict[str, Any]:
    """The storage of MORDANT_BACKUPS, named alike; documents: what was chosen for those."""
    folder, storage = found = chosen(said or str(data / "backups"), data=data)
    if place(*found).is_relative_to(place(*documents)):
        raise ImproperlyConfigured(
            "The backups would lie among the documents, and each would hold all before it: name another place in "
            "MORDANT_BACKUPS or in MORDANT_DOCUMENTS."
        )
    return {"OPTIONS": {"location": folder}, **storage}


def place(folder: Path, storage: dict[str, Any]) -> PurePath:
    options = storage.get("OPTIONS")
    return PurePath(f"s3:{options['bucket_name']}", options["location"]) if options else folder
