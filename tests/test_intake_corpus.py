"""The damaged lists: nothing silently wrong, little asked, fast enough."""

from functools import cache

import pytest

from planner.intake import read
from tests.intake_corpus import MAKERS, CorpusFile, Want, corpus
from tests.intake_hand_made import LISTS
from tests.intake_report import bare_read_s, long_list, our_read_s
from tests.intake_score import NOW, OTHERS, SAFETY, Score, score_all, score_file
from tests.intake_truth import item
from tests.workbook_maker import book

ASKED_AT_MOST = 0.12
LONG_READ_S = 10.0


@cache
def _files() -> tuple[CorpusFile, ...]:
    return tuple(corpus())


@cache
def _scored() -> Score:
    return score_all(_files())[0]


def test_the_corpus_is_large_and_the_same_every_time() -> None:
    assert len(_files()) >= 60
    assert len({file.damage for file in _files()}) == len(MAKERS)
    again = corpus()
    assert [(one.name, one.wants) for one in again] == [
        (one.name, one.wants) for one in _files()
    ]
    assert len({file.name.rsplit(".", 1)[1] for file in _files()}) >= 5


def test_nothing_is_silently_wrong_in_the_safety_fields() -> None:
    score = _scored()
    assert score.total("wrong", SAFETY) == 0, score.wrong
    assert score.total("right", SAFETY) > 5_000


def test_nothing_is_silently_wrong_in_the_other_fields() -> None:
    score = _scored()
    assert score.total("wrong", OTHERS) == 0, score.wrong


def test_little_is_asked() -> None:
    assert 0 < _scored().share("asked") < ASKED_AT_MOST


def test_every_row_of_the_corpus_is_accounted_for() -> None:
    for file in _files():
        found = read(file.name, file.data, now=NOW)
        if found.scenario is None:
            assert file.stop, file.name
            continue
        rows = {(one.sheet, one.row) for one in found.scenario.lines}
        held = {(one.sheet, one.row) for one in found.scenario.held_rows}
        assert rows.isdisjoint(held)
        assert len(rows) + len(held) == found.scenario.rows_in, file.name


def test_other_seeds_are_read_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.intake_corpus.SEED", 1)
    score, _ = score_all(corpus(1))
    assert score.total("wrong") == 0, score.wrong


@pytest.mark.parametrize("name", sorted(LISTS))
def test_lists_typed_by_hand(name: str) -> None:
    sheet, truth = LISTS[name]
    wants = []
    for line in truth.strip().split("\n"):
        row, text = line.split(" | ")
        known = text not in {"-", "ask"}
        items = tuple(item(one) for one in text.split("; ")) if known else ()
        wants.append(Want(sheet="Intake", row=int(row), items=items))
    score = Score()
    file = CorpusFile(
        name="a.xlsx", damage=name, data=book({"Intake": sheet}), wants=tuple(wants)
    )
    found = score_file(file, score)
    unlike = {"keep_by", "resident"}
    wrong = [one for one in score.wrong if one.split(":")[0] not in unlike]
    assert wrong == []
    held = {one.row: one.left_out for one in found.scenario.held_rows}
    for line in truth.strip().split("\n"):
        row, text = line.split(" | ")
        if text in {"-", "ask"}:
            assert held[int(row)] is (text == "-"), line
        else:
            assert int(row) not in held, line


@pytest.mark.parametrize(
    ("truth", "table"),
    [
        ("insulin-lispro 3", "insulin lispro 4 pens"),
        ("insulin-lispro 3", "adalimumab 3 pens"),
        ("human-milk-thawed 3 thawed", "EBM frozen 3 bags"),
        ("insulin-lispro 3; adalimumab 1", "insulin lispro 3 pens"),
        ("insulin-lispro ?", "insulin lispro 3 pens"),
        ("", "insulin lispro 3 pens"),
    ],
)
def test_the_score_sees_a_wrong_reading(truth: str, table: str) -> None:
    items = tuple(item(one) for one in truth.split("; ") if one)
    data = book({"Intake": f"Resident|Item\nR1|{table}"})
    score = Score()
    want = Want(sheet="Intake", row=2, items=items)
    score_file(
        CorpusFile(name="a.xlsx", damage="none", data=data, wants=(want,)), score
    )
    assert score.total("wrong") > 0


def test_five_thousand_lines_within_ten_seconds() -> None:
    data = long_list()
    bare = bare_read_s(data)
    ours, lines = our_read_s(data)
    assert lines >= 5_000
    assert ours < LONG_READ_S, f"{ours:.1f} s; bare openpyxl {bare:.1f} s"
