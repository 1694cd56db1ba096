"""Taking in files through a real database, tidy, untidy and bad."""

import io
from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa
import xlsxwriter

from monitor.domain.vocabulary import Answer, InspectionKind
from monitor.errors import ImportRejected
from monitor.exchange.mapping import HeadingMap
from monitor.exchange.tables import ReadOptions, sheet_of
from monitor.services.ingesting.ingest import ingest
from monitor.services.ingesting.rows import IngestOptions
from monitor.services.recording.amend import amend_inspection, withdraw_inspection
from monitor.services.recording.amend_work import amend_work
from monitor.services.recording.commands import (
    InspectionAmendment,
    Revision,
    WorkAmendment,
)
from monitor.services.recording.revise import revise
from monitor.store import records
from monitor.store.frames import readings_frame, segments_frame
from monitor.store.ledger import entries, first_broken
from monitor.store.models import Base
from monitor.store.stale import stale_supports

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)

SUPPORTS = """\
owner,site,tree,species,support,occupancy,consequence,member,kind,installed,\
wall [mm],hole diameter
City of Velmarsh,V-1,T1,Quercus robur,S-0142,frequent,minor,P1,post,2001-04-02,5,
,,,,S-0142,,,T7,pin,1999-03-01,,32 mm
City of Velmarsh,V-1,T2,Tilia cordata,S-0143,rare,severe,P1,post,2010-06-30,6.3,
"""
LONG = """\
support,member,mark,date,inspector,quantity,value,unit,answer,why,finding,grade,note
S-0142,P1,,2012-05-14,Ines,settlement,0.0,mm,,,,,
S-0142,P1,,2012-05-14,Ines,tilt x,1:500,,,,,,
S-0142,T7,,2012-05-14,Ines,wound_width,1 1/4 in,,,,,,
S-0142,P1,,2014-05-14,Ines,settlement,2.5,mm,,,,,
S-0142,P1,,2014-05-14,Ines,gap,,,could not reach,nesting owl,,,
S-0142,P1,,2014-05-14,Ines,,,,,,loose nut,,east bolt
S-0143,,,2014-05-15,Marek,settlement,1.0,mm,,,,,
"""
WORKS = """\
support,member,date,work,done by,note,closes
S-0142,P1,2015-03-01,repair,Corbel & Fern Supports,new base,loose nut
"""
CORRECTIONS = """\
support,member,date,quantity,value,unit,reason
S-0142,P1,2014-05-14,settlement,2.0,mm,card read again
S-0142,T7,2012-05-14,wound width,withdrawn,,wrong tree
"""


def take(store, content, name="list.csv", **options):
    content = content.encode() if isinstance(content, str) else content
    sheet = sheet_of(name, content, ReadOptions())
    with store.write_session() as session:
        return ingest(session, sheet, IngestOptions(**options), actor="test", now=NOW)


def refusal(store, content, name="list.csv", **options):
    before = everything(store)
    with pytest.raises(ImportRejected) as caught:
        take(store, content, name, **options)
    assert everything(store) == before
    return caught.value


def everything(store):
    """Number of rows of every table, and the last link of the ledger."""
    with store.read_session() as session:
        counts = {
            table.name: session.execute(
                sa.select(sa.func.count()).select_from(table)
            ).scalar_one()
            for table in Base.metadata.sorted_tables
        }
        chain = [entry.chain_hash for entry in entries(session)]
    return counts, chain[-1:]


@pytest.fixture
def filled(store):
    """Two supports and their first years, from files."""
    take(store, SUPPORTS)
    take(store, LONG)
    return store


def readings(store):
    with store.read_session() as session:
        return readings_frame(session)


def test_supports_come_in_one_member_a_row(store):
    report = take(store, SUPPORTS)

    assert (report.taken, report.known, report.refused) == (3, 0, 0)
    assert report.made["supports"] == 2
    with store.read_session() as session:
        first, second = records.SUPPORTS.all(session)
        assert (first.code, first.installed_on) == ("S-0142", date(1999, 3, 1))
        assert second.code == "S-0143"
        assert {m.code for m in records.MEMBERS.all(session)} == {"P1", "T7"}
        assert records.SITES.count(session) == 1
        (file,) = records.IMPORTS.all(session)
        assert (file.kind, file.rows_taken) == ("supports", 3)


def test_holidays_and_hours_of_access_come_in_with_a_site(store):
    head, first, *_ = SUPPORTS.replace(",\n", "\n").splitlines()
    text = f"{head},public holidays,opening hours\n{first},,GB-SCT,10:00-15:30\n"

    take(store, text)

    with store.read_session() as session:
        site = records.SITES.find(session, code="V-1")
    assert (site.holiday_region, site.access_hours) == ("GB-SCT", "10:00-15:30")


def test_inspections_come_in_a_reading_or_finding_a_row(filled):
    frame = readings(filled)
    with filled.read_session() as session:
        visits = records.INSPECTIONS.all(session)
        (finding,) = records.FINDINGS.all(session)
        assert len(visits) == 3
        assert [v.kind for v in sorted(visits, key=lambda v: v.inspected_on)] == [
            InspectionKind.BASELINE,
            InspectionKind.ROUTINE,
            InspectionKind.BASELINE,
        ]
        assert (finding.code, finding.note) == ("loose nut", "east bolt")
        assert len(stale_supports(session)) == 2
        assert first_broken(session) is None
    assert len(frame) == 6
    wound = frame[frame["quantity"] == "wound_width"].iloc[0]
    assert wound["value"] == pytest.approx(31.75)  # 1 1/4 of 25.4 mm
    assert wound["given"] == "1 1/4 in"
    gap = frame[frame["quantity"] == "gap"].iloc[0]
    assert (gap["answer"], gap["reason"]) == (Answer.COULD_NOT_REACH, "nesting owl")


def test_a_wide_list_brings_the_same_as_a_long_one(store):
    wide = (
        "Tag;Date;Surveyor;P1 settlement [mm];P1 tilt_x;T7 wound_width [in];P1 gap\n"
        "S-0142;14.05.2012;Ines;0,0;1:500;1 1/4;\n"
        "S-0142;14.05.2014;Ines;2,5;;;could not reach\n"
    )
    take(store, SUPPORTS)

    take(store, wide)

    frame = readings(store)
    assert len(frame) == 5
    assert set(frame["quantity"]) == {"settlement", "tilt_x", "wound_width", "gap"}
    assert frame[frame["quantity"] == "wound_width"]["value"].iloc[0] == 31.75


def test_works_and_corrections_come_in(filled):
    take(filled, WORKS)
    take(filled, CORRECTIONS)

    with filled.read_session() as session:
        assert set(segments_frame(session)["series"]) == {"settlement", "tilt"}
        assert records.CLOSURES.count(session) == 1
    frame = readings(filled)
    assert 2.0 in set(frame["value"])
    assert "wound_width" not in set(frame["quantity"])


def test_taking_in_every_file_twice_changes_nothing(filled):
    take(filled, WORKS)
    take(filled, CORRECTIONS)
    before = everything(filled)

    for content in (SUPPORTS, LONG, WORKS, CORRECTIONS):
        report = take(filled, content)
        assert (report.taken, report.refused) == (0, 0)

    assert everything(filled) == before


def test_what_was_amended_since_does_not_come_back_with_its_file(filled):
    moved = InspectionAmendment(
        "S-0143", date(2014, 5, 15), "card", new_on=date(2014, 5, 16), new_note="dry"
    )
    noted = WorkAmendment("S-0142", date(2015, 3, 1), "invoice", new_note="new plate")
    fact = Revision("member", "S-0142/P1", "wall", "6.3 mm", "mill sheet")
    take(filled, WORKS)
    with filled.write_session() as session:
        amend_inspection(session, moved, actor="office", now=NOW)
        amend_work(session, noted, actor="office", now=NOW)
        revise(session, fact, actor="office", now=NOW)
    before = everything(filled)

    for content in (SUPPORTS, LONG, WORKS):
        assert take(filled, content).taken == 0

    assert everything(filled) == before


def test_files_come_in_and_come_in_again_on_every_engine(any_store):
    for content in (SUPPORTS, LONG, WORKS, CORRECTIONS):
        assert take(any_store, content).taken
    before = everything(any_store)

    for content in (SUPPORTS, LONG, WORKS, CORRECTIONS):
        assert take(any_store, content).taken == 0

    assert everything(any_store) == before


def test_a_longer_list_brings_only_what_is_new(filled):
    more = LONG + "S-0143,,,2016-05-15,Marek,settlement,1.5,mm,,,,,\n"

    report = take(filled, more)

    assert (report.taken, report.known) == (1, 7)
    assert report.made == {"inspections": 1, "readings": 1}


def test_another_list_adds_readings_to_an_inspection(filled):
    more = (
        "support,member,date,inspector,quantity,value,unit\n"
        "s-0142,p1,14 May 2014,INES,tilt_x,2.2,mm/m\n"
    )

    report = take(filled, more)

    assert report.made == {"readings": 1}


def test_another_value_for_the_same_reading_names_both(filled):
    no = refusal(filled, LONG.replace("settlement,2.5,mm", "settlement,3.5,mm"))

    assert "found “3.5 mm”, expected “2.5 mm” as recorded" in no.message
    assert "amend the reading" in no.message
    assert [problem.row for problem in no.problems] == [5]


def test_nothing_is_written_in_a_dry_run(store):
    before = everything(store)

    report = take(store, SUPPORTS, dry_run=True)

    assert report.taken == 3
    assert everything(store) == before


def test_one_bad_row_means_nothing_and_skipping_it_means_the_others(store):
    take(store, SUPPORTS)
    bad = LONG.replace("0.0,mm", "0.0,kN").replace("S-0143,,,2014", "S-0134,,,2014")

    no = refusal(store, bad)
    report = take(store, bad, skip_bad=True)

    assert [(p.row, p.column) for p in no.problems] == [(2, "value"), (8, "support")]
    assert "did you mean “S-0143”" in str(no.problems[1])
    assert (report.taken, report.refused) == (5, 2)
    assert len(readings(store)) == 4


def test_a_support_with_one_bad_row_is_left_out_whole(store):
    report = take(store, SUPPORTS.replace("pin,1999", "pen,1999"), skip_bad=True)

    assert (report.taken, report.refused) == (1, 2)
    with store.read_session() as session:
        assert [s.code for s in records.SUPPORTS.all(session)] == ["S-0143"]


def test_rows_of_one_support_that_disagree_are_refused(store):
    no = refusal(store, SUPPORTS.replace(",,,,S-0142,,,T7", ",,T9,,S-0142,,,T7"))

    assert "expected “T1”, as in row 2 of the same support" in no.message


BAD = [
    ("0.0,mm", "0.0,kN", "“kN” measures force"),
    ("0.0,mm", "900,mm", "expected −300 to 300"),
    ("0.0,mm", "NaN,mm", "Expected one number"),
    ("0.0,mm", "1e400,mm", "Expected one number"),
    ("0.0,mm", ",mm", "no number"),
    ("2014-05-15", "2026-06-02", "today at the site"),
    ("2014-05-15", "2009-05-15", "when S-0143 was installed"),
    ("S-0142,T7,,2012", "S-0142,T7,,1998", "installed"),
    ("2014-05-15", "05/04/2014", "say --dates dmy or --dates mdy"),
    ("2014-05-15", "15/05/14", "four digits"),
    ("2014-05-15", "2023-02-29", "calendar"),
    ("2014-05-15", "42139", "count of days"),
    ("S-0143,", "S-9999,", "the code of a support in the record"),
    ("S-0142,T7,", "S-0142,T8,", "a member of S-0142"),
    ("tilt x", "tlit", "a quantity of the catalogue"),
    ("S-0142,T7,", "S-0142,P1,", "this is read on: pin"),
    ("loose nut", "lose nut", "did you mean “loose nut”"),
    ("could not reach", "maybe", "could not reach"),
    ("Marek", "", "who looked"),
    ("east bolt", "east bolt,", "nothing beyond the headings"),
    ("east bolt", "=1+2", "a formula"),
]


@pytest.mark.parametrize(("good", "bad", "said"), BAD)
def test_a_bad_cell_is_named_and_the_record_is_unchanged(store, good, bad, said):
    take(store, SUPPORTS)
    content = LONG.replace(good, bad)
    if bad == "east bolt,":
        content = content.replace("east bolt,", "east bolt,more")

    no = refusal(store, content)

    assert any(said in str(problem) for problem in no.problems)
    assert all(problem.row and problem.column for problem in no.problems)


def test_a_file_without_one_good_row_is_refused_even_when_bad_rows_are_skipped(store):
    no = refusal(store, LONG, skip_bad=True)

    assert "none of its 7 rows is good" in no.message


def test_an_order_of_day_and_month_settles_a_date(store):
    take(store, SUPPORTS)

    take(store, LONG.replace("2014-05-15", "05/04/2014"), dates="mdy")

    assert date(2014, 5, 4) in set(readings(store)["inspected_on"])


def test_a_mapping_says_what_strange_headings_are(store):
    take(store, SUPPORTS)
    strange = LONG.replace("inspector,quantity", "Pruefer,quantity")

    take(store, strange, mapping=HeadingMap(headings={"Pruefer": "inspector"}))

    assert len(readings(store)) == 6


SLIP = "S-0142,T7,,2014-05-14,Ines,wound_width,1.2,mm,,,,,\n"


def test_a_likely_slip_of_units_is_taken_with_a_warning(filled):
    # 31.75 mm before, 1.2 typed: 30.5 mm in inches (by hand).
    report = take(filled, LONG + SLIP)

    assert report.taken == 1
    assert "were inches entered as mm" in report.warnings[0].expected


def test_a_strict_import_refuses_what_is_surprising(filled):
    no = refusal(filled, LONG + SLIP, strict=True)

    assert [(p.row, p.column) for p in no.problems] == [(9, "value")]


def test_a_row_pasted_twice_is_taken_as_a_repeat_with_a_warning(store):
    take(store, SUPPORTS)
    line = LONG.splitlines()[1] + "\n"

    report = take(store, LONG + line)

    assert "was it really read twice" in report.warnings[0].expected
    assert len(readings(store)) == 7


def test_a_withdrawn_inspection_does_not_come_back_with_its_file(filled):
    never = InspectionAmendment("S-0143", date(2014, 5, 15), "another tree")
    with filled.write_session() as session:
        withdraw_inspection(session, never, actor="office", now=NOW)
    before = everything(filled)

    report = take(filled, LONG)

    assert report.known == 7
    assert everything(filled) == before


def test_a_work_that_removes_a_member_which_is_still_read_is_refused(filled):
    early = WORKS.replace("2015-03-01,repair", "2013-03-01,removal")

    no = refusal(filled, early.replace("loose nut", ""))

    assert "was still read" in no.message


def test_the_spreadsheet_of_an_untidy_company(store):
    take(store, SUPPORTS)

    def fill(book):
        sheet = book.add_worksheet("Props 2014")
        day = book.add_format({"num_format": "d mmm yyyy"})
        sheet.merge_range("A1:G1", "All our props - spring round!!")
        sheet.write("A2", "printed by Ines")
        sheet.write_row(
            3,
            0,
            ["Tag No.", "Post no", "Inspected", "By", "Settled, mm", "Lean x (deg)",
             "Remarks"],
        )  # fmt: skip
        sheet.merge_range("A5:A6", "s-0142 ")
        sheet.write_row(
            4, 1, ["P1", "14th May 2014", "Ines ", 2.5, "0,3", "rusty\u00a0"]
        )
        sheet.write_row(5, 1, ["P1", "", "Ines", 3, "0.25°", ""])
        sheet.write_datetime(5, 2, datetime(2015, 5, 14), day)  # noqa: DTZ001 - a cell
        sheet.write_row(
            7, 0, ["S-0143", "", "1.6.2015", "MAREK", '1/8"', "not measured"]
        )

    content = io.BytesIO()
    with xlsxwriter.Workbook(content) as book:
        fill(book)

    no = refusal(store, content.getvalue(), "props.xlsx")
    assert [(p.row, p.column) for p in no.problems] == [(8, "Inspected")]
    report = take(store, content.getvalue(), "props.xlsx", dates="dmy")

    assert (report.taken, report.made["readings"]) == (3, 6)
    frame = readings(store)
    tilt = frame[frame["quantity"] == "tilt_x"]
    assert tilt["value"].dropna().tolist() == pytest.approx([5.236, 4.363], abs=1e-3)
    settled = frame[frame["quantity"] == "settlement"]["value"]
    assert sorted(settled) == [2.5, 3.0, 3.175]
    with store.read_session() as session:
        assert {v.note for v in records.INSPECTIONS.all(session)} == {"rusty", ""}
