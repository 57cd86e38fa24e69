"""The proxy of service/deploy/nginx.conf, run as a user's process before a service."""

from __future__ import annotations

import os
import shutil
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.given.service_process import ROOT, free_port

CONFIGURATION = ROOT / "service" / "deploy" / "nginx.conf"
NAME = "quotes.example.com"


def certificate(folder: Path) -> None:
    """A certificate of the configured name that is nobody's, and its key."""
    made = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    names = ["-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}"]
    files = ["-keyout", f"{folder}/key.pem", "-out", f"{folder}/certificate.pem"]
    command = [shutil.which("openssl") or "openssl", *made, *names, *files]
    subprocess.run(command, check=True, capture_output=True)


def placed(folder: Path, service: int, plain: int, secure: int) -> Path:
    """The configuration with its ports and files here instead of where they are for good."""
    text = CONFIGURATION.read_text(encoding="utf-8")
    changes = [
        ("server 127.0.0.1:8000;", f"server 127.0.0.1:{service};"),
        ("    listen [::]:80;\n", ""),
        ("    listen [::]:443 ssl http2;\n", ""),
        ("listen 80;", f"listen 127.0.0.1:{plain};"),
        ("listen 443 ssl http2;", f"listen 127.0.0.1:{secure} ssl http2;"),
        ("/etc/ssl/wall-quotes", str(folder)),
    ]
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    (folder / "site.conf").write_text(text, encoding="utf-8")
    whole = folder / "nginx.conf"
    temporary = "".join(
        f"{each}_temp_path {folder}/{each};\n"
        for each in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    # Started as root its workers would be somebody else, to whom the folder is closed.
    user = "user root;" if os.geteuid() == 0 else ""
    whole.write_text(
        f"{user} pid {folder}/pid; error_log {folder}/error.log; daemon off; worker_processes 1;\n"
        f"events {{}}\nhttp {{ access_log off;\n{temporary}include {folder}/site.conf; }}\n",
        encoding="utf-8",
    )
    return whole


@contextmanager
def proxy_before(service: int, folder: Path) -> Iterator[tuple[int, int, ssl.SSLContext]]:
    """The proxy before a service at a port: its plain and its secure port, and whom to trust."""
    nginx = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin:/usr/local/sbin")
    if nginx is None:
        pytest.skip("nginx is not on this machine")
    certificate(folder)
    process, plain, secure = _started(nginx, service, folder)
    with process:
        try:
            yield plain, secure, ssl.create_default_context(cafile=str(folder / "certificate.pem"))
        finally:
            process.terminate()


def _started(nginx: str, service: int, folder: Path) -> tuple[subprocess.Popen[bytes], int, int]:
    """The proxy, listening: it says so by its file `pid`. Another test may have taken a free port
    before it, then it ends, and others are tried."""
    for _ in range(5):
        plain, secure = free_port(), free_port()
        whole = placed(folder, service, plain, secure)
        command = [nginx, "-p", str(folder), "-e", str(folder / "error.log"), "-c", str(whole)]
        tested = subprocess.run([*command, "-t"], capture_output=True, text=True, check=False)
        assert tested.returncode == 0, tested.stderr
        (folder / "pid").unlink(missing_ok=True)  # the trial makes one, too
        process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
        while process.poll() is None:
            if (folder / "pid").exists():
                return process, plain, secure
            time.sleep(0.05)
    raise AssertionError((folder / "error.log").read_text(encoding="utf-8"))
