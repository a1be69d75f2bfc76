"""A price seen, and new things to buy."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from journal import reference, units
from journal.desk.prices import goods
from journal.records.words import StockForm
from journal.web import filters, forms

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

_LONGEST_CODE = 60
# A bare 8 is 8 inches; nobody sells boards that short, so a slip for 8 feet is refused.
_SHORTEST_BOARD_NM = units.feet(2)


class PriceForm(forms.JournalForm):
    """Prices seen on one day; a box for each price that can be typed, any of them left empty."""

    boxes: ClassVar[Mapping[str, int | None]] = {"price": None}

    price = forms.MoneyField("Price", required=False, at_least=1)
    date = forms.DateField("Seen on", validators=[forms.Required()])

    def typed(self) -> Iterator[tuple[int | None, int]]:
        """The prices typed: (length in nm or None, minor units)."""
        for name, length_nm in self.boxes.items():
            if self[name].data is not None:
                yield length_nm, self[name].data

    def validate(self, extra_validators: object = None) -> bool:
        """Something must have been typed."""
        good = bool(super().validate(extra_validators))
        if good and not list(self.typed()):
            self.form_errors.append("Type a price.")
            return False
        return good


class LumberPriceForm(PriceForm):
    """Prices of lumber, one for each length, and one more length that is not in the list."""

    price = forms.MoneyField("Price of that length", required=False, at_least=1)
    length = forms.LengthField("Another length", required=False, at_least=_SHORTEST_BOARD_NM)

    def typed(self) -> Iterator[tuple[int | None, int]]:
        """The prices typed, that of another length last."""
        for name, length_nm in self.boxes.items():
            if self[name].data is not None:
                yield length_nm, self[name].data
        if self.length.data is not None and self.price.data is not None:
            yield self.length.data, self.price.data

    def validate(self, extra_validators: object = None) -> bool:
        """Another length and its price go together."""
        for here, there, word in ((self.length, self.price, "price"), (self.price, self.length, "length")):
            if here.raw_data and here.raw_data[0].strip() and not (there.raw_data and there.raw_data[0].strip()):
                super().validate(extra_validators)
                there.errors = [f"Type the {word} as well, or empty both."]
                return False
        return super().validate(extra_validators)


def lumber_price_form(lengths_nm: tuple[int, ...]) -> type[LumberPriceForm]:
    """The form for lumber sold in these lengths."""
    names = {f"at_{length_nm}": length_nm for length_nm in lengths_nm}
    boxes = {
        name: forms.MoneyField(filters.feet(length_nm), required=False, at_least=1) for name, length_nm in names.items()
    }
    return type("LumberPriceForm", (LumberPriceForm,), {"boxes": names, **boxes})


class LumberForm(forms.JournalForm):
    """Lumber to add."""

    stock = forms.TextField("Name", longest=_LONGEST_CODE, description="As you call it: 2x8 fir, 8/4 ash")
    size = forms.TextField("Size", longest=20, description="2x8 by its nominal size, 8/4 by its rough thickness")
    wood = forms.SelectField("Wood")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        groups = [forms.SelectChoice(name, name, optgroup="Sold as a group") for name in reference.species_groups()]
        self.wood.choices = [*groups, *_woods("softwood", "Softwoods"), *_woods("hardwood", "Hardwoods")]


class GoodsForm(forms.JournalForm):
    """Something that is not lumber to add."""

    of: ClassVar[StockForm]

    stock = forms.TextField("Name", longest=_LONGEST_CODE, description="As you call it")
    kind = forms.SelectField("Kind")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.kind.choices = [forms.SelectChoice(key, name) for key, name in goods(self.of).items()]

    @property
    def container_ml(self) -> float | None:
        """What a container holds, where there is one."""
        return None


class SheetForm(GoodsForm):
    """A sheet to add."""

    of = StockForm.SHEET


class HardwareForm(GoodsForm):
    """Hardware to add."""

    of = StockForm.HARDWARE


class PouredForm(GoodsForm):
    """Something sold by the container."""

    container = forms.LiquidField("A container holds", description="1 gal, 1 qt, 946 ml", at_least=1.0)

    @property
    def container_ml(self) -> float | None:
        """What a container holds."""
        return self.container.data


class GlueForm(PouredForm):
    """A glue to add."""

    of = StockForm.ADHESIVE


class FinishForm(PouredForm):
    """A finish to add."""

    of = StockForm.FINISH


def _woods(kind: str, heading: str) -> list[forms.SelectChoice]:
    known = reference.all_species().items()
    return [forms.SelectChoice(name, name, optgroup=heading) for name, wood in known if wood.kind == kind]
