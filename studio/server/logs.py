"""Log lines: one line each, whatever somebody sent, by a clock that nobody turns."""

import json
import logging
import socket
import time
from datetime import UTC, datetime

CONTROLS = {number: f"\\x{number:02x}" for number in (*range(32), *range(127, 160), 0x2028, 0x2029)}


class Line(logging.Formatter):
    converter = staticmethod(time.gmtime)
    default_time_format, default_msec_format = "%Y-%m-%dT%H:%M:%S", "%s.%03dZ"

    def formatMessage(self, record: logging.LogRecord) -> str:
        return super().formatMessage(record).translate(CONTROLS)


class JsonLines(logging.Formatter):
    """One JSON object each (MORDANT_LOG=json), for a machine to read."""

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
