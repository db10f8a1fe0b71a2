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


@contextmanager
def nginx(behind: str) -> Iterator[int]:
    """Start nginx in front of an address and yield the port on which it answers."""
    program = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")
    if not program:
        raise Missing("nginx", "nginx")
    port, root = free_port(), os.geteuid() == 0
    names = f"{pwd.getpwuid(os.geteuid()).pw_name} {grp.getgrgid(os.getegid()).gr_name}"
    with tempfile.TemporaryDirectory(prefix="rejoin-nginx-") as folder:
        told = _CONFIGURATION.format(
            folder=folder, port=port, behind=behind, user=f"user {names};" if root else ""
        )
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
