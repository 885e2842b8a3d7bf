"""The command line: exit codes, one clear line a fault, files kept safe."""

import json
import subprocess
import sys
import types
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

import planner
from planner import cli, cli_support, intake
from planner.errors import PlanRefusedError, SolverError
from planner.issue import Issue, Severity
from planner.result import PlanStatus
from planner.store import Saved, load, save, work_file
from tests import plan_fixture


def issue(severity, **changes):
    values = {
        "code": "x", "severity": severity, "sheet": "Intake", "row": 5,
        "column": "Qty", "value": "abc", "message": "It is not a number.",
        "remedy": "Write a number.",
    }  # fmt: skip
    return Issue(**(values | changes))


class Fake(types.ModuleType):
    """Stands in for the pipeline: keeps what it was asked, answers as told."""

    def __init__(self):
        super().__init__("planner.pipeline")
        self.reading = intake.Reading(scenario=plan_fixture.scenario(), issues=())
        self.made = plan_fixture.plan()
        self.raises = None
        self.asked = {}

    def read_files(self, name, data, *, now, equipment=None, mappings=(), aliases=None):
        self.asked |= {"name": name, "data": data, "now": now, "equipment": equipment}
        self.asked |= {"mappings": mappings, "aliases": aliases}
        return self.reading

    def make_plan(self, scenario, *, time_limit_s=60.0, borrow=True, progress=None):
        self.asked |= {"time_limit_s": time_limit_s, "borrow": borrow}
        if self.raises is not None:
            raise self.raises
        if progress is not None:
            progress("placing", 0.5)
        return self.made

    @staticmethod
    def what_to_shed(_made):
        return ()

    @staticmethod
    def exit_code(made):
        return 1 if made.shortfalls else 0


@pytest.fixture
def pipeline(monkeypatch):
    fake = Fake()
    monkeypatch.setitem(sys.modules, "planner.pipeline", fake)
    monkeypatch.setattr(planner, "pipeline", fake, raising=False)
    return fake


@pytest.fixture
def workbook(tmp_path):
    file = tmp_path / "hall.xlsx"
    file.write_bytes(b"input")
    return file


def run(*arguments):
    return CliRunner().invoke(cli.main, [str(one) for one in arguments])


def test_help_names_every_command_and_every_command_has_help():
    result = run("--help")
    assert result.exit_code == 0
    for name, command in cli.main.commands.items():
        assert name in result.output
        assert command.help
        for parameter in command.params:
            if parameter.param_type_name == "option":
                assert parameter.help, (name, parameter.name)


def test_commands_are_the_agreed_ones():
    assert sorted(cli.main.commands) == [
        "blank",
        "check",
        "demo",
        "headings",
        "kinds",
        "offline",
        "one-more",
        "plan",
        "replan",
        "stress",
    ]


def test_runs_as_a_module():
    done = subprocess.run(
        [sys.executable, "-m", "planner", "--version"],
        capture_output=True, text=True, check=False, cwd=cli.ROOT,
    )  # fmt: skip
    assert done.returncode == 0
    assert planner.__version__ in done.stdout


# blank


def test_blank_writes_a_workbook_with_the_intake_sheet(tmp_path):
    file = tmp_path / "new.xlsx"
    result = run("blank", file)
    assert result.exit_code == 0
    assert "Intake" in openpyxl.load_workbook(file).sheetnames


def test_blank_never_overwrites(workbook):
    result = run("blank", workbook)
    assert result.exit_code == 2
    assert "exists already" in result.output
    assert workbook.read_bytes() == b"input"


def test_blank_wants_the_right_ending(tmp_path):
    result = run("blank", tmp_path / "new.csv")
    assert result.exit_code == 2
    assert ".xlsx" in result.output


# check


def test_check_without_remarks_ends_with_0(pipeline, workbook):
    result = run("check", workbook)
    assert result.exit_code == 0
    assert "No remarks" in result.output


@pytest.mark.parametrize(
    ("severity", "code"),
    [
        (Severity.STOP, 2),
        (Severity.REVIEW, 2),
        (Severity.ASSUMED, 0),
        (Severity.NOTE, 0),
    ],
)
def test_check_says_where_what_and_what_to_do(pipeline, workbook, severity, code):
    pipeline.reading = intake.Reading(scenario=None, issues=(issue(severity),))
    result = run("check", workbook)
    assert result.exit_code == code
    assert result.output.splitlines()[0].startswith(severity.value.upper())
    assert "  Intake, row 5, column Qty: 'abc'" in result.output
    assert "      It is not a number." in result.output
    assert "      What to do: Write a number." in result.output


def test_check_lists_the_gravest_first(pipeline, workbook):
    weights = [Severity.NOTE, Severity.ASSUMED, Severity.STOP, Severity.REVIEW]
    pipeline.reading = intake.Reading(
        scenario=None, issues=tuple(issue(one) for one in weights)
    )
    lines = run("check", workbook).output.splitlines()
    heads = [line.split(":")[0] for line in lines if line[:1].isupper()]
    assert heads == ["STOP", "REVIEW", "ASSUMED", "NOTE"]
    assert lines[-1] == "4 remarks: 1 stop, 1 review, 1 assumed, 1 note"


def test_check_cleans_what_it_quotes(pipeline, workbook):
    hostile = "\x1b[31mred\x07 " + "x" * 500
    pipeline.reading = intake.Reading(
        scenario=None, issues=(issue(Severity.NOTE, value=hostile, sheet="a\nb"),)
    )
    output = run("check", workbook).output
    assert "\x1b" not in output
    assert "\x07" not in output
    assert max(len(line) for line in output.splitlines()) < 200


def test_check_reads_a_second_workbook(pipeline, workbook, tmp_path):
    second = tmp_path / "kit.xlsx"
    second.write_bytes(b"kit")
    run("check", workbook, "--equipment", second)
    assert pipeline.asked["name"] == "hall.xlsx"
    assert pipeline.asked["data"] == b"input"
    assert pipeline.asked["equipment"] == ("kit.xlsx", b"kit")


@pytest.mark.parametrize("command", ["check", "plan"])
def test_a_missing_workbook_is_one_clear_line(command, tmp_path):
    result = run(
        command,
        tmp_path / "none.xlsx",
        *(["--out", tmp_path] if command == "plan" else []),
    )
    assert result.exit_code == 2
    assert "does not exist" in result.output


# plan


def test_plan_writes_both_files_and_prints_the_summary(pipeline, workbook, tmp_path):
    out = tmp_path / "deep" / "out"
    result = run("plan", workbook, "--out", out)
    assert result.exit_code == 1  # the fixture has shortfalls
    assert json.loads((out / "plan.json").read_text())["format"] == "cold-storage-plan"
    assert openpyxl.load_workbook(out / "plan.xlsx").sheetnames[0] == "Summary"
    assert result.output.startswith("COLD STORAGE PLAN")
    assert "Written:" in result.output
    assert sorted(file.name for file in out.iterdir()) == ["plan.json", "plan.xlsx"]


def test_plan_that_serves_all_ends_with_0(pipeline, workbook, tmp_path):
    pipeline.made = plan_fixture.plan(shortfalls=())
    assert run("plan", workbook, "--out", tmp_path).exit_code == 0


def test_plan_twice_gives_the_same_bytes(pipeline, workbook, tmp_path):
    for name in ("one", "two"):
        run("plan", workbook, "--out", tmp_path / name)
    for file in ("plan.xlsx", "plan.json"):
        first = (tmp_path / "one" / file).read_bytes()
        assert first == (tmp_path / "two" / file).read_bytes()


def test_plan_hands_its_options_on(pipeline, workbook, tmp_path):
    run("plan", workbook, "--out", tmp_path, "--time-limit", "5", "--no-borrow")
    assert pipeline.asked["time_limit_s"] == 5.0
    assert pipeline.asked["borrow"] is False
    run("plan", workbook, "--out", tmp_path)
    assert pipeline.asked["time_limit_s"] == 20.0
    assert pipeline.asked["borrow"] is True


def test_start_is_the_clock_for_a_sheet_without_one(pipeline, workbook, tmp_path):
    result = run("plan", workbook, "--out", tmp_path, "--start", "2025-10-13 08:00")
    assert result.exit_code == 1
    assert pipeline.asked["now"] == datetime(2025, 10, 13, 8, 0)


def test_start_between_hours_moves_on_and_says_so(pipeline, workbook, tmp_path):
    result = run("plan", workbook, "--out", tmp_path, "--start", "2025-10-13 07:20")
    assert pipeline.asked["now"] == datetime(2025, 10, 13, 8, 0)
    assert "moved to the full hour 08:00" in result.stderr


def test_start_against_the_sheets_own_is_refused(pipeline, workbook, tmp_path):
    result = run("plan", workbook, "--out", tmp_path, "--start", "2025-10-14 09:00")
    assert result.exit_code == 2
    assert "itself starts at 2025-10-13 08:00" in result.output
    assert not (tmp_path / "plan.json").exists()


def test_unreadable_start_is_refused(pipeline, workbook, tmp_path):
    result = run("plan", workbook, "--out", tmp_path, "--start", "tomorrow")
    assert result.exit_code == 2
    assert "tomorrow" in result.output


def test_input_that_stops_the_plan_is_listed(pipeline, workbook, tmp_path):
    pipeline.reading = intake.Reading(scenario=None, issues=(issue(Severity.STOP),))
    result = run("plan", workbook, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "STOP" in result.output
    assert "What to do" in result.output
    assert "No plan was made" in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (
            PlanRefusedError(("R7: fridge is dark", "R3: too full")),
            "R7: fridge is dark",
        ),
        (SolverError("no solver could be started"), "no solver could be started"),
        (ValueError("two\nlines"), "ValueError: two lines"),
        (
            OSError(28, "No space left on device", "plan.xlsx"),
            "No space left on device",
        ),
        (PermissionError(13, "denied", "plan.xlsx"), "is it open elsewhere?"),
    ],
)
def test_failure_is_clear_lines_and_code_3(pipeline, workbook, tmp_path, error, words):
    pipeline.raises = error
    result = run("plan", workbook, "--out", tmp_path)
    assert result.exit_code == 3
    lines = result.stderr.splitlines()
    assert words in result.stderr
    assert all(line.startswith("Failed: ") for line in lines)
    assert len(lines) == (2 if isinstance(error, PlanRefusedError) else 1)
    assert "Traceback" not in result.output
    assert str(Path(__file__).parents[1]) not in result.output
    assert not (tmp_path / "plan.json").exists()


def test_out_that_is_a_file_is_refused(pipeline, workbook):
    result = run("plan", workbook, "--out", workbook)
    assert result.exit_code == 2
    assert "is a file" in result.output


@pytest.mark.parametrize("as_equipment", [False, True])
def test_inputs_are_never_overwritten(pipeline, tmp_path, as_equipment):
    given = tmp_path / "plan.xlsx"
    given.write_bytes(b"input")
    other = tmp_path / "hall.xlsx"
    other.write_bytes(b"input")
    arguments = [other, "--equipment", given] if as_equipment else [given]
    result = run("plan", *arguments, "--out", tmp_path)
    assert result.exit_code == 2
    assert "would overwrite the input" in result.output
    assert given.read_bytes() == b"input"


def test_an_input_under_another_name_is_not_overwritten_either(pipeline, tmp_path):
    given = tmp_path / "hall.xlsx"
    given.write_bytes(b"input")
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.xlsx").symlink_to(given)
    assert run("plan", given, "--out", out).exit_code == 2
    assert given.read_bytes() == b"input"


def test_a_new_plan_replaces_the_old_one(pipeline, workbook, tmp_path):
    (tmp_path / "plan.json").write_text("old")
    run("plan", workbook, "--out", tmp_path)
    assert "cold-storage-plan" in (tmp_path / "plan.json").read_text()


def test_half_written_files_do_not_stay(monkeypatch, tmp_path):
    def fail(*_):
        raise OSError(28, "No space left on device")

    target = tmp_path / "plan.json"
    target.write_text("old")
    monkeypatch.setattr(Path, "write_bytes", fail)
    with pytest.raises(OSError, match="No space"):
        cli_support.write(target, b"new")
    assert [file.name for file in tmp_path.iterdir()] == ["plan.json"]
    assert target.read_text() == "old"


def test_names_are_only_in_the_name_key(pipeline, workbook, tmp_path):
    key = tmp_path / "private" / "key.xlsx"
    key.parent.mkdir()
    result = run("plan", workbook, "--out", tmp_path / "out", "--name-key", key)
    assert result.exit_code == 1
    assert plan_fixture.RESIDENT not in result.output
    page = openpyxl.load_workbook(key)["Name key"]
    pairs = {(row[0].value, row[1].value) for row in page.iter_rows(min_row=4)}
    assert ("K-2", plan_fixture.RESIDENT) in pairs
    assert "PRIVATE" in page["A2"].value
    assert key.stat().st_mode & 0o077 == 0


def test_name_key_is_never_written_over_a_file(pipeline, workbook, tmp_path):
    result = run("plan", workbook, "--out", tmp_path / "o", "--name-key", workbook)
    assert result.exit_code == 2
    assert workbook.read_bytes() == b"input"
    assert not (tmp_path / "o").exists()


def test_nothing_to_plan_is_said(pipeline, workbook, tmp_path):
    pipeline.made = plan_fixture.plan(status=PlanStatus.NOTHING_TO_PLAN, shortfalls=())
    result = run("plan", workbook, "--out", tmp_path)
    assert result.exit_code == 0
    assert "Nothing to plan" in result.output


# kinds


def test_kinds_shows_band_allowance_and_source():
    result = run("kinds", "glargine")
    assert result.exit_code == 0
    assert "Insulin glargine U-100  [insulin]" in result.output
    assert "Keep: 2 to 8 C / 36 to 46 F, NEVER FREEZE" in result.output
    # US label of glargine U-100: 28 days up to 30 C (86 F).
    assert "Out of the cold: 28 days up to 30 C / 86 F" in result.output
    assert "published" in result.output


def test_kinds_ignores_case_and_shows_unknown_as_unknown():
    assert run("kinds", "GLARGINE").output == run("kinds", "glargine").output
    assert "not known, counts as none" in run("kinds", "").output


def test_kinds_with_an_unknown_word_says_so():
    result = run("kinds", "zzzz")
    assert result.exit_code == 2
    assert "no kind of item matches 'zzzz'" in result.output


# demo


def test_demo_prints_the_summary_and_ends(pipeline, tmp_path):
    result = run("demo", "--no-serve", "--out", tmp_path)
    assert result.exit_code == 0
    assert "invented" in result.output
    assert "COLD STORAGE PLAN" in result.output
    assert pipeline.asked["name"] == "hall_in_heat.xlsx"
    assert (tmp_path / "plan.xlsx").exists()


def test_demo_serves_this_computer_only(pipeline, monkeypatch, tmp_path):
    called = {}

    def served(command, *, env, cwd, check):
        called.update(command=command, env=env)
        return subprocess.CompletedProcess(command, 0)

    app = tmp_path / "app.py"
    app.write_text("")
    monkeypatch.setattr(cli, "APP", app)
    monkeypatch.setattr(cli.subprocess, "run", served)
    result = run("demo", "--port", "8765")
    assert result.exit_code == 0
    command = " ".join(called["command"])
    assert f"-m streamlit run {app}" in command
    assert "--server.address localhost --server.port 8765" in command
    assert "--browser.gatherUsageStats false" in command
    assert called["env"]["PLANNER_SAMPLE"].endswith("hall_in_heat.xlsx")
    assert "http://localhost:8765" in result.output


class TestDemoHandsItsPlanOver:
    @pytest.fixture
    def served(self, monkeypatch, tmp_path):
        """The demo with a real plan of the sample, and no app."""
        app = tmp_path / "app.py"
        app.write_text("")
        monkeypatch.setattr(cli, "APP", app)
        done = subprocess.CompletedProcess([], 0)
        monkeypatch.setattr(cli.subprocess, "run", lambda *_a, **_k: done)

    def test_the_app_opens_with_it(self, served, pipeline):
        assert run("demo").exit_code == 0
        kept = load(work_file())
        assert kept.saved.plan == pipeline.made
        assert kept.saved.list_name == "hall_in_heat.xlsx"
        assert kept.saved.list_bytes == cli.DEMO_SAMPLE.read_bytes()

    def test_saved_work_is_left_alone(self, served, pipeline):
        mine = Saved(list_name="mine.xlsx", list_bytes=b"mine")
        save(work_file(), mine, what="", mark=None, now=datetime(2030, 1, 1))
        assert run("demo").exit_code == 0
        assert load(work_file()).saved == mine

    def test_a_broken_file_does_not_keep_the_app_from_opening(self, served, pipeline):
        work_file().parent.mkdir(parents=True)
        work_file().write_bytes(b"not a database, not at all" * 50)
        assert run("demo").exit_code == 0

    def test_without_the_app_nothing_is_kept(self, served, pipeline):
        assert run("demo", "--no-serve").exit_code == 0
        assert not work_file().exists()


def test_demo_says_when_the_app_cannot_start(pipeline, monkeypatch, tmp_path):
    app = tmp_path / "app.py"
    app.write_text("")
    monkeypatch.setattr(cli, "APP", app)
    monkeypatch.setattr(
        cli.subprocess, "run", lambda *a, **k: subprocess.CompletedProcess(a, 1)
    )
    result = run("demo")
    assert result.exit_code == 3
    assert "is port 8501 in use?" in result.stderr


def test_demo_ended_by_hand_is_no_failure(pipeline, monkeypatch, tmp_path):
    def interrupted(*_args, **_kwargs):
        raise KeyboardInterrupt

    app = tmp_path / "app.py"
    app.write_text("")
    monkeypatch.setattr(cli, "APP", app)
    monkeypatch.setattr(cli.subprocess, "run", interrupted)
    assert run("demo").exit_code == 0


def test_demo_without_its_sample_says_so(pipeline, monkeypatch, tmp_path):
    monkeypatch.setattr(cli, "DEMO_SAMPLE", tmp_path / "gone.xlsx")
    result = run("demo", "--no-serve")
    assert result.exit_code == 3
    assert "gone.xlsx is not in this installation" in result.stderr


def test_progress_is_silent_in_a_pipe():
    with cli_support.progress_line() as say:
        assert say is None


def test_progress_shows_the_stage_on_a_terminal(monkeypatch, capsys):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with cli_support.progress_line() as say:
        say("placing", 0.5)
    shown = capsys.readouterr()
    assert "50%  placing" in shown.err
    assert shown.out == ""
