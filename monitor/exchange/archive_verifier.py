# ruff: noqa: T201, D103 - it goes into every archive and speaks to whoever runs it
"""Check an archive, a proof or the growth of a record of tree supports.

One file, standard library only, nothing of the program that wrote the record:
    python verify_record.py archive FOLDER [CHECKPOINT]
    python verify_record.py proof PROOF [CHECKPOINT]
    python verify_record.py growth GROWTH OLDER-CHECKPOINT
What is hashed: canonical(x) is JSON with sorted keys, no spaces, UTF-8; SHA is SHA-256.
An entry of form 2 holds
    commitment = SHA(salt + canonical([actor, origin, reason, payload]))
    leaf = SHA(00 + canonical([2, seq, recorded_at, device_at, action, subject,
                               commitment, rows]))
and one of form 1, the oldest,
    leaf = SHA(00 + canonical([seq, recorded_at, actor, action, subject, payload]))
A node of the tree is SHA(01 + left + right): RFC 6962, section 2.1. "rows" is the text
canonical([[table, key, SHA(salt + canonical([table, key, content]))], ...]); content is
canonical JSON of the columns that are not null, empty text or false, where a list or an
object counts as its canonical text. Erased names leave an empty salt; a later entry,
"erasure done", says what was left.
"""

import hashlib
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

Said = dict[str, Any]  # JSON, whatever it holds
FORMS = {
    1: "seq recorded_at actor action subject payload",
    2: "form seq recorded_at device_at action subject commitment rows",
}


def canonical(value: object) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def sha(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()


def salted(salt: str, value: object) -> str:
    return sha(bytes.fromhex(salt) + canonical(value).encode()).hex()


def node(left: bytes, right: bytes) -> bytes:
    return sha(b"\x01" + left + right)


def words(e: Said) -> list[object]:
    return [e["actor"], e["origin"], e["reason"], e["payload"]]


def leaf_of(e: Said) -> bytes:
    fields = [e[name] for name in FORMS[e["form"]].split()]
    return sha(b"\x00" + canonical(fields).encode())


def is_whole(e: Said) -> bool:
    """Whether the words of an entry are those that were hashed."""
    is_sealed = bool(e["salt"]) and salted(e["salt"], words(e)) == e["commitment"]
    return leaf_of(e).hex() == e["leaf_hash"] and (e["form"] == 1 or is_sealed)


def tree_root(leaves: list[bytes]) -> bytes:
    if len(leaves) < 2:
        return leaves[0] if leaves else sha(b"")
    half = 1 << ((len(leaves) - 1).bit_length() - 1)
    return node(tree_root(leaves[:half]), tree_root(leaves[half:]))


def fold(
    at: int, last: int, path: list[str], seed: bytes
) -> tuple[bytes, bytes] | None:
    """Roots of the older and the newer tree that a path leads to; RFC 9162, 2.1.4.2."""
    old = new = seed
    for other in map(bytes.fromhex, path):
        if last == 0:
            return None
        is_left = at % 2 == 1 or at == last
        old = node(other, old) if is_left else old
        new = node(other, new) if is_left else node(new, other)
        while is_left and at and at % 2 == 0:
            at, last = at >> 1, last >> 1
        at, last = at >> 1, last >> 1
    return None if last else (old, new)


def is_in(leaf: bytes, e: Said, proof: Said, path: list[str]) -> bool:
    found = fold(e["seq"] - 1, proof["size"] - 1, path, leaf)
    fits = 0 < e["seq"] <= proof["size"]
    return fits and found is not None and found[1].hex() == proof["root"]


def grew(old: Said, new: Said, path: list[str]) -> bool:
    if old["size"] in (0, new["size"]):
        return not path and (old["size"] == 0 or old["root"] == new["root"])
    is_perfect = old["size"] & (old["size"] - 1) == 0
    steps = [old["root"], *path] if is_perfect else path
    at, last = old["size"] - 1, new["size"] - 1
    while at % 2:
        at, last = at >> 1, last >> 1
    if old["size"] > new["size"] or not path:
        return False
    found = fold(at, last, steps[1:], bytes.fromhex(steps[0]))
    return found == (bytes.fromhex(old["root"]), bytes.fromhex(new["root"]))


def check_proof(proof: Said, told: Said | None = None) -> Iterator[str]:
    if told and (told["size"], told["root"]) != (proof["size"], proof["root"]):
        yield "the proof is for another ledger than the checkpoint"
    for item in proof["entries"]:
        e = item["entry"]
        if not is_whole(e) and (e["form"] == 1 or e["salt"]):
            yield f"entry {e['seq']}: its words are not those that were hashed"
        if not is_in(leaf_of(e), e, proof, item["path"]):
            yield f"entry {e['seq']}: it is not in the tree"


def check_growth(growth: Said, older: Said) -> Iterator[str]:
    if (older["size"], older["root"]) != (growth["old"]["size"], growth["old"]["root"]):
        yield "the proof begins at another checkpoint"
    if not grew(growth["old"], growth["new"], growth["path"]):
        yield "the ledger did not only grow"


def check_files(folder: Path) -> Iterator[str]:
    for manifest in sorted(folder.glob("*manifest-sha*.txt")):
        for line in manifest.read_text("utf-8").splitlines():
            told, name = line.split(None, 1)
            file, kind = folder / name, manifest.stem.rpartition("-")[2]
            if not file.is_file():
                yield f"{name}: the file is missing"
            elif hashlib.new(kind, file.read_bytes()).hexdigest() != told:
                yield f"{name}: the file was changed"


def check_ledger(entries: list[Said]) -> Iterator[str]:
    """Entries that are not what they were, or not where they were."""
    chain, wordless, left = "0" * 64, {}, {}
    for number, e in enumerate(entries, 1):
        chain = sha(bytes.fromhex(chain + e["leaf_hash"])).hex()
        if (e["seq"], e["chain_hash"]) != (number, chain):
            yield f"entry {number}: it is missing or not chained to those before"
            return
        if not is_whole(e):
            wordless[number] = salted("", words(e))
        if e["action"] == "erasure done":
            left.update(json.loads(e["payload"])["left"])
    for number, found in wordless.items():
        if left.get(str(number)) != found:
            yield f"entry {number}: it was changed"


def content(row: Said) -> str:
    plain = (canonical(v) if isinstance(v, list | dict) else v for v in row.values())
    said = dict(zip(row, plain, strict=True))
    empty = {n for n, v in said.items() if v is None or v is False or v == ""}
    return canonical({n: v for n, v in said.items() if n not in empty})


def check_archive(folder: Path, told: Said | None = None) -> Iterator[str]:
    """Whatever in an archive is not what was written."""
    tables = folder / "data" / "tables"
    about = json.loads((folder / "data" / "about.json").read_text("utf-8"))
    entries = read_lines(tables / "ledger.jsonl")
    yield from (*check_files(folder), *check_ledger(entries))
    leaves = [bytes.fromhex(e["leaf_hash"]) for e in entries]
    size = told["size"] if told else 0
    if told and (size > len(leaves) or tree_root(leaves[:size]).hex() != told["root"]):
        yield f"the ledger does not begin like the {size} entries told"
    wrote = {(t, k): (h, e) for e in entries for t, k, h in json.loads(e["rows"])}
    for table, columns in about["vouched"].items():
        for row in read_lines(tables / f"{table}.jsonl"):
            key = "/".join(str(row[column]) for column in columns)
            found, e = wrote.pop((table, key), ("", {"salt": "", "seq": "none"}))
            if not e["salt"] or salted(e["salt"], [table, key, content(row)]) != found:
                yield f"{table} {key}: it is not what entry {e['seq']} wrote"
    yield from (f"{table} {key}: it is gone" for table, key in wrote)


def read_lines(path: Path) -> list[Said]:
    return [json.loads(line) for line in path.read_text("utf-8").split("\n") if line]


def main(kind: str = "", *names: str) -> int:
    check: Any = globals().get(f"check_{kind}")
    if kind not in ("archive", "proof", "growth"):
        sys.exit(__doc__)
    folder = [Path(name) for name in names[: kind == "archive"]]
    files = [json.loads(Path(n).read_text("utf-8")) for n in names[len(folder) :]]
    wrong = list(check(*folder, *files))
    print("\n".join(wrong) or "It is what was written.")
    return 5 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
