"""What a process wrote, synced and renamed, from its system calls, and what of it a
power cut leaves.

A write that was not followed by a sync of its file may have reached the disk or not,
whole or in sectors of 512 bytes; a name that was made, moved or removed without a sync
of its folder may be there or not, in the order of the changes. This is what POSIX
leaves open; disks that lie about syncs are not modelled.
"""

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

CALLS = (
    "openat,write,pwrite64,fsync,fdatasync,ftruncate,rename,renameat,renameat2,"
    "unlink,unlinkat"
)
SECTOR = 512
_LINE = re.compile(r"(?:\d+ +)?(\w+)\((.*)\) += (-?\d+)")
_FD = re.compile(r"(-?\w+)<([^>]*)>")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')


def trace(module, *words, log, cwd):
    """Run a module and note its system calls; whether it ended well."""
    command = ["strace", "-f", "-y", "-xx", "-s", "10000000", "-e", f"trace={CALLS}"]
    command += ["-o", str(log), sys.executable, "-m", module, *map(str, words)]
    return subprocess.run(command, cwd=cwd, capture_output=True, check=False)


def steps_of(log, folder):
    """The calls that touch the folder, and what the process said it had done."""
    for line in log.open(encoding="ascii"):
        found = _LINE.match(line)
        if found is None or found[3].startswith("-"):
            continue
        step = _step(found[1], found[2], str(folder))
        if step:
            yield step


def _step(call, given, folder):
    texts = [bytes.fromhex(t.replace("\\x", "")) for t in _TEXT.findall(given)]
    fd = _FD.match(given)
    path = _plain(fd[2]) if fd else ""
    if call == "write" and fd and fd[1] == "1":
        return ("said", texts[0].decode(), 0)
    if call == "openat":
        name = texts[0].decode() if texts else ""
        is_ours = name.startswith(folder) and "O_CREAT" in given
        return ("open", name, "O_TRUNC" in given) if is_ours else None
    if call.startswith(("rename", "unlink")):
        names = [text.decode() for text in texts]
        return (call[:6], names, 0) if names and names[0].startswith(folder) else None
    if not path.startswith(folder):
        return None
    if call in ("fsync", "fdatasync"):
        return ("sync", path, 0)
    if call == "ftruncate":
        return ("truncate", path, int(given.rsplit(",", 1)[1]))
    offset = int(given.rsplit(",", 1)[1]) if call == "pwrite64" else None
    return ("write", path, (offset, texts[0]))


def _plain(path):
    """A path as strace prints it, which may be in hexadecimal."""
    if path.startswith("\\x"):
        return bytes.fromhex(path.replace("\\x", "")).decode()
    return path


@dataclass
class File:
    """What of a file is on the disk for sure, and what may be."""

    sure: bytearray = field(default_factory=bytearray)
    pending: list = field(default_factory=list)
    length: int = 0

    def change(self, at, data):
        at = self.length if at is None else at
        self.length = max(self.length, at + len(data))
        self.pending.append((at, data))

    def truncate(self, size):
        self.length = size
        self.pending.append((size, None))

    def sync(self):
        for change in self.pending:
            _apply(self.sure, *change)
        self.pending.clear()

    def after_a_cut(self, chance):
        left = bytearray(self.sure)
        for at, data in self.pending:
            if data is not None and chance.random() < 0.1:
                _apply(left, at, data[: SECTOR * chance.randrange(8)])
            elif chance.random() < 0.5:
                _apply(left, at, data)
        return left


def _apply(content, at, data):
    if data is None:
        del content[at:]
        content.extend(bytes(at - len(content)))
        return
    content.extend(bytes(max(0, at - len(content))))
    content[at : at + len(data)] = data


class Disk:
    """A folder as it is, and as a power cut would leave it."""

    def __init__(self, folder):
        self.folder = Path(folder)
        self.names, self.renamed = {}, []
        self.said = []
        for path in self.folder.rglob("*"):
            if path.is_file():
                content = bytearray(path.read_bytes())
                self.names[str(path)] = File(content, length=len(content))
        self.sure = dict(self.names)

    def take(self, step):
        """Let one call happen."""
        what, where, how = step
        if what == "said":
            self.said += [line.split() for line in where.splitlines()]
        elif what == "open":
            self._open(where, how)
        elif what == "rename":
            self._name(where[1], self.names[where[0]])
            self._unname(where[0])
        elif what == "unlink":
            self._unname(where[0])
        elif what == "sync":
            self._sync(where)
        elif where in self.names:
            file = self.names[where]
            file.truncate(how) if what == "truncate" else file.change(*how)

    def after_a_cut(self, chance, target):
        """Write what a cut at this moment leaves into another folder."""
        left = dict(self.sure)
        for path, file in self.renamed[: chance.randint(0, len(self.renamed))]:
            left.pop(path, None) if file is None else left.update({path: file})
        shutil.rmtree(target, ignore_errors=True)
        for path, file in left.items():
            if not path.endswith("-shm"):  # it is shared memory, rebuilt when opened
                out = target / Path(path).relative_to(self.folder)
                out.parent.mkdir(parents=True, exist_ok=True)
                out.write_bytes(file.after_a_cut(chance))

    def _open(self, path, truncates):
        if path not in self.names:
            self._name(path, File())
        elif truncates:
            self.names[path].truncate(0)

    def _name(self, path, file):
        self.names[path] = file
        self.renamed.append((path, file))

    def _unname(self, path):
        self.names.pop(path, None)
        self.renamed.append((path, None))

    def _sync(self, path):
        if path in self.names:
            self.names[path].sync()
            return
        here = [step for step in self.renamed if str(Path(step[0]).parent) == path]
        for name, file in here:
            if file is None:
                self.sure.pop(name, None)
            else:
                self.sure[name] = file
        self.renamed = [step for step in self.renamed if step not in here]
