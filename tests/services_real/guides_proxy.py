"""The proxy of the operator's guide: nginx with the guide's own block, on ports of our own."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from tests.services_real import operators_guide as guide
from tests.services_real.needs import ended_with_us, free_port, wait_until
from tests.services_real.nginx import as_ourselves, nginx_program
from tests.services_real.worker import CHECKOUT

HOST = "rejoin.example.org"
FOLDERS = ("/srv/rejoin", "/etc/rejoin", "/var/lib/rejoin", "/var/backups/rejoin")


def moved(text: str, root: Path) -> str:
    """Return a text with the guide's folders below another root, and the checkout in its place."""
    text = text.replace("/srv/rejoin", str(CHECKOUT))
    for folder in FOLDERS[1:]:
        text = text.replace(folder, f"{root}{folder}")
    return text


def _make_certificate(folder: Path) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .sign(key, hashes.SHA256())
    )
    folder.mkdir(parents=True)
    (folder / "fullchain.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    (folder / "key.pem").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )


@contextmanager
def guides_proxy(
    root: Path, *, pages: int, phones: int, is_tls: bool = True
) -> Iterator[tuple[int, int]]:
    """Start nginx with the guide's own block; yields the ports in place of 80 and 443.

    Args:
        root: a folder in place of the machine's.
        pages: the port on which gunicorn serves pages.
        phones: the port on which gunicorn takes what phones send.
        is_tls: False = the second port takes plain requests and passes them on as if they had
            come by TLS, whose cost is then not part of what is measured.
    """
    plain, tls = free_port(), free_port()
    _make_certificate(root / "etc/rejoin/tls")
    block = moved((guide.FOLDER / "nginx.conf").read_text(), root)
    for before, after in (
        ("listen 80;", f"listen 127.0.0.1:{plain};"),
        ("listen 443 ssl;", f"listen 127.0.0.1:{tls}{' ssl' * is_tls};"),
        ("X-Forwarded-Proto $scheme", f"X-Forwarded-Proto {'$scheme' if is_tls else 'https'}"),
        ("http://127.0.0.1:8000", f"http://127.0.0.1:{pages}"),
        ("127.0.0.1:8001", f"127.0.0.1:{phones}"),
        ("/var/log/nginx/", f"{root}/"),
    ):
        assert block.count(before) == 1
        block = block.replace(before, after)
    temporary = "".join(
        f"{name}_temp_path {root}/{name};"
        for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (root / "nginx.conf").write_text(
        f"daemon off; worker_processes 1; pid {root}/pid; {as_ourselves()}\n"
        f"events {{ worker_connections 1024; }}\nhttp {{ {temporary}\n{block}\n}}\n"
    )
    words = [nginx_program(), "-c", str(root / "nginx.conf"), "-e", f"{root}/error.log"]
    tested = subprocess.run([*words, "-t"], capture_output=True, text=True, check=False)
    assert tested.returncode == 0, tested.stderr
    assert "warn" not in tested.stderr
    server = subprocess.Popen(words)
    try:
        with ended_with_us(["kill", str(server.pid)], root):
            wait_until(lambda: _is_open(plain), what="nginx")
            yield plain, tls
    finally:
        server.terminate()
        server.wait(timeout=10)


def _is_open(port: int) -> bool:
    try:
        HTTPConnection("127.0.0.1", port, timeout=2).connect()
    except OSError:
        return False
    return True
