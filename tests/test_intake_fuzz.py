"""Whatever is in a cell or in the bytes: no exception, no row lost."""

import io
from datetime import datetime, time, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from planner.intake import name_key, read
from planner.intake.headings import INTAKE, SHEETS
from planner.intake.settings import SETTINGS
from planner.scenario import Scenario
from tests.workbook_maker import NOW, accounted, book, codes, saved

QUICK = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=True,
)

PIECES = st.sampled_from(
    ["insulin", "lispro", "EBM", "frozen", "2-8", "36-46 F", "x3", "+", "/", "\n", "1,500",
     "12V", "100 Ah", "ditto", '"', "left", "total", "open", "%", "-", "n/a", "?", "5; -18",
     "60/40", "=1+1", "Tue", "3/4", "half a box", "yes", "no", "maybe", "compressor",
     "ice chest", "generator", "life support", "MPPT", "LFP", "Hall", "#REF!", "\u3003"]
)  # fmt: skip
TEXT = st.text(max_size=12).map(lambda text: ILLEGAL_CHARACTERS_RE.sub("", text))
WORDS = st.lists(PIECES, min_size=1, max_size=4).map(" ".join)
CELLS = st.one_of(
    st.none(),
    WORDS,
    TEXT,
    st.integers(-10, 10_000),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.booleans(),
    st.datetimes(datetime(1905, 1, 1), datetime(2100, 1, 1)),
    st.times().map(lambda clock: time(clock.hour, clock.minute)),
    st.timedeltas(timedelta(0), timedelta(days=30)),
)


def filled(row: list[object]) -> bool:
    """True when a spreadsheet row has a cell that shows something."""
    return any(value is not None and str(value).strip() for value in row)


@QUICK
@given(data=st.data())
def test_any_cells_in_any_sheet(data: st.DataObject) -> None:
    made = Workbook()
    del made[made.sheetnames[0]]
    for spec in SHEETS:
        sheet = made.create_sheet(spec.name)
        headings = [field.heading for field in spec.fields]
        sheet.append(headings)
        rows = data.draw(
            st.lists(
                st.lists(CELLS, min_size=len(headings), max_size=len(headings)),
                max_size=3,
            )
        )
        if spec.name == "Conditions":
            names = [setting.heading for setting in SETTINGS]
            rows = [
                [data.draw(st.sampled_from(names)), None, data.draw(CELLS), None]
                for _ in rows
            ]
        for row in rows:
            cleaned = [None if _formula(value) else value for value in row]
            sheet.append(cleaned)
    found = read("a.xlsx", saved(made), now=NOW)
    assert "reading-failed" not in codes(found), found.issues[0].value
    check(found.scenario)
    if found.scenario is None:
        assert any(issue.severity.value == "stop" for issue in found.issues)
    else:
        assert accounted(found)


def _formula(value: object) -> bool:
    return isinstance(value, str) and value.startswith("=")


@QUICK
@given(
    rows=st.lists(
        st.lists(
            st.one_of(st.none(), WORDS, st.integers(0, 9)), min_size=3, max_size=3
        ),
        min_size=1,
        max_size=8,
    )
)
def test_every_filled_row_is_a_line_or_held(rows: list[list[object]]) -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Resident", "Item", "Quantity"])
    rows = [[None if _formula(value) else value for value in row] for row in rows]
    for row in rows:
        sheet.append(row if filled(row) else [None, None, None])
    found = read("a.xlsx", saved(made), now=NOW)
    wanted = {at for at, row in enumerate(rows, start=2) if filled(row)}
    if not wanted:
        assert found.scenario is None
        return
    assert found.scenario is not None
    got = {line.row for line in found.scenario.lines}
    got |= {held.row for held in found.scenario.held_rows}
    assert got == wanted
    assert accounted(found)


@QUICK
@given(data=st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    for name in ("a.xlsx", "a.csv"):
        found = read(name, data, now=NOW)
        assert found.issues
        assert "reading-failed" not in codes(found)


@QUICK
@given(
    at=st.integers(0, 10_000), new=st.binary(min_size=1, max_size=8), cut=st.booleans()
)
def test_damaged_workbooks(at: int, new: bytes, cut: bool) -> None:
    good = book({"Intake": "Resident|Item|Quantity\nR1|insulin lispro|1"})
    at %= len(good)
    bad = good[:at] if cut else good[:at] + new + good[at + len(new) :]
    found = read("a.xlsx", bad, now=NOW)
    assert found.issues or found.scenario is not None
    assert "reading-failed" not in codes(found)
    check(found.scenario)


@QUICK
@given(text=TEXT | WORDS)
def test_any_text_table(text: str) -> None:
    data = f"Resident,Item,Quantity\nR1,{text},1\n".encode()
    found = read("a.csv", data, now=NOW)
    assert "reading-failed" not in codes(found)
    check(found.scenario)


def check(scenario: Scenario | None) -> None:
    """Values that every later room may rely on."""
    if scenario is None:
        return
    assert len({line.id for line in scenario.lines}) == len(scenario.lines)
    named = {place.name for place in scenario.places}
    for line in scenario.lines:
        assert line.quantity >= 1
        assert line.volume_l > 0
        assert line.keep_from_c <= line.keep_to_c
        assert line.place in named
        assert line.warm_hours is None or line.warm_hours >= 0
    for unit in scenario.units:
        assert unit.gross_volume_l > 0
        assert abs(sum(unit.zone_shares) - 1) < 1e-9
        assert unit.set_points_c
        assert unit.place in named
    for battery in scenario.batteries:
        assert battery.capacity_wh > 0
        assert 0 <= battery.charge_now <= 1
        assert 0 < battery.usable_share <= 1
    for panel in scenario.panels:
        assert panel.rated_w > 0
        assert panel.place in named | {""}
    assert 1 <= scenario.conditions.window_h <= 240
    assert scenario.conditions.start.minute == 0
    ids = [thing.id for thing in (*scenario.units, *scenario.batteries, *scenario.panels,
                                  *scenario.sources)]  # fmt: skip
    assert len(ids) == len(set(ids))
    assert len({code for code, _ in name_key(scenario)}) == len(name_key(scenario))


def test_the_same_bytes_give_the_same_reading() -> None:
    data = book({"Intake": "Resident|Item\nR1|insulin lispro\n|adalimumab\nR2|?"})
    assert read("a.xlsx", data, now=NOW) == read("a.xlsx", data, now=NOW)
    assert io.BytesIO(data).getvalue() == data


def test_intake_has_every_field_of_the_design() -> None:
    assert [field.heading for field in INTAKE.fields if not field.extra] == [
        "Resident", "Household", "Place", "Item", "Quantity", "Volume each (L)",
        "Keep from (C)", "Keep to (C)", "Never freeze", "Warm hours", "Warm max (C)",
        "Out since", "Opened", "Daily use", "Tier", "Locked", "Night need",
        "Keep by (date)", "Notes",
    ]  # fmt: skip
