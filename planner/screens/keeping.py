"""Keeping the work on this computer, and giving it back: never an error page.

What cannot be kept is said on every page, and the work goes on in memory.
"""

from collections.abc import Callable
from datetime import datetime

from planner.errors import ChangedElsewhereError, PlanRefusedError, SavedWorkError
from planner.result import Plan
from planner.screens.job import forget_jobs, running_job
from planner.screens.say import say
from planner.screens.say import step as said_step
from planner.screens.state import Work, read_again, replace_work, saved_form
from planner.store import (
    Kept,
    Saved,
    delete,
    delete_choices,
    delete_report,
    load,
    look,
    put_back,
    save,
    set_aside,
    step,
    work_file,
)


def begin(now: Work) -> None:
    """Give back what was saved, once a session."""
    if now.begun:
        return
    now.begun = True
    if now.list_name or now.scenario is not None:
        return
    try:
        kept = load(work_file())
    except SavedWorkError as fault:
        now.notes.append(_set_aside(str(fault)))
        return
    if kept is not None:
        _show(now, kept)
        _find_job(now)


def _find_job(now: Work) -> None:
    """Take up the search that the window before it was loaded again began."""
    if now.scenario is not None:
        now.job = running_job(now.scenario)


def keep(now: Work, what: str) -> None:
    """Save the work after a change; ``what`` is its name among the steps."""
    if now.changed_elsewhere:
        return  # until somebody chose, this window writes nothing
    try:
        now.kept = save(
            work_file(),
            saved_form(now),
            what=what,
            mark=None if now.kept is None else now.kept.mark,
            now=datetime.now(),
        )
        now.keep_fault = ""
    except ChangedElsewhereError:
        now.changed_elsewhere = True
    except SavedWorkError as fault:
        now.keep_fault = str(fault)


def look_around(now: Work) -> Work:
    """See whether another window wrote, or closed the work down."""
    try:
        found = look(work_file())
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
        return now
    mine = None if now.kept is None else now.kept.mark
    if found == mine:
        now.changed_elsewhere = False
        return now
    if mine is not None and (found is None or found.file_id != mine.file_id):
        now = replace_work(now)
        now.kept = None
        now.notes.append(say("at.keeping.closed"))
        return now
    if not now.list_name and not now.kit_name:
        take_over(now)  # there is nothing here that could be lost
    else:
        now.changed_elsewhere = True
    return now


def take_over(now: Work) -> None:
    """Show what the other window saved, in place of what stands here."""
    _give_back(now, lambda: load(work_file()))


def keep_mine(now: Work) -> None:
    """Save what stands here on top of what the other window saved."""
    try:
        found = load(work_file())
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
        return
    now.kept = found
    now.changed_elsewhere = False
    keep(now, said_step("at.step.window"))


def undo(now: Work) -> None:
    """Go one step back."""
    _step(now, forward=False)


def redo(now: Work) -> None:
    """Go one step forth again."""
    _step(now, forward=True)


def open_saved(now: Work, saved: Saved, notes: tuple[str, ...]) -> None:
    """Open work that was carried here, in place of what is open."""
    _fill(now, saved)
    now.notes = [*notes, *now.notes]
    keep(now, said_step("at.step.opened"))


def close_down(now: Work) -> Work:
    """Delete the working file and forget all; say of each file if it is gone."""
    forget_jobs()
    files = delete(work_file())
    delete_choices(work_file())
    delete_report(work_file())
    fresh = replace_work(now)
    fresh.kept = None
    fresh.closed_down = tuple((str(path), gone) for path, gone in files)
    return fresh


def _step(now: Work, *, forward: bool) -> None:
    kept = now.kept
    if kept is not None and not now.changed_elsewhere:
        _give_back(now, lambda: step(work_file(), mark=kept.mark, forward=forward))


def _give_back(now: Work, found: Callable[[], Kept | None]) -> None:
    try:
        kept = found()
    except ChangedElsewhereError:
        now.changed_elsewhere = True
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
    else:
        if kept is not None:
            _show(now, kept)


def _show(now: Work, kept: Kept) -> None:
    _fill(now, kept.saved)
    now.kept = kept
    now.keep_fault = ""
    now.changed_elsewhere = False
    now.notes += [one for one in kept.notes if one not in now.notes]


def _fill(now: Work, saved: Saved) -> None:
    """Put saved work in place: the list is read again, the plan audited again."""
    now.list_name, now.list_bytes = saved.list_name, saved.list_bytes
    now.kit_name, now.kit_bytes = saved.kit_name, saved.kit_bytes
    now.words_name, now.words_bytes = saved.words_name, saved.words_bytes
    now.headings, now.newer = saved.headings, None
    now.read_at = saved.read_at
    now.answers, now.accepted = saved.answers, saved.accepted
    _fill_scenario(now, saved)
    now.plan, now.borrow_asked = saved.plan, saved.borrow_asked
    now.force_name, now.force_bytes = saved.force_name, saved.force_bytes
    now.replanned, now.replanned_borrow = saved.replanned, saved.replanned_borrow
    if now.plan is not None and not _holds(now.plan):
        now.plan = None
        now.notes.append(say("at.keeping.refused"))
    if now.replanned is not None and not _holds(now.replanned.plan):
        now.replanned = None
    now.version += 1
    now.opened += 1


def _holds(plan: Plan) -> bool:
    """Tell whether a plan that was kept passes its audit."""
    from planner.pipeline import check_again

    try:
        check_again(plan)
    except PlanRefusedError:
        return False
    return True


def _fill_scenario(now: Work, saved: Saved) -> None:
    if not saved.list_name:
        now.issues, now.scenario, now.changed = (), None, False
        return
    read_again(now)
    if saved.edited is not None and now.scenario is not None:
        now.scenario = put_back(saved.edited, now.scenario)
        now.changed = True


def _set_aside(why: str) -> str:
    aside = set_aside(work_file())
    if aside is None:
        return say("at.keeping.stuck", why=why)
    return say("at.keeping.damaged", why=why, name=aside.name)
