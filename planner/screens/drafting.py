"""What is typed and not applied yet: kept as it is typed, put back, or dropped.

A page asks :func:`begun` what its fields start from, says at its top what was
put back, and gives :func:`typed` what stands in them now.  What fields start from stays the
same for a whole visit: a field that is given its own value back loses every
second edit.
"""

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

import streamlit as st

from planner.errors import SavedWorkError
from planner.screens.contents import CONTENTS, title_of
from planner.screens.say import manner, say
from planner.screens.show import bullets
from planner.screens.state import Work
from planner.store import (
    Draft,
    base_of,
    draft_pages,
    drop_draft,
    drop_left,
    edited_parts,
    left_behind,
    load_draft,
    save_draft,
    work_file,
)

Form = TypeVar("Form")
_Typed = tuple[object, tuple[str, ...]]
"""All that was typed on a page, and its changes in words."""
_MOST_WORDS = 12
_OF_THE_LIST = "questions"


def open_page(now: Work, page: str) -> None:
    """Note which page is drawn; its fields start afresh when it is another one."""
    if now.typing.page != page:
        now.typing.page = page
        now.typing.visit += 1


def ending(now: Work) -> str:
    """End of the keys of a page's fields: new after each change and each visit."""
    return f"{now.version}_{now.typing.visit}"


def begun(
    now: Work, page: str, kind: type[Form], fresh: Callable[[], Form], part: str = ""
) -> Form:
    """What the fields of a page start from: a draft, else what there is.

    With ``part`` the start of those fields that are drawn anew whenever the
    part is another one than before.
    """
    at = (now.version, now.typing.visit, part)
    slot = (page, bool(part))
    found = now.typing.begun.get(slot)
    if found is None or found[0] != at:
        draft = _load(now, page, kind)
        if not part:
            now.typing.put_back[page] = draft is not None
            now.typing.kept[page] = (_base(now, page), draft and draft.value)
        found = (at, fresh() if draft is None else draft.value)
        now.typing.begun[slot] = found
    start: Form = found[1]
    return start


def typed(now: Work, page: str, draft: _Typed | None) -> None:
    """Keep what stands in the fields of a page now, and say that it waits.

    ``draft`` is ``None`` when nothing differs.
    """
    _keep(now, page, draft)
    if draft is not None:
        _say_waiting(now, page, draft[1])


def _keep(now: Work, page: str, draft: _Typed | None) -> None:
    value = None if draft is None else draft[0]
    if now.typing.kept.get(page) == (_base(now, page), value):
        return
    try:
        if draft is None:
            drop_draft(work_file(), page=page, base=_base(now, page))
        else:
            kept = Draft(value=draft[0], words=draft[1])
            save_draft(
                work_file(), page=page, base=_base(now, page), draft=kept,
                now=datetime.now(),
            )  # fmt: skip
        now.typing.kept[page] = (_base(now, page), value)
    except SavedWorkError as fault:
        now.keep_fault = str(fault)


def waits(now: Work, page: str) -> bool:
    """Tell whether something is typed on a page and not applied."""
    kept = now.typing.kept.get(page)
    return kept is not None and kept[1] is not None


def forget(now: Work, page: str) -> None:
    """Drop what was typed on a page: it was applied, or nobody wants it."""
    try:
        drop_draft(work_file(), page=page, base=_base(now, page))
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
    now.typing.kept.pop(page, None)
    now.typing.visit += 1


def say_put_back(now: Work, page: str) -> None:
    """Say at the top of a page that its fields hold what was typed before.

    What was typed over something that has changed since is said in words: it
    is not put back, because it could overwrite the change.
    """
    if now.typing.put_back.get(page):
        st.warning(say("at.draft.put_back"))
    try:
        left = left_behind(work_file(), page=page, base=_base(now, page))
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
        return
    if not left:
        return
    st.warning(say("at.draft.left"))
    bullets(manner().told(one) for words in left for one in words[:_MOST_WORDS])
    st.button(
        say("at.draft.left_away"), key=f"left_{page}", on_click=_forget_left,
        args=(now, page),
    )  # fmt: skip


def _say_waiting(now: Work, page: str, words: tuple[str, ...]) -> None:
    """Say below the button of a page what is typed and not applied, and drop it.

    It stands below: a line that appears above would move the button away from
    under the finger that leaves a cell by pressing it.
    """
    with st.container(border=True):
        st.markdown(say("at.draft.waiting"))
        bullets(manner().told(one) for one in words[:_MOST_WORDS])
        if len(words) > _MOST_WORDS:
            st.markdown(say("at.draft.more", count=len(words[_MOST_WORDS:])))
        st.button(
            say("at.draft.drop"), key=f"drop_{page}", on_click=forget, args=(now, page)
        )


def show_waiting_pages(now: Work) -> None:
    """Name at the side the pages on which something typed waits."""
    if now.scenario is None:
        return
    try:
        waiting = draft_pages(work_file())
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
        return
    ordered = [one for pages in CONTENTS.values() for one in pages if one in waiting]
    if ordered:
        titles = "; ".join(title_of(one) for one in ordered)
        st.markdown(say("at.draft.pages", pages=titles))


def _forget_left(now: Work, page: str) -> None:
    try:
        drop_left(work_file(), page=page, base=_base(now, page))
    except SavedWorkError as fault:
        now.keep_fault = str(fault)


def _load(now: Work, page: str, kind: type[Form]) -> Draft | None:
    try:
        return load_draft(work_file(), page=page, base=_base(now, page), kind=kind)
    except SavedWorkError as fault:
        now.keep_fault = str(fault)
        return None


def _base(now: Work, page: str) -> str:
    """Mark of what is typed over.

    That is the list where its questions are answered, elsewhere equipment,
    places and conditions as they are.
    """
    known = now.typing.bases
    if known is None or known[0] != now.version:
        kit = "" if now.scenario is None else base_of(edited_parts(now.scenario))
        known = (now.version, base_of(now.list_bytes), kit)
        now.typing.bases = known
    return known[1] if page == _OF_THE_LIST else known[2]
