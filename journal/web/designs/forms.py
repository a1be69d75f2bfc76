"""The forms of the Designs section; that of a design is made from its parameters."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, cast

from flask_wtf.file import FileField, FileRequired
from wtforms import HiddenField, TextAreaField
from wtforms.validators import Length

from journal import units
from journal.build.design import Kind
from journal.build.design_file import LARGEST
from journal.desk.ballpark import LONGEST_NM, SHORTEST_NM
from journal.desk.projects import LONGEST_TITLE
from journal.web import forms, state

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wtforms import Field

    from journal.build.design import Design, Given, Parameter

PREFIX = "p_"  # before a parameter's word, so that one called “title” meets nothing
NEW = ""  # the choice of no project that is there


class SizeForm(forms.JournalForm):
    """What is chosen of a design; its parameters are added by `size_form`."""

    class Meta:
        """Changes nothing, so it needs no mark of ours; what begins a project carries one beside it."""

        csrf = False

    sized = HiddenField(default="1")  # tells an address with every box unticked from a bare one
    benches = forms.CountField("Benches", at_least=1, at_most=1000, default=1)

    @property
    def parameters(self) -> list[Field]:
        """The boxes of the parameters, in the design's order."""
        return [field for field in self if field.name.startswith(PREFIX)]

    def given(self) -> dict[str, Given]:
        """What was chosen, by the parameters' words."""
        return {field.name.removeprefix(PREFIX): field.data for field in self.parameters}


class BeginForm(forms.JournalForm):
    """What becomes of the bench: a new project, or the parts of one that is there."""

    title = forms.TextField("Title", longest=LONGEST_TITLE, required=False)
    project = forms.SelectField("Project")

    def offer(self, projects: Sequence[tuple[int, str]]) -> None:
        """Fill the choices: a new one, or one whose parts are replaced."""
        there = [forms.SelectChoice(str(id_), name) for id_, name in projects]
        self.title.flags.required = True  # of a new project, which is the usual case
        self.project.choices = [forms.SelectChoice(NEW, "A new one, begun now"), *there]

    def validate(self, extra_validators: Any = None) -> bool:  # noqa: ANN401 - the library's own
        """A title is needed only where a project is begun."""
        good = super().validate(extra_validators)
        if self.project.data == NEW and not self.title.data:
            self.title.errors = ["A new project needs a title."]
            return False
        return bool(good)


class TextForm(forms.JournalForm):
    """A design being written."""

    text = TextAreaField(
        "The design",
        validators=[
            forms.Required(),
            Length(max=LARGEST, message=f"Expected {LARGEST:,} characters or fewer."),
        ],
        filters=[lambda text: (text or "").replace("\r\n", "\n")],
    )
    version = forms.VersionField("Version", default=0)


class FileForm(forms.JournalForm):
    """A design from elsewhere."""

    file = FileField("The file", description="As this journal writes it.", validators=[FileRequired("Choose a file.")])


class BallparkForm(forms.JournalForm):
    """Length, depth, wood."""

    class Meta:
        """Changes nothing, so it needs no mark of ours."""

        csrf = False

    length = forms.LengthField("Length", at_least=SHORTEST_NM, at_most=LONGEST_NM)
    depth = forms.LengthField("Depth", at_least=SHORTEST_NM, at_most=LONGEST_NM)
    wood = forms.SelectField("Wood")
    kind = forms.SelectField("Kind of bench")

    def offer(self, woods: Sequence[str], usual: str, designs: Sequence[tuple[str, str]]) -> None:
        """Fill the choices."""
        self.wood.choices = wood_choices(woods, usual)
        named = [forms.SelectChoice(word, title) for word, title in designs]
        self.kind.choices = [forms.SelectChoice("", "The nearest design"), *named]


def wood_choices(woods: Sequence[str], usual: str) -> list[forms.SelectChoice]:
    """The shop's usual wood first, then those it has prices for."""
    return [forms.SelectChoice("", f"As usual: {usual}"), *(forms.SelectChoice(wood, wood) for wood in woods)]


def size_form(design: Design, woods: Sequence[str], usual: str) -> type[SizeForm]:
    """The form of a design's parameters."""
    fields = {PREFIX + p.word: _field(p, woods, usual) for p in design.parameters}
    return cast("type[SizeForm]", type("DesignSizeForm", (SizeForm,), fields))


def as_sent(design: Design, given: Mapping[str, Given]) -> dict[str, str]:
    """Choices as an address carries them; what is left out is at its default."""
    chosen = {**design.defaults, **given}
    boxes = {PREFIX + p.word: _sent(p, chosen[p.word]) for p in design.parameters}
    return {"sized": "1", "benches": "1", **{name: text for name, text in boxes.items() if text is not None}}


def _sent(parameter: Parameter, given: Given) -> str | None:
    """A choice as its box would send it; None for a box that is not ticked."""
    if parameter.kind is Kind.YES_NO:
        return "y" if given else None
    if parameter.kind is not Kind.LENGTH:
        return str(given)
    text = state.in_marks(units.format_length(int(given), state.display().system, denominator=64))
    exact = units.parse_length(text, **forms.ways(), allow_zero=True) == given
    return text if exact else state.in_marks(f"{Decimal(int(given)) / units.NM_PER_MM:f} mm")


def _field(parameter: Parameter, woods: Sequence[str], usual: str) -> Any:  # noqa: ANN401 - a field not yet bound
    system = state.display().system
    label, hint, default = parameter.label, parameter.hint, parameter.default
    if parameter.kind in (Kind.LENGTH, Kind.COUNT):
        ends = f"{parameter.say(parameter.low, system)} to {parameter.say(parameter.high, system)}."
        kwargs = {"description": f"{hint} {ends}".strip(), "at_least": parameter.low, "at_most": parameter.high}
        if parameter.kind is Kind.COUNT:
            return forms.CountField(label, default=default, **kwargs)
        return forms.LengthField(label, default=default, allow_zero=parameter.low == 0, **kwargs)
    if parameter.kind is Kind.YES_NO:
        return forms.BooleanField(label, default=default, description=hint)
    choices = (
        wood_choices(woods, usual)
        if parameter.kind is Kind.WOOD
        else [forms.SelectChoice(option, option) for option in parameter.options]
    )
    return forms.SelectField(label, default=default, choices=choices, description=hint)
