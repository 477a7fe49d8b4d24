"""Log lines for a machine to read: one JSON object each (MORDANT_LOG=json)."""

import json
import logging
import socket
from datetime import UTC, datetime


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        said = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "from": record.name,
            "node": socket.gethostname(),
            "process": record.process,
            "words": record.getMessage(),
        }
        if record.exc_info:
            said["trace"] = self.formatException(record.exc_info)
        return json.dumps(said, ensure_ascii=False)
