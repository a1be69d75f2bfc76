"""A stage or an operation chosen from a list: how it stands in a form, and back."""

from __future__ import annotations

from journal import reference
from journal.desk.paces import REWORK
from journal.floor.taps import Task
from journal.web import forms, state

STAGE, OPERATION = "s", "o"


def work_choices() -> list[forms.SelectChoice]:
    """Every stage with its operations, by their stage."""
    choices = []
    for code, stage in reference.stages().items():
        choices.append(forms.SelectChoice(f"{STAGE}:{code}", f"{stage.name}, the stage", optgroup=stage.name))
        choices += [
            forms.SelectChoice(f"{OPERATION}:{key}", entry.name, optgroup=stage.name)
            for key, entry in state.book().items()
            if entry.stage == code and key != REWORK
        ]
    return choices


def work_value(task: Task) -> str:
    """A piece of work as the choices name it."""
    return f"{STAGE if task.by_stage else OPERATION}:{task.code}"


def read_work(value: str, project_id: int | None) -> Task:
    """The work a choice names."""
    kind, _, code = value.partition(":")
    return Task(project_id, code, by_stage=kind == STAGE)
