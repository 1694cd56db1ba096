"""The invented record: made anew the same, readable as it stands, told as promised."""

import csv
import io
from collections import Counter
from datetime import date, timedelta

import pytest

from demo_data.make import FOLDER, files
from monitor.domain.facts import FACTS, fact_spec
from monitor.domain.findings import FINDINGS
from monitor.domain.methods import METHODS
from monitor.domain.quantities import QUANTITIES
from monitor.domain.vocabulary import (
    Answer,
    Consequence,
    Exposure,
    Grade,
    InspectionKind,
    LeafState,
    MemberKind,
    Occupancy,
    WorkKind,
)
from monitor.schedule.seasons import parse_seasons
from monitor.units import parse


@pytest.fixture(scope="module")
def rows():
    """Every file as lists of rows, by its name without the ending."""
    return {
        path.stem: list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))
        for path in FOLDER.glob("*.csv")
    }


@pytest.fixture(scope="module")
def members(rows):
    return {(row["support"], row["member"]): row for row in rows["supports"]}


def test_the_files_are_made_anew_byte_for_byte():
    made = files()

    kept = {path.name: path.read_bytes() for path in FOLDER.glob("*.csv")}

    assert {name: text.encode() for name, text in made.items()} == kept


def test_the_record_spans_sixty_years_and_all_five_kinds(rows):
    years = [date.fromisoformat(row["date"]).year for row in rows["inspections"]]

    assert (min(years), max(years)) == (1964, 2026)
    assert {row["kind"] for row in rows["supports"]} == set(MemberKind)
    assert len({row["support"] for row in rows["supports"]}) >= 110
    assert len(rows["supports"]) >= 240
    assert 30 <= len({row["site"] for row in rows["supports"]}) <= 60


def test_every_word_of_the_supports_is_ours(rows):
    for row in rows["supports"]:
        Exposure(row["exposure"])
        Occupancy(row["occupancy"])
        Consequence(row["consequence"])
        parse_seasons(row["quiet seasons"])
        names = {spec.name for spec in FACTS[MemberKind(row["kind"])]}
        filled = {name for name in row if name in _ALL_FACTS and row[name]}

        assert filled <= names, row["support"]


def test_every_word_of_the_inspections_is_ours(rows, members):
    for row in rows["inspections"]:
        InspectionKind(row["kind"])
        LeafState(row["leaf"])
        if row["quantity"]:
            kind = MemberKind(members[row["support"], row["member"]]["kind"])
            assert kind in QUANTITIES[row["quantity"]].kinds
            Answer(row["answer"] or "measured")
            assert row["answer"] or row["method"] in METHODS
        if row["finding"]:
            assert row["finding"] in FINDINGS
            Grade(row["grade"])


def test_every_word_of_the_works_is_ours(rows):
    for row in rows["works"]:
        WorkKind(row["work"])

        assert row["closes"] == "all" or set(row["closes"].split(";")) <= {
            "",
            *FINDINGS,
        }


def test_every_number_of_the_inspections_can_be_read(rows):
    measured = [r for r in rows["inspections"] if r["quantity"] and not r["answer"]]

    for row in measured:
        of, unit = QUANTITIES[row["quantity"]], row["unit"] or None
        parse(row["value"], of.unit, given_unit=unit, low=of.low, high=of.high)

    assert len(measured) > 15_000


def test_as_built_numbers_are_possible_and_none_is_a_known_trade_size(rows):
    for row in rows["supports"]:
        for name in _ALL_FACTS & set(row):
            spec = fact_spec(MemberKind(row["kind"]), name)
            if spec is None or not spec.is_number or not row[name]:
                continue
            value = parse(
                row[name], spec.unit, given_unit=spec.unit, low=spec.low, high=spec.high
            ).value

            assert abs(value - 4445.0) > 1.0
            assert abs(value - 20.828) > 0.1


def test_people_write_numbers_in_their_own_ways(rows):
    written = {row["value"] for row in rows["inspections"]}

    for ending in ('"', "°", " cm", " mm/m", " in"):
        assert any(value.endswith(ending) for value in written), ending
    assert any("," in value for value in written)


def test_nobody_looks_at_a_member_before_or_after_its_life(rows, members):
    for row in rows["inspections"]:
        member = members.get((row["support"], row["member"]))
        if member is not None:
            assert member["installed"] <= row["date"]
            assert row["date"] <= (member["removed"] or "9999")


def test_a_correction_is_entered_after_the_year_of_its_reading(rows):
    for row in rows["corrections"]:
        assert row["entered"][:4] > row["date"][:4]


def test_the_truth_names_only_series_that_are_in_the_record(rows):
    names = ("support", "member", "mark", "quantity")
    read = {tuple(row[name] for name in names) for row in rows["inspections"]}

    told = {tuple(row[name] for name in names) for row in rows["truth"]}

    assert told <= read


def test_sixty_one_supports_are_seen_after_the_storm(rows):
    storm = date(2017, 2, 3)
    looks = [
        (date.fromisoformat(row["date"]) - storm, row)
        for row in rows["inspections"]
        if row["kind"] == "after event" and row["date"].startswith("2017-02")
    ]

    assert len({row["support"] for _, row in looks}) == 61
    assert sum(wait == timedelta(days=1) for wait, _ in looks) == 9
    assert sum(1 < wait.days <= 3 for wait, _ in looks) == 31
    assert sum(3 < wait.days <= 11 for wait, _ in looks) == 21
    found = Counter(row["finding"] for _, row in looks)
    assert found == {"struck": 1, "grip slip": 1, "other": 4, "": 55}


_ALL_FACTS = {spec.name for specs in FACTS.values() for spec in specs}
