"""The list of projects, what is being built first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from journal.desk import projects
from journal.records.words import ProjectState
from journal.web import state
from journal.web.projects.blueprint import bp

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.projects import Leaf

# What a maker looks for first stands first: what is being built, then who waits for an answer. The key is in addresses.
_GROUPS = (
    ("shop", "In the shop", (ProjectState.IN_BUILD, ProjectState.ACCEPTED, ProjectState.ON_HOLD)),
    ("asked", "Enquiries", (ProjectState.ENQUIRY, ProjectState.QUOTED)),
    ("delivered", "Delivered", (ProjectState.DELIVERED, ProjectState.CLOSED, ProjectState.STOCK)),
    ("nothing", "Came to nothing", (ProjectState.DECLINED, ProjectState.LAPSED, ProjectState.CANCELLED)),
)
_LONGEST_WORDS = 200


@dataclass(frozen=True, slots=True)
class Group:
    """Projects that stand together in the list, a page of them; where the pages before and after it are, or None."""

    title: str
    leaf: Leaf
    newer: str | None
    older: str | None


@dataclass(frozen=True, slots=True)
class ListPage:
    """What projects/index.html receives: the groups that hold something, first the most pressing.

    Attributes:
        groups: with their projects.
        words: that were looked for; empty for all.
        any_project: the journal holds one, found or not.
    """

    groups: tuple[Group, ...]
    words: str
    any_project: bool


@bp.get("/")
def index() -> ResponseReturnValue:
    """All projects, or those that the words looked for speak of."""
    words = request.args.get("words", "")[:_LONGEST_WORDS].strip()
    asked = {key: request.args.get(key, 1, type=int) for key, _, _ in _GROUPS}
    with state.reading() as session:
        leaves = {key: projects.leaf(session, states, words=words, page=asked[key]) for key, _, states in _GROUPS}
        any_project = any(leaf.total for leaf in leaves.values()) or projects.any_at_all(session)
    here = {key: leaf.page for key, leaf in leaves.items()}
    groups = tuple(_group(key, title, leaves[key], here, words) for key, title, _ in _GROUPS if leaves[key].total)
    return render_template("projects/index.html", page=ListPage(groups, words, any_project))


def _group(key: str, title: str, leaf: Leaf, here: dict[str, int], words: str) -> Group:
    def at(page: int) -> str | None:
        if not 1 <= page <= leaf.pages:
            return None
        turned = {other: number for other, number in (here | {key: page}).items() if number > 1}
        return url_for("projects.index", words=words or None, **turned)

    return Group(title, leaf, newer=at(leaf.page - 1), older=at(leaf.page + 1))
