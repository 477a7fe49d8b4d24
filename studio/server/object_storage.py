"""Documents and backups in storage that speaks S3; imported only where a setting names a bucket."""

from pathlib import Path
from typing import IO, Any

from django.core.files import File
from storages.backends.s3 import S3Storage

from inventory.uploads import Noted


class Bucket(Noted, S3Storage):
    """Whatever is in it is handed out by the book, which asks who is there; nobody gets an address of it."""

    def bring_back(self, name: str, content: IO[bytes]) -> None:
        S3Storage._save(self, name, File(content, name))

    def fetch(self, name: str, target: Path) -> None:
        # opened as a file it would be held in memory first
        self.bucket.Object(self._normalize_name(name)).download_file(str(target))

    @property
    def place(self) -> str:
        return f"s3://{self.bucket_name}/{self.location}"

    def url(self, *args: Any, **kwargs: Any) -> str:
        raise NotImplementedError
