import logging

from studio.server.logs import Line


def test_a_line_of_the_log_is_one_line_and_says_when_in_utc():
    record = logging.LogRecord("studio.door", logging.WARNING, "", 0, "refused %s", ("/a\n2026 signed in\u2028",), None)
    record.created, record.msecs = 0.25, 250

    line = Line("{asctime} {name}: {message}", style="{").format(record)

    assert line == "1970-01-01T00:00:00.250Z studio.door: refused /a\\x0a2026 signed in\\x2028"
