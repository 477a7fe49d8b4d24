"""Asks for one page over a few connections for a while: `python -m tests.benchmarks.load PORT PATH COOKIE SECONDS`."""

import asyncio
import json
import statistics
import sys
import time

CONNECTIONS = 8


async def _keep_asking(port: int, request: bytes, until: float) -> list[float]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    took = []
    while (began := time.perf_counter()) < until:
        writer.write(request)
        head = await reader.readuntil(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 200"), head
        length = next(line for line in head.lower().split(b"\r\n") if line.startswith(b"content-length:"))
        await reader.readexactly(int(length.partition(b":")[2]))
        took.append(time.perf_counter() - began)
    writer.close()
    return took


async def _all(port: int, path: str, cookie: str, seconds: float) -> dict[str, float]:
    request = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nCookie: {cookie}\r\n\r\n".encode()
    until = time.perf_counter() + seconds
    asked = await asyncio.gather(*(_keep_asking(port, request, until) for _ in range(CONNECTIONS)))
    took = sorted(each for one in asked for each in one)
    twentieths = statistics.quantiles(took, n=20)
    return {"per_s": len(took) / seconds, "p50_ms": 1e3 * twentieths[9], "p95_ms": 1e3 * twentieths[18]}


if __name__ == "__main__":
    port, path, cookie, seconds = sys.argv[1:]
    print(json.dumps(asyncio.run(_all(int(port), path, cookie, float(seconds)))))
