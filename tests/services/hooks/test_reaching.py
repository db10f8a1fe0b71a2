"""One request to a program that is slow, lies, leads elsewhere, or lies in the own house.

Real sockets on this machine; the network of this machine is allowed where one has to answer.
"""

import socket
import ssl
import time
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from reports.hooks.services import reaching
from reports.hooks.services.reaching import Answer, send
from reports.models import Outcome
from tests.make_hooks import Play, answer, answering, listening, read_request

GOOD = answering(answer("204 No Content"))


@pytest.fixture
def at_home(settings: Any) -> None:
    """Programs on this machine may be told, without TLS."""
    settings.HOOK_NETWORKS = ["127.0.0.0/8"]
    settings.HOOKS_WITHOUT_TLS = True


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait for half a second in all."""
    monkeypatch.setattr(reaching, "ALL_S", 0.5)


@pytest.fixture
def no_line(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Nothing may be connected to; what was tried is told."""
    tried: list[Any] = []

    def connect(address: Any, **_: Any) -> socket.socket:
        tried.append(address)
        raise ConnectionRefusedError(111, "Connection refused")

    monkeypatch.setattr(socket, "create_connection", connect)
    return tried


def lies_at(monkeypatch: pytest.MonkeyPatch, *answers: list[str]) -> list[str]:
    """Let a name server give these answers, one after the other; return the names it was asked."""
    asked: list[str] = []

    def look_up(host: str, port: int) -> list[str]:
        asked.append(host)
        return answers[min(len(asked), len(answers)) - 1]

    monkeypatch.setattr(reaching, "look_up", look_up)
    return asked


def post(port: int, path: str = "/told") -> Answer:
    return send(f"http://127.0.0.1:{port}{path}", b'{"id": 1}', {"Rejoin-Id": "one"})


@pytest.mark.usefixtures("at_home")
def test_a_body_arrives_with_its_headers() -> None:
    got: list[Any] = []

    def play(line: socket.socket) -> None:
        got.append(read_request(line))
        line.sendall(answer("200 OK", body="thanks").encode())

    with listening(play) as port:
        assert post(port, "/told?k=1") == Answer(Outcome.ACCEPTED, 200)
    ((first, headers, body),) = got
    assert (first, body) == ("POST /told?k=1 HTTP/1.1", b'{"id": 1}')
    assert headers["Host"] == f"127.0.0.1:{port}"
    assert headers["Rejoin-Id"] == "one"
    assert headers["Content-Length"] == "9"


@pytest.mark.usefixtures("at_home")
@pytest.mark.parametrize(
    ("status", "outcome"),
    [
        ("200 OK", Outcome.ACCEPTED),
        ("299 Fine", Outcome.ACCEPTED),
        ("300 Choose", Outcome.REDIRECT),
        ("399 Elsewhere", Outcome.REDIRECT),
        ("400 Bad Request", Outcome.STATUS),
        ("409 Conflict", Outcome.STATUS),
        ("410 Gone", Outcome.GONE),
        ("411 Length", Outcome.STATUS),
        ("500 Broken", Outcome.STATUS),
    ],
)
def test_a_status_says_whether_it_was_accepted(status: str, outcome: Outcome) -> None:
    with listening(answering(answer(status))) as port:
        assert post(port) == Answer(outcome, int(status.split()[0]))


@pytest.mark.usefixtures("at_home")
def test_a_redirect_into_the_house_is_not_followed() -> None:
    reached: list[int] = []
    with listening(lambda line: reached.append(1)) as inner:
        where = f"http://127.0.0.1:{inner}/keys"
        with listening(answering(answer("302 Found", f"Location: {where}"))) as port:
            assert post(port) == Answer(Outcome.REDIRECT, 302, where)
        # So that the listener ends, and is seen to have been reached by this one alone.
        assert reached == []
        socket.create_connection(("127.0.0.1", inner)).close()


def _says_nothing(line: socket.socket) -> None:
    line.recv(4096)
    time.sleep(2)


def _drips(line: socket.socket) -> None:
    for sign in "HTTP/1.1 200 OK\r\nX-Long: " + "x" * 100:
        line.sendall(sign.encode())
        time.sleep(0.1)


def _drips_interim_answers(line: socket.socket) -> None:
    for _ in range(100):
        line.sendall(b"HTTP/1.1 100 Continue\r\n\r\n")
        time.sleep(0.05)


@pytest.mark.usefixtures("at_home", "hasty")
@pytest.mark.parametrize("play", [_says_nothing, _drips, _drips_interim_answers])
def test_a_slow_one_is_left_at_the_deadline(play: Play) -> None:
    with listening(play) as port:
        began = time.monotonic()
        assert post(port) == Answer(Outcome.TIMEOUT)
        assert 0.4 < time.monotonic() - began < 1.5


@pytest.mark.usefixtures("at_home", "hasty")
def test_a_slow_body_takes_nothing_from_an_acceptance() -> None:
    def play(line: socket.socket) -> None:
        read_request(line)
        line.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 9\r\n\r\n")
        time.sleep(1)

    with listening(play) as port:
        assert post(port) == Answer(Outcome.ACCEPTED, 200)


@pytest.mark.usefixtures("at_home")
@pytest.mark.parametrize("said", ["", "SSH-2.0-x\r\n", "HTTP/1.1 two OK\r\n\r\n", "x" * 70_000])
def test_one_that_speaks_no_http_is_told_apart(said: str) -> None:
    with listening(answering(said)) as port:
        assert post(port).outcome in {Outcome.NO_HTTP, Outcome.NO_CONNECTION}


@pytest.mark.usefixtures("at_home")
def test_of_a_long_lie_little_is_read() -> None:
    sent: list[int] = []

    def play(line: socket.socket) -> None:
        read_request(line)
        line.sendall(
            answer("500 Broken", body="").replace("Length: 0", "Length: 99999999").encode()
        )
        for _ in range(2000):
            sent.append(line.send(b"no\x00no\n" * 1000))

    with listening(play) as port:
        got = post(port)
    assert (got.outcome, got.status) == (Outcome.STATUS, 500)
    assert got.detail.startswith("no no no no")
    assert len(got.detail) == 200
    assert len(sent) < 2000


def test_nobody_there_is_said(at_home: None) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    assert post(port) == Answer(Outcome.NO_CONNECTION, detail="Connection refused")


@pytest.mark.parametrize(
    ("address", "outcome"),
    [
        ("https://127.0.0.1/", Outcome.NOT_PUBLIC),
        ("https://[::1]/", Outcome.NOT_PUBLIC),
        ("https://[::ffff:10.0.0.1]/", Outcome.NOT_PUBLIC),
        ("https://2130706433/", Outcome.NOT_PUBLIC),  # 127.0.0.1 as one number
        ("https://0x7f.1/", Outcome.NOT_PUBLIC),
        ("https://169.254.169.254/keys", Outcome.NOT_PUBLIC),
        ("https://localhost:6379/", Outcome.NOT_PUBLIC),
        ("http://8.8.8.8/", Outcome.NO_TLS),
        ("gopher://8.8.8.8/", Outcome.NO_TLS),
        ("https://.example/", Outcome.UNKNOWN_NAME),
    ],
)
def test_nothing_is_sent_into_the_house(address: str, outcome: Outcome, no_line: list[Any]) -> None:
    assert send(address, b"{}", {}).outcome is outcome
    assert no_line == []


def test_one_bad_address_of_several_is_enough(
    monkeypatch: pytest.MonkeyPatch, no_line: list[Any]
) -> None:
    lies_at(monkeypatch, ["8.8.8.8", "10.0.0.7"])
    assert send("https://a.example/", b"{}", {}) == Answer(Outcome.NOT_PUBLIC, detail="10.0.0.7")
    assert no_line == []


def test_the_connection_goes_to_the_address_that_was_checked(
    monkeypatch: pytest.MonkeyPatch, no_line: list[Any]
) -> None:
    """The name server says otherwise as soon as it is asked again."""
    asked = lies_at(monkeypatch, ["8.8.8.8", "1.1.1.1"], ["127.0.0.1"])
    assert send("https://a.example/", b"{}", {}).outcome is Outcome.NO_CONNECTION
    assert asked == ["a.example"]
    assert no_line == [("8.8.8.8", 443), ("1.1.1.1", 443)]
    assert send("https://a.example/", b"{}", {}).outcome is Outcome.NOT_PUBLIC
    assert len(no_line) == 2


@pytest.mark.usefixtures("at_home")
def test_the_second_address_is_tried_where_the_first_is_dead(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lies_at(monkeypatch, ["127.0.0.2", "127.0.0.1"])
    with listening(GOOD) as port:
        assert send(f"http://a.example:{port}/", b"{}", {}).outcome is Outcome.ACCEPTED


def _certificate(folder: Path, name: str) -> ssl.SSLContext:
    key, now = ec.generate_private_key(ec.SECP256R1()), datetime.now(UTC)
    called = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, name)])
    made = (
        x509.CertificateBuilder()
        .subject_name(called)
        .issuer_name(called)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    (folder / "cert.pem").write_bytes(made.public_bytes(pem))
    private = key.private_bytes(
        pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    (folder / "key.pem").write_bytes(private)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(folder / "cert.pem", folder / "key.pem")
    return context


@pytest.mark.parametrize(
    ("host", "is_known", "outcome"),
    [
        ("a.example", True, Outcome.ACCEPTED),
        ("b.example", True, Outcome.CERTIFICATE),
        ("a.example", False, Outcome.CERTIFICATE),
    ],
)
def test_a_certificate_has_to_be_trusted_and_of_that_name(
    host: str,
    is_known: bool,
    outcome: Outcome,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    settings: Any,
) -> None:
    settings.HOOK_NETWORKS = ["127.0.0.1"]
    context = _certificate(tmp_path, "a.example")
    lies_at(monkeypatch, ["127.0.0.1"])
    if is_known:
        trusted = ssl.create_default_context(cafile=str(tmp_path / "cert.pem"))
        monkeypatch.setattr(reaching, "tls", lambda: trusted)

    def play(line: socket.socket) -> None:
        with context.wrap_socket(line, server_side=True) as inner:
            GOOD(inner)

    with listening(play) as port:
        assert send(f"https://{host}:{port}/", b"{}", {}).outcome is outcome


def test_a_name_is_looked_up_by_the_system() -> None:
    found = reaching.look_up("localhost", 443)
    assert found
    assert all(ip_address(each).is_loopback for each in found)
