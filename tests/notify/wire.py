"""Real servers on loopback: one that takes mail, one that takes posts."""

import ssl
import threading
from contextlib import contextmanager
from email import message_from_bytes
from email.policy import default
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP

CERTIFICATE = Path(__file__).with_name("loopback.pem")
"""Of localhost and hook.example, for these tests only; its key is no secret."""


def server_tls():
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(CERTIFICATE)
    return context


def trusting():
    return ssl.create_default_context(cafile=str(CERTIFICATE))


class Box:
    """Keeps what arrives; `answers` are given before any is taken."""

    def __init__(self):
        self.answers = []
        self.messages = []
        self.envelopes = []

    async def handle_DATA(self, server, session, envelope):  # noqa: N802 - its name
        answer = self.answers.pop(0) if self.answers else "250 taken"
        if answer.startswith("250"):
            self.messages.append(message_from_bytes(envelope.content, policy=default))
            self.envelopes.append(envelope)
        return answer

    @property
    def ids(self):
        return [message["Message-ID"] for message in self.messages]


class _Controller(Controller):
    def __init__(self, box, **options):
        self._options = options
        super().__init__(box, hostname="127.0.0.1", port=0)

    def factory(self):
        return SMTP(self.handler, **self._options)

    def _trigger_server(self):
        """The system chooses the port, so it is known only now."""
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


@contextmanager
def mail_server(**options):
    box = Box()
    controller = _Controller(box, **options)
    controller.start()
    box.port = controller.port
    try:
        yield box
    finally:
        controller.stop()


@contextmanager
def post_server(status=200, headers=()):
    """An HTTPS server that keeps what it is sent."""
    taken = []

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self):
            body = self.rfile.read(int(self.headers["Content-Length"] or 0))
            taken.append((self.path, dict(self.headers), body))
            self.send_response(status)
            for name, value in headers:
                self.send_header(name, value)
            self.end_headers()

        def log_message(self, *_):
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    server.socket = server_tls().wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, args=[0.02])
    thread.start()
    try:
        yield server.server_address[1], taken
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
