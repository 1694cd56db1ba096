"""A wire between browser and server that can be cut."""

import socket
import threading
from urllib.parse import urlsplit


class Wire:
    """Passes bytes on until it is told to cut.

    Attributes
    ----------
    swallow : beginning of a request whose answer is not to get through, b"" for none
    swallowed : how many answers were lost
    """

    def __init__(self, home: str) -> None:
        parts = urlsplit(home)
        self._server = (parts.hostname, parts.port)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.home = f"http://127.0.0.1:{self._listener.getsockname()[1]}"
        self.swallow = b""
        self.swallowed = 0
        self.requests: list[bytes] = []
        self._open: list[socket.socket] = []
        self._threads: list[threading.Thread] = []
        self._start(self._listen)

    def close(self) -> None:
        for side in (self._listener, *self._open):
            _end(side)
        for thread in self._threads:
            thread.join(timeout=5)
        self._listener.close()

    def _listen(self) -> None:
        while True:
            try:
                browser, _ = self._listener.accept()
                server = socket.create_connection(self._server)
            except OSError:
                return
            self._open += [browser, server]
            self._start(self._pair, browser, server)

    def _start(self, work, *given) -> threading.Thread:
        thread = threading.Thread(target=work, args=given, daemon=True)
        thread.start()
        self._threads.append(thread)
        return thread

    def _pair(self, browser, server) -> None:
        cut = threading.Event()
        asking = self._start(self._ask, browser, server, cut)
        self._answer(browser, server, cut)
        asking.join()
        browser.close()
        server.close()

    def _ask(self, browser, server, cut) -> None:
        for data in _pieces(browser):
            if self.swallow and data.startswith(self.swallow):
                cut.set()
            self.requests.append(data.split(b"\r\n", 1)[0])
            if not _sent(server, data):
                break
        _end(server)

    def _answer(self, browser, server, cut) -> None:
        for data in _pieces(server):
            if cut.is_set():
                self.swallowed += 1
                break
            if not _sent(browser, data):
                break
        _end(browser)
        _end(server)


def _pieces(source):
    try:
        while data := source.recv(65536):
            yield data
    except OSError:
        return


def _sent(side, data: bytes) -> bool:
    try:
        side.sendall(data)
    except OSError:
        return False
    return True


def _end(side) -> None:
    try:
        side.shutdown(socket.SHUT_RDWR)
    except OSError:
        return
