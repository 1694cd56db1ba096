"""A folder in the BagIt layout (RFC 8493), the same bytes for the same content.

Payload below `data`, SHA-256 and SHA-512 manifests of it, tag manifests of the rest.
"""

import hashlib
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from monitor.errors import InvalidInput

ALGORITHMS = ("sha256", "sha512")
_EPOCH = (1980, 1, 1, 0, 0, 0)  # earliest a ZIP can say; no clock in the bytes
_AT_ONCE = 1 << 20


class Bag:
    """A bag that is being written.

    Parameters
    ----------
    folder : new or empty
    """

    def __init__(self, folder: Path) -> None:
        if folder.exists() and any(folder.iterdir()):
            raise InvalidInput(f"{folder} is not empty; name another.", code="arc-001")
        self.folder = folder
        self._sums: list[tuple[str, int, dict[str, str]]] = []

    def add(self, name: str, pieces: Iterable[bytes]) -> None:
        """Write one payload file, piece by piece."""
        path = self.folder / "data" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        size, sums = 0, [hashlib.new(kind) for kind in ALGORITHMS]
        with path.open("wb") as file:
            for piece in pieces:
                file.write(piece)
                size += len(piece)
                for one in sums:
                    one.update(piece)
        digests = {k: s.hexdigest() for k, s in zip(ALGORITHMS, sums, strict=True)}
        self._sums.append((f"data/{name}", size, digests))

    def close(self, about: Sequence[tuple[str, str]]) -> None:
        """Write the declaration, what it is about, and the manifests."""
        octets = sum(size for _, size, _ in self._sums)
        lines = [*about, ("Payload-Oxum", f"{octets}.{len(self._sums)}")]
        tags = {
            "bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
            "bag-info.txt": "".join(f"{name}: {text}\n" for name, text in lines),
        }
        for kind in ALGORITHMS:
            tags[f"manifest-{kind}.txt"] = "".join(
                f"{sums[kind]}  {name}\n" for name, _, sums in sorted(self._sums)
            )
        for kind in ALGORITHMS:
            self._write(
                f"tagmanifest-{kind}.txt",
                "".join(
                    f"{hashlib.new(kind, text.encode()).hexdigest()}  {name}\n"
                    for name, text in sorted(tags.items())
                ),
            )
        for name, text in tags.items():
            self._write(name, text)

    def _write(self, name: str, text: str) -> None:
        (self.folder / name).write_bytes(text.encode())


def zip_folder(folder: Path, target: Path) -> None:
    """Pack a folder; the same files make the same ZIP."""
    with zipfile.ZipFile(target, "x", zipfile.ZIP_DEFLATED) as packed:
        for path in sorted(p for p in folder.rglob("*") if p.is_file()):
            name = f"{target.stem}/{path.relative_to(folder).as_posix()}"
            info = zipfile.ZipInfo(name, _EPOCH)
            info.compress_type = zipfile.ZIP_DEFLATED
            with path.open("rb") as source, packed.open(info, "w") as entry:
                for piece in _pieces(source.read):
                    entry.write(piece)


def unzip_bag(source: Path, target: Path, *, at_most_bytes: int) -> Path:
    """Unpack a packed bag; where it is.

    Raises
    ------
    InvalidInput : it is no ZIP, unpacks to more than allowed, or names a path outside
    """
    try:
        with zipfile.ZipFile(source) as packed:
            infos = packed.infolist()
            if sum(info.file_size for info in infos) > at_most_bytes:
                raise _refused(f"it unpacks to more than {at_most_bytes} bytes")
            for info in infos:
                if (
                    not (target / info.filename)
                    .resolve()
                    .is_relative_to(target.resolve())
                ):
                    raise _refused(f"it names a path outside: {info.filename[:80]}")
                _unpack(packed, info, target)
    except (zipfile.BadZipFile, OSError, NotImplementedError, RuntimeError) as error:
        raise _refused(str(error)) from error
    found = sorted(target.glob("*/bagit.txt"))
    if len(found) != 1:
        raise _refused("there is no bag in it")
    return found[0].parent


def _unpack(packed: zipfile.ZipFile, info: zipfile.ZipInfo, target: Path) -> None:
    """No more bytes than announced, whatever the compressed stream says."""
    path = target / info.filename
    if info.is_dir():
        path.mkdir(parents=True, exist_ok=True)
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    left = info.file_size
    with packed.open(info) as source, path.open("wb") as file:
        for piece in _pieces(source.read):
            left -= len(piece)
            if left < 0:
                raise _refused(f"{info.filename[:80]} is larger than announced")
            file.write(piece)


def _pieces(read: Callable[[int], bytes]) -> Iterator[bytes]:
    while piece := read(_AT_ONCE):
        yield piece


def _refused(why: str) -> InvalidInput:
    return InvalidInput(f"The archive was not taken in: {why}.", code="arc-002")
