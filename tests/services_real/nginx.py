"""A real proxy in front of the product: nginx on loopback, configured as README asks."""

import grp
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.services_real.gunicorn import status_of
from tests.services_real.needs import Missing, ended_with_us, free_port, wait_until

_CONFIGURATION = """
daemon off; worker_processes 1; pid {folder}/pid; error_log {folder}/log;
{user}
events {{ worker_connections 64; }}
http {{
    access_log off;
    client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/f; uwsgi_temp_path {folder}/u; scgi_temp_path {folder}/s;
    server {{
        listen 127.0.0.1:{port};
        location / {{
            proxy_pass {behind};
            proxy_set_header Host $http_host;
            proxy_set_header X-Forwarded-Proto https;
            proxy_set_header X-Forwarded-For $proxy_add_x_forwarded_for;
        }}
    }}
}}
"""


def nginx_program() -> str:
    """Return where nginx is.

    Raises:
        Missing: it is not installed.
    """
    program = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")
    if not program:
        raise Missing("nginx", "nginx")
    return program


def as_ourselves() -> str:
    """Return the line by which nginx, started by root, goes on as root: our folders are ours."""
    if os.geteuid() != 0:
        return ""
    return f"user {pwd.getpwuid(0).pw_name} {grp.getgrgid(os.getegid()).gr_name};"


@contextmanager
def nginx(behind: str) -> Iterator[int]:
    """Start nginx in front of an address and yield the port on which it answers."""
    program, port = nginx_program(), free_port()
    with tempfile.TemporaryDirectory(prefix="rejoin-nginx-") as folder:
        told = _CONFIGURATION.format(folder=folder, port=port, behind=behind, user=as_ourselves())
        file = Path(folder, "nginx.conf")
        file.write_text(told)
        server = subprocess.Popen([program, "-c", str(file), "-e", f"{folder}/log"])
        try:
            with ended_with_us(["kill", str(server.pid)], Path(folder)):
                wait_until(lambda: _answers(port), what="nginx")
                yield port
        finally:
            server.terminate()
            server.wait(timeout=10)


def _answers(port: int) -> bool:
    try:
        return status_of(f"http://127.0.0.1:{port}/healthz") == 200
    except OSError:
        return False
