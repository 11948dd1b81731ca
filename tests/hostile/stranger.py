"""A stranger at the desk's door, of the standard library alone, so that every account can run it.

    python3 -I -S stranger.py PORT COUNT SEED PATH...

It sends so many requests as no browser would, two thirds of them well formed, and prints one line of JSON:
how often each status came, and the requests whose answer had what must be in none.
"""

import json
import random
import re
import socket
import sys
from collections import Counter

HIDDEN = b"Quillonia"
"""The name of a child in the record: no answer to a stranger may have it."""

EVIL = [
    *(
        "../../etc/passwd",
        "..%2f..%2fetc%2fpasswd",
        "%00",
        "%ff%fe",
        "%c0%ae%c0%ae/",
        "\\..\\",
        "//evil.example/",
    ),
    *(
        "' OR 1=1 --",
        "{{7*7}}",
        "${7*7}",
        "<script>alert(1)</script>",
        "a" * 9000,
        "%0d%0aSet-Cookie: a=b",
        "1e999",
    ),
    *("-1", "999999999999999999999", "☃", "NaN", "", ";ls", "=cmd|' /C calc'!A0"),
]
BODIES = [
    b"",
    b"a" * 70_000,
    b"\x00" * 500,
    b'{"a":' * 3000,
    b"--x\r\nContent-Disposition: form-data\r\n\r\n",
    b"%" * 999,
]
TYPES = [
    "application/x-www-form-urlencoded",
    "application/json",
    "multipart/form-data; boundary=x",
    "text/xml",
    "",
]


def main(port: int, number: int, seed: int, paths: list[str]) -> None:
    chance = random.Random(seed)
    statuses: Counter[str] = Counter()
    leaks = []
    for _ in range(number):
        sent = chance.choice((well_formed, well_formed, malformed))(chance, port, paths)
        answer = exchanged(port, sent, chance)
        statuses[status(answer)] += 1
        if HIDDEN in answer:
            leaks.append(sent[:200].decode("latin-1"))
    print(json.dumps({"statuses": statuses, "leaks": leaks}), flush=True)


def status(answer: bytes) -> str:
    line = re.match(rb"HTTP/1\.[01] (\d{3}) ", answer)
    return line[1].decode() if line else "closed" if not answer else "no HTTP"


def exchanged(port: int, sent: bytes, chance: random.Random) -> bytes:
    """What comes back, whole; nothing where the line is closed, and sometimes nobody waits for it."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=60) as line:
            line.sendall(sent)
            if chance.random() < 0.05:
                return b""
            line.shutdown(socket.SHUT_WR)
            return b"".join(iter(lambda: line.recv(65536), b""))
    except (ConnectionError, BrokenPipeError):
        return b""


def token(port: int) -> tuple[str, str]:
    """A visit that the desk gave to whom it does not know: its cookie and its token."""
    page = exchanged(port, b"GET /login HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n" % port, random.Random(0))
    cookie = re.search(rb"Set-Cookie: ([^;]+)", page)
    value = re.search(rb'name="csrf_token" value="([^"]+)"', page)
    return (cookie[1].decode("latin-1") if cookie else "", value[1].decode("latin-1") if value else "")


def well_formed(chance: random.Random, port: int, paths: list[str]) -> bytes:
    path = chance.choice(paths)
    if chance.random() < 0.4:
        path = path.rstrip("/") + "/" + chance.choice(EVIL)
    if chance.random() < 0.3:
        path += "?" + chance.choice(("next", "group", "id", "at", "set")) + "=" + chance.choice(EVIL)
    path = re.sub(r"[\s\x00-\x1f]", "+", path)
    method = chance.choice(("GET", "GET", "POST", "POST", "HEAD", "PUT", "DELETE", "OPTIONS", "TRACE"))
    body = chance.choice(BODIES) if method in ("POST", "PUT") else b""
    head = {
        "Host": chance.choice(
            (f"127.0.0.1:{port}", f"127.0.0.1:{port}", f"localhost:{port}", "evil.example", "")
        )
    }
    if chance.random() < 0.5:
        cookie, value = token(port)
        head |= {"Cookie": cookie, "X-CSRF-Token": value}
        if method == "POST" and chance.random() < 0.4:
            path, body = "/login", f"csrf_token={value}&passphrase={chance.choice(EVIL[7:11])}".encode()
    elif chance.random() < 0.3:
        head["Cookie"] = "desk=" + "".join(chance.choices("abcdef0123456789", k=40))
    if chance.random() < 0.2:
        head["Origin"] = chance.choice(("null", "http://evil.example", f"http://127.0.0.1:{port}"))
    if body:
        head |= {"Content-Type": chance.choice(TYPES), "Content-Length": str(len(body))}
    lines = "".join(f"{name}: {value}\r\n" for name, value in head.items())
    return f"{method} {path} HTTP/1.1\r\n{lines}\r\n".encode() + body


def malformed(chance: random.Random, port: int, paths: list[str]) -> bytes:
    host = b"Host: 127.0.0.1:%d\r\n" % port
    path = chance.choice(paths).encode()
    return chance.choice(
        (
            b"GET %b\r\n\r\n" % path,
            b"GET %b HTTP/9.9\r\n%b\r\n" % (path, host),
            b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + chance.randbytes(200),
            b"POST /login HTTP/1.1\r\n%bContent-Length: -1\r\n\r\nabc" % host,
            b"POST /login HTTP/1.1\r\n%bContent-Length: 5\r\nContent-Length: 50\r\n\r\nabcde" % host,
            b"POST /login HTTP/1.1\r\n%bTransfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\nzz\r\n\r\n"
            % host,
            b"POST /login HTTP/1.1\r\n%bTransfer-Encoding: chunked\r\n\r\nfffffffff\r\na" % host,
            b"GET %b HTTP/1.1\r\n%b" % (path, host)
            + b"".join(b"X-%d: a\r\n" % n for n in range(3000))
            + b"\r\n",
            b"GET %b HTTP/1.1\r\n%bCookie: " % (path, host) + b"a=b;" * 20_000 + b"\r\n\r\n",
            b"GET %b HTTP/1.1\r\n%bX: a\r\n b\x00\r\n\r\n" % (path, host),
            b"POST /login HTTP/1.1\r\n%bContent-Length: 90000000\r\n\r\n" % host + b"a" * 3000,
            b"GET http://evil.example%b HTTP/1.1\r\n%b\r\n" % (path, host),
            b"POST %b HTTP/1.1\r\n%bExpect: 100-continue\r\nContent-Length: 9\r\n\r\n" % (path, host),
            chance.randbytes(chance.randint(1, 3000)),
        )
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:4]), sys.argv[4:])
