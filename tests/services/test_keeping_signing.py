"""Checkpoints are signed, mailed, and checked by one who has only the letter."""

import ast
import stat
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from monitor.clock import FixedClock
from monitor.domain.checkpoints import from_text, to_text
from monitor.domain.ledger_tree import TreeHead
from monitor.domain.notices import Channel
from monitor.errors import InvalidInput, NotFound
from monitor.exchange import signature_verifier as outside
from monitor.notify.letter import plain_text
from monitor.services.keeping.checkpoints import make_checkpoint
from monitor.services.keeping.mailing import mail_checkpoint
from monitor.services.keeping.signing import is_signed_rightly, sign, signed_checkpoint
from monitor.services.notices.letters import Letterhead
from monitor.services.notices.recipients import Choices, choose
from monitor.services.notices.sending import Post, send_notices
from monitor.store import ledger

NOW = datetime(2026, 6, 1, tzinfo=UTC)

# RFC 8032, section 7.1, TEST 1 to 3: public key, message, signature
VECTORS = (
    ("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bac"
     "c61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"),
    ("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e"
     "458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"),
    ("fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290"
     "ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"),
)  # fmt: skip


@pytest.fixture
def signed(store, tmp_path):
    with store.write_session() as session:
        ledger.append(session, [("noted", "note", {})], actor="Edda", now=NOW)
    with store.read_session() as session:
        return sign(make_checkpoint(session, now=NOW), tmp_path)


@pytest.mark.parametrize(("key", "message", "signature"), VECTORS)
def test_the_published_signatures_hold_and_no_neighbour_of_them(
    key, message, signature
):
    owner, text, sign_ = (bytes.fromhex(one) for one in (key, message, signature))

    assert outside.is_signed(owner, text, sign_)
    assert not outside.is_signed(owner, text + b"x", sign_)
    for place in (0, 31, 32, 63):
        other = bytearray(sign_)
        other[place] ^= 1
        assert not outside.is_signed(owner, text, bytes(other))


def test_a_signature_with_a_number_beyond_the_order_is_refused():
    """RFC 8032, section 5.1.7: otherwise one signature would have a twin."""
    key, message, signature = (bytes.fromhex(one) for one in VECTORS[1])
    number = int.from_bytes(signature[32:], "little") + outside.ORDER
    twin = signature[:32] + number.to_bytes(32, "little")

    assert not outside.is_signed(key, message, twin)


@pytest.mark.parametrize("key", [b"", b"\x02" + bytes(31), b"\xff" * 32])
def test_a_key_that_is_none_signs_nothing(key):
    _, message, signature = (bytes.fromhex(one) for one in VECTORS[0])

    assert not outside.is_signed(key, message, signature)


def test_the_program_and_the_outside_file_agree(signed):
    text = to_text(signed)

    assert from_text(text) == signed
    assert is_signed_rightly(signed)
    assert outside.check(text)
    assert outside.check(text, signed.public_key)
    assert not outside.check(text, VECTORS[0][0])


@pytest.mark.parametrize("name", ["head", "made_at", "origin"])
def test_a_changed_checkpoint_is_not_signed(signed, name, tmp_path):
    other = {"head": TreeHead(2, signed.head.root), "made_at": "x", "origin": "y"}
    changed = replace(signed, **{name: other[name]})
    path = tmp_path / "changed.json"
    path.write_text(to_text(changed))

    assert not is_signed_rightly(changed)
    assert not outside.check(to_text(changed))
    with pytest.raises(InvalidInput, match="was changed"):
        signed_checkpoint(path)


def test_the_key_is_made_once_and_for_nobody_else_to_read(signed, store, tmp_path):
    with store.read_session() as session:
        again = sign(make_checkpoint(session, now=NOW), tmp_path)

    (path,) = tmp_path.glob("checkpoint.key*")
    assert again == signed
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


class Box:
    def __init__(self):
        self.letters = {}

    def deliver(self, letter, address):
        self.letters[address] = letter


def test_a_checkpoint_is_mailed_once_and_the_letter_is_enough_to_check_it(
    store, signed, tmp_path
):
    names = ("City of Velmarsh", "Insurer")
    with store.write_session() as session:
        for n, name in enumerate(names):
            choices = Choices(name, email=f"box{n}@example.org", quiet="never")
            choose(session, choices, actor="Edda", now=NOW)
    box = Box()
    post = Post({Channel.EMAIL: box}, Letterhead("", b"", "trees.example"), "")

    raised = []
    for _ in range(2):
        with store.write_session() as session:
            raised.append(mail_checkpoint(session, signed, names, now=NOW))
    send_notices(store, post, FixedClock(NOW))

    assert raised == [2, 0]
    assert sorted(box.letters) == ["box0@example.org", "box1@example.org"]
    letter = plain_text(box.letters["box0@example.org"])
    (tmp_path / "letter.txt").write_text(letter)
    assert outside.check(letter, signed.public_key)
    assert signed_checkpoint(tmp_path / "letter.txt").head == signed.head


def test_a_name_that_is_told_nothing_is_named(store, signed):
    with store.write_session() as session, pytest.raises(NotFound, match="Nobody Here"):
        mail_checkpoint(session, signed, ["Nobody Here"], now=NOW)


def test_the_outside_file_is_short_and_of_the_standard_library():
    text = Path(outside.__file__).read_text()
    named = {
        alias.name
        for step in ast.walk(ast.parse(text))
        if isinstance(step, ast.Import)
        for alias in step.names
    }

    assert len(text.splitlines()) <= 120
    assert named <= set(sys.stdlib_module_names)
