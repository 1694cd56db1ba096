# ruff: noqa: T201, D103 - it goes into every archive and speaks to whoever runs it
"""Check the signature of a checkpoint: Ed25519 as in RFC 8032, section 5.1.7.

One file, standard library only, nothing of the program that signed:
    python verify_signature.py CHECKPOINT [PUBLIC-KEY]
CHECKPOINT is the file, or the letter that holds it. What is signed is a line each for
format, origin, size, root and made_at. PUBLIC-KEY is what you were given before, in
hexadecimal; without it the key that the checkpoint names is taken.
"""

import hashlib
import json
import sys
from pathlib import Path

Point = tuple[int, int, int, int]  # x/z, y/z, z, x*y/z on the twisted Edwards curve
P = 2**255 - 19
ORDER = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P
NEUTRAL: Point = (0, 1, 1, 0)


def add(p: Point, q: Point) -> Point:
    a, b = (p[1] - p[0]) * (q[1] - q[0]) % P, (p[1] + p[0]) * (q[1] + q[0]) % P
    c, d = 2 * p[3] * q[3] * D % P, 2 * p[2] * q[2] % P
    e, f, g, h = b - a, d - c, d + c, b + a
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(number: int, p: Point) -> Point:
    found = NEUTRAL
    while number:
        found = add(found, p) if number & 1 else found
        p, number = add(p, p), number >> 1
    return found


def point(data: bytes) -> Point:
    """The point that 32 bytes stand for; ValueError if they stand for none."""
    whole = int.from_bytes(data, "little")
    y, sign = whole & ((1 << 255) - 1), whole >> 255
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if (x * x - square) % P:
        x = x * pow(2, (P - 1) // 4, P) % P
    if y >= P or len(data) != 32 or (x * x - square) % P or (not x and sign):
        raise ValueError("no point of the curve")
    x = x if x & 1 == sign else P - x
    return x, y, 1, x * y % P


BASE = point((4 * pow(5, -1, P) % P).to_bytes(32, "little"))


def is_signed(key: bytes, text: bytes, signature: bytes) -> bool:
    try:
        first, owner = point(signature[:32]), point(key)
    except ValueError:
        return False
    number = int.from_bytes(signature[32:], "little")
    digest = hashlib.sha512(signature[:32] + key + text).digest()
    left = times(number, BASE)
    right = add(first, times(int.from_bytes(digest, "little") % ORDER, owner))
    same = all((left[n] * right[2] - right[n] * left[2]) % P == 0 for n in (0, 1))
    return same and number < ORDER and len(signature) == 64


def check(text: str, key: str = "") -> bool:
    body = text[text.find("{") : text.rfind("}") + 1]
    said = json.loads(" ".join(body.split()))
    names = ("format", "origin", "size", "root", "made_at")
    signed = "".join(f"{said[name]}\n" for name in names).encode()
    owner = bytes.fromhex(key or said["public_key"])
    return is_signed(owner, signed, bytes.fromhex(said["signature"]))


def main(name: str = "", key: str = "") -> int:
    if not name:
        sys.exit(__doc__)
    good = check(Path(name).read_text("utf-8"), key)
    print("The signature is that of the key." if good else "NOT signed by that key.")
    return 0 if good else 5


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
