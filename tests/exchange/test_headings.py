"""Headings of lists: found, understood, mapped."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from monitor.domain.facts import FACTS
from monitor.domain.quantities import QUANTITIES
from monitor.errors import ImportRejected, InvalidInput
from monitor.exchange.headings import column_of, quantity_of
from monitor.exchange.mapping import HeadingMap, mapping_text, read_mapping
from monitor.exchange.sheet import Row, Sheet
from monitor.exchange.table import guessed_columns, table_of
from monitor.exchange.trade_words import FIELDS, REQUIRED, FileKind

S, I, W, C = FileKind  # noqa: E741 - supports, inspections, works, corrections


def sheet(*rows):
    return Sheet("list.csv", "0" * 64, tuple(Row(n, r) for n, r in enumerate(rows, 1)))


@pytest.mark.parametrize(
    ("kind", "heading", "canonical"),
    [
        (S, "Tag No.", "support"),
        (S, "Date fitted", "installed"),
        (S, "Wall thk. (mm)", "wall_mm [mm]"),
        (S, "O.D. in", "width_mm [in]"),
        (S, "coating", "coating"),
        (S, "Coating [µm]", "coating_um [µm]"),
        (S, "DFT, um", "coating_um [um]"),
        (S, "set_load_kn", "set_load_kn [kN]"),
        (S, "Stem dia (cm)", "stem diameter [cm]"),
        (I, "Inspected by", "inspector"),
        (I, "tilt_x [mm/m]", "tilt_x [mm/m]"),
        (I, "Settlement, mm", "settlement [mm]"),
        (I, "wall [mm] @ grade north", "wall [mm] @ grade north"),
        (I, "P2 settlement [mm]", "P2 settlement [mm]"),
        (I, "Air temp (°F)", "air [°F]"),
        (I, "rust %", "rusted_area [%]"),
        (W, "Carried out by", "done by"),
        (C, "Reason for correction", "reason"),
        (I, "Ignore", "ignore"),
    ],
)
def test_trade_words_and_units_are_understood(kind, heading, canonical):
    assert column_of(kind, heading, 0).canonical == canonical


@pytest.mark.parametrize("kind", FileKind)
def test_no_word_stands_for_two_fields_of_one_kind_of_file(kind):
    words = [w for f, ws in FIELDS[kind].items() for w in (f, *ws.split("|"))]

    assert len(words) == len(set(words))


def test_every_fact_and_quantity_is_found_by_its_name_and_label():
    for specs in FACTS.values():
        for spec in specs:
            assert column_of(S, spec.name, 0).name == spec.name
            assert column_of(S, spec.label, 0).name == spec.name
    for name, quantity in QUANTITIES.items():
        assert column_of(I, name, 0).name == name
        assert quantity_of(quantity.label.upper()) == name


@given(st.sampled_from(sorted(QUANTITIES)), st.sampled_from(["mm", "in", "mm/m", "°"]))
def test_what_we_write_as_a_heading_we_read_again(name, unit):
    column = column_of(I, f"P1 {name} [{unit}] @ face A", 3)

    assert column_of(I, column.canonical, 3).canonical == column.canonical


@given(st.text(max_size=40))
def test_any_heading_is_known_or_not(text):
    for kind in FileKind:
        assert column_of(kind, text, 0) is None or text


def test_title_lines_above_the_headings_are_skipped():
    table = table_of(
        sheet(
            ("Corbel & Fern", "", "", ""),
            ("all props, spring round", "", "2031", ""),
            ("Tag", "Date", "By", "Gap (mm)"),
            ("S-1", "2031-05-14", "Ines", "0.4"),
        ),
        HeadingMap(),
    )

    assert table.kind is I
    assert table.is_wide
    assert [row.number for row in table.rows] == [4]


@pytest.mark.parametrize(
    ("headings", "kind"),
    [
        (("support", "member", "kind", "installed"), S),
        (("support", "date", "inspector", "quantity", "value"), I),
        (("support", "date", "work", "done by"), W),
        (("support", "date", "quantity", "value", "reason"), C),
    ],
)
def test_the_headings_tell_what_a_file_holds(headings, kind):
    assert table_of(sheet(headings, ("x",) * len(headings)), HeadingMap()).kind is kind


def refusal(*rows, mapping=None):
    with pytest.raises(ImportRejected) as caught:
        table_of(sheet(*rows), mapping or HeadingMap())
    return caught.value


def test_an_unknown_heading_is_named_with_the_nearest_known():
    no = refusal(("support", "date", "inspector", "setlement", "gap"), ("1",) * 5)

    assert "found “setlement”" in no.message
    assert "perhaps “settlement”" in no.message


def test_two_columns_of_one_field_are_refused_by_name():
    no = refusal(("support", "tag", "date", "inspector", "gap"), ("1",) * 5)

    assert "found “tag”, expected it once; “support” is support as well" in no.message


def test_a_missing_column_is_named():
    no = refusal(("support", "date", "gap"), ("1",) * 3, mapping=HeadingMap(kind=I))

    assert "a column “inspector”" in no.message


def test_headings_without_rows_are_refused():
    assert "no row under the headings" in refusal(REQUIRED[S]).message


def test_headings_that_tell_nothing_ask_for_the_kind():
    assert "--kind" in refusal(("alpha", "beta"), ("1", "2")).message


def test_a_mapping_is_written_edited_and_read(tmp_path):
    rows = (("Nr", "Tag", "Datum", "By", "Setzung"), ("7", "S-1", "x", "Ines", "4"))
    kind, columns = guessed_columns(sheet(*rows), HeadingMap(kind=I))
    path = tmp_path / "mapping.toml"
    text = mapping_text(kind, columns)
    text = text.replace('"Nr" = ""', '"Nr" = "ignore"')
    text = text.replace('"Datum" = ""', '"Datum" = "date"')
    text = text.replace('"Setzung" = ""', '"Setzung" = "settlement [mm] @ plate"')
    path.write_text(text, encoding="utf-8")

    table = table_of(sheet(*rows), read_mapping(path))

    assert [c.field for c in table.columns] == [
        "support",
        "date",
        "inspector",
        "reading",
    ]
    assert table.columns[-1].mark == "plate"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind = ", "can not be used"),
        ('kind = "trees"', "none of supports"),
        ('dates = "ymd"', "none of dmy"),
        ("rows = 3", "no place for rows"),
        ("[headings]\nTag = 3", "must hold lines"),
    ],
)
def test_a_mapping_that_can_not_be_used_is_refused(tmp_path, text, said):
    path = tmp_path / "mapping.toml"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(InvalidInput, match=said):
        read_mapping(path)


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30))
def test_any_heading_survives_a_mapping_file(tmp_path_factory, heading):
    path = tmp_path_factory.mktemp("maps") / "mapping.toml"
    path.write_text(mapping_text(I, {heading: None}), encoding="utf-8", newline="")

    assert list(read_mapping(path).headings) == [heading]
