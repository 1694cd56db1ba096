"""Papers made from the record: what stands in them, now and as known on a past day."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from monitor.clock import new_id
from monitor.domain.inspections import Photo
from monitor.domain.vocabulary import Role
from monitor.errors import InvalidInput, NotFound
from monitor.reports.blocks import Size
from monitor.services.assessing.assess import assess_all
from monitor.services.papers import make as making
from monitor.services.papers.certificate import _instant
from monitor.services.papers.fingerprint import check
from monitor.services.papers.make import House, make_paper
from monitor.services.papers.plain_page import _by
from monitor.services.papers.wish import PaperKind, PaperWish, Scope
from monitor.services.recording.commands import Revision
from monitor.services.recording.revise import revise
from monitor.store import ledger_nodes, records
from monitor.store.ledger import append
from monitor.store.photos import PhotoFiles
from monitor.store.reach import Reach
from tests.build import a_reading, a_support, an_inspection, some_readings
from tests.conftest import NOON
from tests.dashboard.world import build_world
from tests.reports.paper import read
from tests.reports.test_typeset import ROGUE, a_jpeg

THEN = datetime(2013, 2, 12, 12, 0, tzinfo=UTC)
LATER = datetime(2020, 1, 1, tzinfo=UTC)
ONE = PaperWish(scope=Scope.SUPPORT, name="S-0142")


@pytest.fixture
def house(store, tmp_path):
    return House(
        store, store, PhotoFiles(tmp_path / "photos"), "https://trees.example/"
    )


@pytest.fixture
def world(store):
    with store.write_session() as session:
        build_world(session)


def made(house, tmp_path, wish, now=NOON):
    return read(make_paper(house, wish, now).pdf, tmp_path)


def test_an_owner_reads_plain_words_on_one_page_first(world, house, tmp_path):
    wish = PaperWish(scope=Scope.OWNER, name="city of velmarsh")

    found = made(house, tmp_path, wish)

    first = " ".join(found.text.split("\f")[0].split())
    assert "Of 5 supports, one must be made safe, two want watching" in first
    for words in ("How it is", "What we recommend", "When we come again", "S-0101",
                  "Keep people away and make safe at once: S-0101.",
                  "Screening only."):  # fmt: skip
        assert words in first
    assert "Readings" not in first


def test_each_support_has_its_own_pages_with_everything_asked_for(
    world, house, tmp_path
):
    found = made(house, tmp_path, PaperWish(scope=Scope.SUPPORT, name="s-0101"))

    for words in ("S-0101 must be made safe.", "make safe", "Photographs", "Readings",
                  "Noise, 2 sd", "±\u2009", "Limits:", "As built", "square hollow",
                  "Findings", "Works and events", "Who measured, and with what",
                  "Hidden parts are not inspected", "Screening only.",
                  "Ledger on 1 June 2026"):  # fmt: skip
        assert " ".join(words.split()) in found.words, words
    assert found.info["Tagged"] == "yes"


def test_a_removed_support_is_not_in_the_report_but_in_the_dossier(
    world, house, tmp_path
):
    with house.store.read_session() as session:
        support = records.SUPPORTS.find(session, code="S-0105")
        tree = records.TREES.get(session, support.tree_id)
        site = records.SITES.get(session, tree.site_id)

    dossier = PaperWish(PaperKind.DOSSIER, Scope.SITE, site.code)

    assert "S-0105 was removed on" in made(house, tmp_path, dossier).words
    assert "S-0105" not in made(house, tmp_path, PaperWish()).words


def test_a_dossier_says_what_it_does_not_promise_and_where_to_sign(
    world, house, tmp_path
):
    found = made(house, tmp_path, PaperWish(PaperKind.DOSSIER, Scope.SITE, "V-S-0101"))

    for words in ("does not make a tree safe", "Looks owed", "Open findings",
                  "Handed over by", "Taken over by"):  # fmt: skip
        assert words in found.words


def test_a_dossier_holds_every_reading_a_report_the_newest(store, house, tmp_path):
    with store.write_session() as session:
        spot = a_support(session)
        values = {date(2011 + n, 5, 1): 0.1 * n for n in range(15)}
        some_readings(session, spot, "settlement", values)

    report = made(house, tmp_path, ONE)
    dossier = made(
        house, tmp_path, PaperWish(PaperKind.DOSSIER, Scope.SITE, "V-S-0142")
    )

    assert "The newest 8 of 15 looks" in report.words
    assert "1 May 2011" not in report.text.replace("\u00a0", " ").split("The newest")[1]
    assert "All 15 looks" in dossier.words
    assert "1 May 2011" in dossier.words


def test_a_certificate_tells_of_one_look_and_of_no_other(world, house, tmp_path):
    wish = PaperWish(PaperKind.CERTIFICATE, Scope.SUPPORT, "S-0101")

    found = made(house, tmp_path, replace(wish, looked_on=date(2020, 4, 20)))

    assert "S-0101 was inspected on 20 April 2020." in found.words
    assert "5.0\u2009mm/m".replace("\u2009", " ") in found.words
    assert "8.1" not in found.words.split("How it stands")[0]
    with pytest.raises(NotFound, match="2026-04-20"):
        made(house, tmp_path, replace(wish, looked_on=date(2020, 4, 21)))


def test_a_year_plan_lists_what_is_owed(world, house, tmp_path):
    found = made(house, tmp_path, PaperWish(PaperKind.YEAR_PLAN))

    assert "The coming year asks for about" in found.words
    assert "Looks owed" in found.words
    assert "S-0106" in found.words


def test_a_past_day_is_told_without_later_corrections(store, house, tmp_path):
    with store.write_session() as session:
        spot = a_support(session)
        days = {date(2011, 5, 1): 1.0, date(2012, 5, 1): 1.1}
        _, last = some_readings(session, spot, "settlement", days, recorded_at=THEN)
        visit = records.INSPECTIONS.get(session, last.inspection_id)
        mended = a_reading(
            visit, spot.mark.id, "settlement", 41.7, recorded_at=LATER,
            supersedes_id=last.id,
        )  # fmt: skip
        after = an_inspection(spot.support.id, date(2019, 5, 1), recorded_at=LATER)
        records.READINGS.add(session, [mended])
        records.INSPECTIONS.add(session, [after])

    then = made(house, tmp_path, replace(ONE, known_on=date(2013, 2, 12)))
    now = made(house, tmp_path, ONE)

    assert "1.1 mm" in then.words
    assert "41.7" not in then.words
    assert "As known on 12 February 2013." in then.words
    assert "worked out anew" in then.words
    assert "41.7 mm" in now.words
    assert "As known on" not in now.words


def test_a_past_day_is_told_with_the_owner_of_that_day(store, house, tmp_path):
    with store.write_session() as session:
        a_support(session)
        change = Revision("site", "V-S-0142", "owner", "Lantern Trust", "sold")
        revise(session, change, actor="Ines", now=LATER)

    then = made(house, tmp_path, replace(ONE, known_on=date(2019, 12, 30)))
    now = made(house, tmp_path, ONE)

    assert "City of Velmarsh" in then.words
    assert "Lantern Trust" not in then.words
    assert "Lantern Trust" in now.words


def test_a_day_that_is_not_over_and_a_time_before_the_record_are_refused(
    store, house, tmp_path
):
    with store.write_session() as session:
        a_support(session)

    with pytest.raises(InvalidInput, match="not over yet"):
        made(house, tmp_path, replace(ONE, known_on=NOON.date()))
    with pytest.raises(NotFound):
        made(house, tmp_path, replace(ONE, known_on=date(1999, 1, 1)))


def test_the_recomputed_standing_of_now_is_the_stored_one(store, house, tmp_path):
    with store.write_session() as session:
        spot = a_support(session)
        values = {date(2011 + n, 5, 1): 0.9 * n for n in range(15)}
        some_readings(session, spot, "settlement", values)
        assess_all(session, now=NOON)
    late = NOON.replace(day=2)

    now = made(house, tmp_path, ONE, late)
    then = made(house, tmp_path, replace(ONE, known_on=NOON.date()), late)

    def standing(found):
        return found.words.split("The support S-0142 ")[1].split(".")[0]

    assert standing(now) == standing(then) == "must be made safe"


def test_the_fingerprint_on_a_paper_fits_the_record_until_it_is_changed(store, world):
    with store.write_session() as session:
        append(session, [("noted", "support S-0101", {})], actor="Ines", now=NOON)
        head = ledger_nodes.head(session)
        append(session, [("noted", "support S-0102", {})], actor="Ines", now=NOON)
        size = str(head.size)

        assert "begins with" in check(session, size, head.root)
        assert "begins with" in check(
            session, size, head.root.upper()[:8] + " " + head.root[8:]
        )
        assert "something else" in check(session, size, "0" * 64)
        assert "missing here" in check(session, "999999", head.root)
        for bad in (("", head.root), ("x", head.root), ("-1", head.root), (size, "ab")):
            with pytest.raises(InvalidInput):
                check(session, *bad)


def test_the_same_record_makes_the_same_bytes(world, house):
    wish = PaperWish(scope=Scope.SUPPORT, name="S-0101")

    assert make_paper(house, wish, NOON).pdf == make_paper(house, wish, NOON).pdf


def test_progress_goes_up_to_the_whole(world, house):
    shares = []

    make_paper(house, PaperWish(), NOON, lambda share, _: shares.append(share))

    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@pytest.mark.parametrize(
    "wish",
    [
        PaperWish(PaperKind.DOSSIER, Scope.OWNER, "x"),
        PaperWish(PaperKind.CERTIFICATE, Scope.ALL),
        PaperWish(PaperKind.YEAR_PLAN, Scope.SITE, "x"),
        PaperWish(PaperKind.YEAR_PLAN, known_on=date(2020, 1, 1)),
        PaperWish(scope=Scope.SITE, name=" "),
    ],
)
def test_what_can_not_be_made_is_refused_at_once(house, wish):
    with pytest.raises(InvalidInput):
        make_paper(house, wish, NOON)


@pytest.mark.parametrize("scope", [Scope.SUPPORT, Scope.SITE, Scope.OWNER])
def test_a_name_that_is_not_there_is_not_found(world, house, scope):
    with pytest.raises(NotFound):
        make_paper(house, PaperWish(scope=scope, name="no such"), NOON)


def test_a_paper_within_an_owners_reach_has_that_owners_supports_only(
    world, store, house, tmp_path
):
    with store.write_session() as session:
        other = a_support(session, "X-1")
        party = replace(
            records.PARTIES.get(session, other.site.owner_id), id=new_id(), name="Trust"
        )
        records.PARTIES.add(session, [party])
        records.SITES.change(session, replace(other.site, owner_id=party.id))
    mine = store.within(Reach(owner_id=party.id, role=Role.OWNER))

    found = made(replace(house, store=mine), tmp_path, PaperWish())

    assert "X-1" in found.words
    assert "S-01" not in found.words
    assert "Ledger on" in found.words


@pytest.mark.parametrize(
    ("kind", "text"),
    [*((PaperKind.CONDITION, text) for text in ROGUE[3:]),
     (PaperKind.CERTIFICATE, ROGUE[0])],
)  # fmt: skip
def test_whatever_people_wrote_can_be_set(store, house, tmp_path, text, kind):
    with store.write_session() as session:
        spot = a_support(session)
        some_readings(session, spot, "settlement", {date(2020, 5, 1): 1.0})
        records.SUPPORTS.change(
            session, replace(spot.support, note=text, reason=text, target=text)
        )
        bare = replace(spot.site, name=text, access_note=text, latitude=None)
        records.SITES.change(session, bare)

    found = made(house, tmp_path, replace(ONE, kind=kind))

    assert "S-0142" in found.words
    if kind is PaperKind.CONDITION:
        assert "No coordinates on record." in found.words
        assert "The only look" in found.words
        assert "No photograph is in the record." in found.words


def test_two_hundred_photographs_become_a_few_and_a_number(
    store, house, tmp_path, monkeypatch
):
    with store.write_session() as session:
        spot = a_support(session)
        photos = [_photo(spot, n) for n in range(200)]
        records.PHOTOS.add(session, photos)
    held = {photos[-1].sha256: a_jpeg((640, 480))}
    monkeypatch.setattr(PhotoFiles, "copy", lambda *_: None)
    monkeypatch.setattr(PhotoFiles, "keep_copy", lambda *_: None)
    monkeypatch.setattr(PhotoFiles, "read", lambda _, sha256: held[sha256])

    report = made(house, tmp_path, ONE)
    dossier = made(
        house, tmp_path, PaperWish(PaperKind.DOSSIER, Scope.SITE, "V-S-0142")
    )

    assert "1 of 200 photographs" in report.words
    assert "All 200 photographs" in dossier.words
    assert photos[0].sha256 in "".join(dossier.words.split())


def test_a_photograph_that_can_not_be_opened_is_told_of(store, house, tmp_path):
    with store.write_session() as session:
        records.PHOTOS.add(session, [_photo(a_support(session), 1)])

    found = made(house, tmp_path, ONE)

    assert "0 of 1 photographs" in found.words
    assert "1 could not be opened." in found.words


def _photo(spot, n: int) -> Photo:
    return Photo(
        new_id(), spot.support.id, None, None, f"{n:064x}", "image/jpeg", 900,
        date(2020, 5, 1), f"look {n}", NOON,
    )  # fmt: skip


def test_a_long_paper_is_bound_of_parts_and_says_the_same(
    world, house, tmp_path, monkeypatch
):
    whole = made(house, tmp_path, PaperWish())
    monkeypatch.setattr(making, "TOGETHER", 1)
    monkeypatch.setattr(making, "PART", 2)

    found = made(house, tmp_path, PaperWish())

    pages = found.text.split("\f")[:-1]
    contents = next(n for n, page in enumerate(pages) if "By code, with the" in page)
    listed = re.findall(r"^(S-\d{4})$", pages[contents], re.MULTILINE)
    numbers = re.findall(r"^(\d{1,2})$", pages[contents], re.MULTILINE)
    assert found.pages == whole.pages + 1
    assert len(listed) == len(numbers) == 5
    for code, number in zip(listed, numbers, strict=True):
        page = pages[int(number) - 1]
        assert page.startswith(code)
        assert f"page {number} of {found.pages}" in page
    drop = re.compile(r"page \d+ of \d+")
    told = [drop.sub("", page) for page in pages if page not in pages[contents]]
    assert told == [drop.sub("", page) for page in whole.text.split("\f")[:-1]]


def test_a_field_sheet_says_what_is_wanted_and_leaves_room(store, house, tmp_path):
    with store.write_session() as session:
        standing = a_support(session)
        days = {date(2020, 5, 14): 0.0, date(2024, 5, 14): 3.0}
        some_readings(session, standing, "settlement", days)

    found = made(house, tmp_path, replace(ONE, kind=PaperKind.FIELD_SHEET))

    assert found.pages == 1
    for words in ("settlement", "3.0 mm", "Today, with unit", "Findings today"):
        assert words in found.words


@pytest.mark.parametrize("size", list(Size))
def test_tags_have_the_code_and_lead_to_the_support(world, house, tmp_path, size):
    found = made(house, tmp_path, PaperWish(kind=PaperKind.TAGS, size=size))

    assert "5 tags." in found.words
    assert found.pages == 1
    for code in ("S-0101", "S-0102"):
        assert code in found.words


@pytest.mark.parametrize("kind", [PaperKind.FIELD_SHEET, PaperKind.TAGS])
def test_what_looks_ahead_takes_no_past_day(house, kind):
    with pytest.raises(InvalidInput) as refused:
        make_paper(house, replace(ONE, kind=kind, known_on=date(2020, 1, 1)), NOON)

    assert refused.value.code == "pap-006"


def test_a_sheet_can_be_letter(world, house, tmp_path):
    wish = PaperWish(scope=Scope.SUPPORT, name="S-0102", size=Size.LETTER)

    assert made(house, tmp_path, wish).info["Page size"].endswith("(letter)")


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (datetime(2013, 3, 1, tzinfo=UTC), "20 February 2014"),
        (datetime(2030, 3, 1, tzinfo=UTC), "now; it was due on"),
    ],
)
def test_an_owner_is_told_when_a_look_is_late(now, words):
    assert words in _by(date(2014, 2, 20), now.date()).replace("\u00a0", " ")


def test_a_certificate_says_an_instant_in_words():
    east = datetime(2031, 5, 15, 1, 30, tzinfo=timezone(timedelta(hours=3)))

    said = _instant(east).replace("\u00a0", " ")

    assert said == "14 May 2031, 22:30 UTC"  # three hours earlier, by hand
