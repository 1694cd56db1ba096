"""What the device keeps: the page, its scripts and style, under one version."""

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from flask import Response

WEB = Path(__file__).parent / "web"
WORKER = "service-worker.js"
PAGE = "index.html"
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}


@dataclass(frozen=True, slots=True)
class Shell:
    """All files of the form; the version changes when any of them does."""

    files: dict[str, bytes]
    version: str

    def answer(self, name: str) -> Response:
        """One file as it is served."""
        answer = Response(self.files[name], content_type=TYPES[Path(name).suffix])
        answer.headers["X-Form-Version"] = self.version
        return answer

    def worker(self) -> Response:
        """The service worker, told which files to keep and their version."""
        names = sorted(name for name in self.files if name not in {WORKER, PAGE})
        told = f"const VERSION = {json.dumps(self.version)};\n"
        told += f"const FILES = {json.dumps([f'web/{name}' for name in names])};\n"
        body = told.encode() + self.files[WORKER]
        answer = Response(body, content_type=TYPES[".js"])
        answer.headers["X-Form-Version"] = self.version
        return answer


@cache
def shell() -> Shell:
    """The files as they are on the disk when first asked for."""
    files = {path.name: path.read_bytes() for path in sorted(WEB.iterdir())}
    digest = hashlib.sha256()
    for name, body in files.items():
        digest.update(f"{name}\0{len(body)}\0".encode() + body)
    return Shell(files, digest.hexdigest()[:12])
