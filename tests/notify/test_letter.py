"""Both shapes of a letter say the same, and no word can break out of them."""

import re
from datetime import UTC, datetime
from html import unescape

from hypothesis import given
from hypothesis import strategies as st

from monitor.notify.letter import Letter, Sentence, html_text, plain_text
from monitor.notify.mail import message_of

LETTER = Letter(
    message_id="1@trees.example",
    subject="S-0101 must be made safe",
    sentences=(
        Sentence("Make safe", "S-0101, Chapel Row: the tilt is still growing.",
                 "https://trees.example/supports/S-0101"),
        Sentence("Late", "S-0103, Chapel Row: 3 days late."),
    ),
    closing=("Screening only.",),
    written_at=datetime(2026, 6, 1, 12, tzinfo=UTC),
    unsubscribe_url="https://trees.example/unsubscribe/1/2",
)  # fmt: skip

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=80)


def words_of(text):
    return re.findall(r"\w+", text)


def test_plain_text_and_html_hold_the_same_sentences():
    plain, rich = plain_text(LETTER), html_text(LETTER)

    for one in LETTER.sentences:
        assert one.text in plain
        assert one.text in unescape(rich)
        assert one.url in plain
        assert one.url in rich


def test_a_word_in_html_is_shown_and_not_obeyed():
    nasty = "<img src=x onerror=alert(1)>"
    letter = Letter(
        "1@x", nasty, (Sentence(nasty, nasty, ""),), (nasty,), LETTER.written_at
    )

    assert "<img" not in html_text(letter)


@given(subject=words, heading=words, text=words)
def test_no_word_adds_a_header(subject, heading, text):
    nasty = f"{subject}\r\nBcc: evil@example.com\r\n\r\n{text}"
    letter = Letter(
        "1@trees.example", nasty, (Sentence(heading, nasty, ""),), (),
        LETTER.written_at,
    )  # fmt: skip

    message = message_of(letter, "watch@trees.example", "ines@trees.example")
    head = bytes(message).partition(b"\r\n\r\n")[0]

    names = {name.casefold() for name in message.keys()}  # noqa: SIM118 - not a dict
    assert names == {
        "from", "to", "subject", "date", "message-id", "auto-submitted",
        "mime-version", "content-type",
    }  # fmt: skip
    assert b"\r\nbcc" not in head.lower()


def test_a_digest_can_be_left_with_one_click():
    # RFC 8058, 3.1: both headers, the second with exactly this value.
    message = message_of(LETTER, "watch@trees.example", "ines@trees.example")

    assert message["List-Unsubscribe"] == "<https://trees.example/unsubscribe/1/2>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
