"""What an option makes other, as boxes made from the project; an empty one leaves things as they are."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any, cast

from wtforms import StringField, TextAreaField, ValidationError
from wtforms.validators import Length

from journal import reference
from journal.build.design import Kind
from journal.build.features import features_text, parse_features
from journal.build.part_list import LARGEST_BYTES, read
from journal.errors import BadRows, JournalError
from journal.quote.options import MOST_BENCHES, MOST_COATS, Changes
from journal.web import forms
from journal.web.state import display, in_marks, pointed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wtforms import Field

    from journal.build.design import Given, Parameter
    from journal.build.parts import Feature, Part
    from journal.desk.options import Ground

AS_IT_IS = ""
STOCK, WITHOUT, CARRIES, PARAMETER, MORE = "stock_", "without_", "carries_", "p_", "more_"


class FeaturesField(StringField):
    """What a part carries: “12 holes; 1 vise”; nothing when empty."""

    def process_formdata(self, valuelist: list[str]) -> None:
        text = valuelist[0].strip() if valuelist else ""
        self.data = ()
        try:
            self.data = tuple(parse_features(pointed(text, self.label.text), system=display().system))
        except JournalError as refusal:
            raise ValueError(str(refusal)) from refusal

    def _value(self) -> str:
        return str(self.raw_data[0]) if self.raw_data else in_marks(features_text(self.data or (), display().system))


class OptionForm(forms.JournalForm):
    """An option; the boxes that depend on the project are added by `option_form`."""

    version = forms.VersionField("Version", default=0)
    name = forms.TextField("Name", longest=60, description="A word or two: in maple, with a shelf")
    benches = forms.CountField("Benches", required=False, at_least=1, at_most=MOST_BENCHES)
    coats = forms.CountField("Coats", required=False, at_least=0, at_most=MOST_COATS)
    adhesive = forms.SelectField("Glue")
    finish = forms.SelectField("Finish")
    added = TextAreaField(
        "Parts added",
        validators=[Length(max=LARGEST_BYTES, message=f"Expected {LARGEST_BYTES:,} characters or fewer.")],
        filters=[lambda text: (text or "").strip("\r\n")],
        description="A part list as under Parts: headings in the first row, then a row a part.",
    )

    def validate_added(self, field: Field) -> None:
        try:
            self.pasted()
        except BadRows as refused:
            raise ValidationError("; ".join(str(problem) for problem in refused.problems[:5])) from refused
        except JournalError as refused:
            raise ValidationError(str(refused)) from refused
        if field.data and len(field.data.splitlines()) < 2:
            raise ValidationError("There are headings and no part under them.")

    def pasted(self) -> tuple[Part, ...]:
        """The parts in the box.

        Raises:
            JournalError: they cannot be read.
        """
        if not self.added.data:
            return ()
        return read(self.added.data, source="parts added", system=display().system).taken()

    def named(self, prefix: str) -> dict[str, Field]:
        """The boxes of one kind, by what stands after the prefix."""
        return {field.short_name.removeprefix(prefix): field for field in self if field.short_name.startswith(prefix)}

    def changes(self, ground: Ground, before: Changes) -> Changes:
        """What was filled in, as far as it is other than the project.

        Raises:
            JournalError: what no project can be.
        """
        carried = {part.uid: part.features for part in ground.listed}
        carries = {uid: field.data for uid, field in self.named(CARRIES).items()}
        more = self.named(MORE)
        return Changes(
            benches=_unless(self.benches.data, ground.project.benches),
            coats=_unless(self.coats.data, ground.project.coats),
            adhesive=_unless(self.adhesive.data, ground.adhesive) or "",
            finish=_unless(self.finish.data, ground.finish) or "",
            design=MappingProxyType(self._design(ground)),
            stocks=MappingProxyType(
                {_plain(code): field.data for code, field in self.named(STOCK).items() if field.data != AS_IT_IS}
            ),
            left_out=frozenset(uid for uid, field in self.named(WITHOUT).items() if field.data),
            features=MappingProxyType(
                {uid: found for uid, found in carries.items() if _counted(found) != _counted(carried[uid])}
            ),
            added=(*(part for at, part in enumerate(before.added) if more[str(at)].data), *self.pasted()),
        )

    def _design(self, ground: Ground) -> dict[str, Given]:
        if ground.design is None:
            return {}
        now = {**ground.design.defaults, **ground.given}
        typed = {word: field.data for word, field in self.named(PARAMETER).items()}
        return {word: value for word, value in typed.items() if value is not None and value != now[word]}


def option_form(ground: Ground, changes: Changes) -> type[OptionForm]:
    """The form of an option of this project; `changes` are those it has already."""
    fields: dict[str, Any] = {}
    if ground.design is not None:
        fields |= {PARAMETER + one.word: _parameter(one, ground.woods) for one in ground.design.parameters}
    fields |= {STOCK + _as_name(stock): _stock(stock, ground.stock_codes) for stock in ground.stocks}
    for part in ground.listed:
        fields[WITHOUT + part.uid] = forms.BooleanField(f"Without {part.label}")
        fields[CARRIES + part.uid] = FeaturesField(f"In {part.label}: holes, joints, fittings")
    fields |= {MORE + str(at): forms.BooleanField(part.label) for at, part in enumerate(changes.added)}
    return cast("type[OptionForm]", type("OptionFormOfProject", (OptionForm,), fields))


def filled(ground: Ground, changes: Changes, **also: object) -> OptionForm:
    """The form with an option in it, or with what was sent."""
    data: dict[str, object] = {
        "benches": changes.benches,
        "coats": changes.coats,
        "adhesive": changes.adhesive,
        "finish": changes.finish,
        **{PARAMETER + word: value for word, value in _chosen(ground, changes).items()},
        **{STOCK + _as_name(stock): changes.stocks.get(stock, AS_IT_IS) for stock in ground.stocks},
        **{WITHOUT + part.uid: part.uid in changes.left_out for part in ground.listed},
        **{CARRIES + part.uid: changes.features.get(part.uid, part.features) for part in ground.listed},
        **{MORE + str(at): True for at in range(len(changes.added))},
        **also,
    }
    form = option_form(ground, changes)(data=data)
    form.adhesive.choices = _choices(reference.adhesives(), ground.adhesive)
    form.finish.choices = _choices(reference.finishes(), ground.finish)
    form.benches.description = f"The project: {ground.project.benches}"
    form.coats.description = f"The project: {ground.project.coats}; with another finish, as many as that usually takes"
    return form


def _chosen(ground: Ground, changes: Changes) -> Mapping[str, Given]:
    if ground.design is None:
        return {}
    return {**ground.design.defaults, **ground.given, **changes.design}  # type: ignore[dict-item]


def _parameter(parameter: Parameter, woods: tuple[str, ...]) -> Any:  # noqa: ANN401 - a field not yet bound
    label, system = parameter.label, display().system
    if parameter.kind in (Kind.LENGTH, Kind.COUNT):
        ends = f"{parameter.say(parameter.low, system)} to {parameter.say(parameter.high, system)}"
        limits = {"required": False, "at_least": parameter.low, "at_most": parameter.high, "description": ends}
        if parameter.kind is Kind.COUNT:
            return forms.CountField(label, **limits)
        return forms.LengthField(label, allow_zero=parameter.low == 0, **limits)
    if parameter.kind is Kind.YES_NO:
        return forms.BooleanField(label)
    choices = [forms.SelectChoice(option, option) for option in parameter.options]
    if parameter.kind is Kind.WOOD:
        choices = [forms.SelectChoice("", "The shop’s usual wood"), *(forms.SelectChoice(wood, wood) for wood in woods)]
    return forms.SelectField(label, choices=choices)


def _stock(stock: str, codes: tuple[str, ...]) -> forms.SelectField:
    instead = [forms.SelectChoice(code, code) for code in codes if code != stock]
    return forms.SelectField(
        f"Instead of {stock or 'the usual wood'}", choices=[forms.SelectChoice(AS_IT_IS, "As it is"), *instead]
    )


def _choices(known: Mapping[str, Any], project: str) -> list[forms.SelectChoice]:
    usual = known[project].name if project in known else project
    named = [forms.SelectChoice(key, entry.name) for key, entry in known.items() if key != project]
    return [forms.SelectChoice(AS_IT_IS, f"As it is: {usual}"), *named]


def _unless(typed: Any, project: Any) -> Any:  # noqa: ANN401 - a count or a word
    """What was typed; None where it is what the project has, or empty."""
    return None if typed in (project, "", None) else typed


def _counted(features: tuple[Feature, ...]) -> frozenset[Feature]:
    return frozenset(features)


def _as_name(stock: str) -> str:
    """A stock's name as part of a box's: letters and digits only."""
    return stock.encode().hex()


def _plain(name: str) -> str:
    return bytes.fromhex(name).decode()
