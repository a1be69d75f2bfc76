"""The forms of the Quotes section."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from wtforms import HiddenField, ValidationError
from wtforms.validators import InputRequired, Optional

from journal.desk import life
from journal.desk.extras import ExtraAsked
from journal.desk.payments import Paid
from journal.desk.promises import Told
from journal.desk.quote_content import LONGEST_TITLE, LONGEST_WEEKS, Asked
from journal.desk.quote_texts import LONGEST_WHEN
from journal.errors import BadInput
from journal.quote.terms import Stage, TaxRounding
from journal.records.words import DepositFate, PaymentKind
from journal.web import forms
from journal.web.discount import Discount, DiscountField

if TYPE_CHECKING:
    from datetime import date

    from wtforms import Field

    from journal.desk.promises import Life

ONE, SPLIT = "one", "split"
ADDS, TAKES = "adds", "takes"
_WHOLE = Fraction(1)
_STAGES = 2  # progress payments a form has boxes for


def day_field(label: str, *, required: bool = True, description: str = "") -> forms.DateField:
    """A day, as the browser's own picker sends it."""
    ends = [InputRequired("Fill this in.")] if required else [Optional()]
    return forms.DateField(label, validators=ends, description=description)


class QuoteForm(forms.JournalForm):
    """A quote to fill in."""

    seen = HiddenField("Estimate")
    described = HiddenField("What the parts say")  # when the page was made; tells whether the description was edited
    price = forms.MoneyField("Price", at_least=1, description="Before tax; filled in from the estimate.")
    discount = DiscountField("Discount", description="5% of the price, or an amount such as 150.")
    discount_for = forms.TextField("Discount for what", required=False)
    breakdown = forms.SelectField(
        "What the client sees",
        choices=[forms.SelectChoice(ONE, "One price"), forms.SelectChoice(SPLIT, "Materials and work apart")],
    )
    tax = forms.PercentField("Sales tax", at_least=Fraction(0), at_most=Fraction(999_999, 1_000_000))
    rounding = forms.SelectField(
        "Tax is rounded",
        choices=[
            forms.SelectChoice(TaxRounding.INVOICE.value, "Once, on the sum"),
            forms.SelectChoice(TaxRounding.LINE.value, "Line by line"),
        ],
    )
    deposit = forms.PercentField("Deposit", at_least=Fraction(0), at_most=_WHOLE)
    deposit_when = forms.TextField("Deposit due", required=False, longest=LONGEST_WHEN)
    balance_when = forms.TextField("Balance due", required=False, longest=LONGEST_WHEN)
    stage_1_when = forms.TextField("Payment on the way", required=False, description="When the top is glued up …")
    stage_1_share = forms.PercentField("Its share", required=False, at_least=Fraction(0), at_most=_WHOLE)
    stage_2_when = forms.TextField("Another one", required=False)
    stage_2_share = forms.PercentField("Share of that", required=False, at_least=Fraction(0), at_most=_WHOLE)
    weeks = forms.NumberField(
        "Weeks",
        required=False,
        at_least=Decimal("0.5"),
        at_most=Decimal(LONGEST_WEEKS),
        description="From deposit, agreed drawing and hardware in hand. Left empty: nothing is promised.",
    )
    valid_until = day_field("Valid until")
    client = forms.NoteField("Client", description="Name and address as they go on paper; kept in this quote alone.")
    title = forms.TextField("Title", longest=LONGEST_TITLE)
    description = forms.NoteField(
        "Description", description="Written from the parts, hardware in the price included; say it your way."
    )
    included = forms.NoteField("Included", description="A line each.")
    excluded = forms.NoteField("Not included", description="A line each.")
    terms = forms.NoteField("Terms")
    drawing = forms.BooleanField("Show the drawing")
    keep_texts = forms.BooleanField("Use these texts on every quote from now on")
    sure = forms.BooleanField("Issue it as it is")

    @classmethod
    def showing(cls, asked: Asked, seen: str) -> QuoteForm:
        """Filled in; a form that was sent keeps what was typed."""
        stages = dict(_boxes(asked.stages))
        return cls(
            seen=seen,
            described=asked.described,
            price=asked.price_cents,
            discount=Discount(cents=asked.discount_cents) if asked.discount_cents else None,
            discount_for=asked.discount_for,
            breakdown=SPLIT if asked.breakdown else ONE,
            tax=asked.tax_rate,
            rounding=asked.rounding.value,
            deposit=asked.deposit,
            deposit_when=asked.deposit_when,
            balance_when=asked.balance_when,
            weeks=asked.weeks,
            valid_until=asked.valid_until,
            client=asked.client,
            title=asked.title,
            description=asked.description,
            included=asked.included,
            excluded=asked.excluded,
            terms=asked.terms,
            drawing=asked.drawing,
            **stages,
        )

    def take(self, tried: TriedForm) -> None:
        """The price tried under Price in the place of the estimate's, with its discount."""
        self.price.data, self.discount.data = tried.price.data, tried.discount.data
        self.price.description = "Before tax; the price tried under Price."

    def validate_discount(self, field: Field) -> None:
        if field.data and self.price.data is not None and field.data.of(self.price.data) > self.price.data:
            raise ValidationError("This is more than the price; expected at most the price.")

    def validate_deposit(self, field: Field) -> None:
        shares = [field.data, *(self[f"stage_{place}_share"].data for place in (1, _STAGES))]
        if sum(share for share in shares if share is not None) > 1:
            raise ValidationError("Together with the payments on the way it is more than the whole price.")

    @property
    def edited(self) -> bool:
        """Whether the description is no longer what the parts said when the page was made."""
        typed, written = (field.data or "" for field in (self.description, self.described))
        return typed.split() != written.split()  # a browser has line ends of its own

    def renew(self, asked: Asked, seen: str) -> None:
        """What has changed since the page was made: the estimate, and a description nobody edited."""
        if not self.edited:
            self.description.data = asked.described
        self.described.data, self.seen.data = asked.described, seen

    def asked(self) -> Asked:
        """What was filled in.

        Raises:
            BadInput: what cannot be promised.
        """
        return Asked(
            client=self.client.data,
            title=self.title.data,
            description=self.description.data,
            described=self.described.data or "",
            price_cents=self.price.data,
            discount_cents=self.discount.data.of(self.price.data) if self.discount.data else 0,
            discount_for=self.discount_for.data,
            breakdown=self.breakdown.data == SPLIT,
            tax_rate=self.tax.data,
            rounding=TaxRounding(self.rounding.data),
            deposit=self.deposit.data,
            stages=tuple(self._stages()),
            deposit_when=self.deposit_when.data,
            balance_when=self.balance_when.data,
            weeks=self.weeks.data,
            valid_until=self.valid_until.data,
            included=self.included.data,
            excluded=self.excluded.data,
            terms=self.terms.data,
            drawing=self.drawing.data,
        )

    def _stages(self) -> list[Stage]:
        found = []
        for place in range(1, _STAGES + 1):
            when, share = self[f"stage_{place}_when"], self[f"stage_{place}_share"]
            if bool(when.data) != bool(share.data):
                missing = share if when.data else when
                raise BadInput(missing.label.text, "", "both: when it is due, and its share")
            if when.data:
                found.append(Stage(when.data, share.data))
        return found


def _boxes(stages: tuple[Stage, ...]) -> list[tuple[str, object]]:
    named = enumerate(stages[:_STAGES], 1)
    return [pair for place, stage in named for pair in _box(place, stage)]


def _box(place: int, stage: Stage) -> tuple[tuple[str, object], tuple[str, object]]:
    return (f"stage_{place}_when", stage.when), (f"stage_{place}_share", stage.share)


class _ByAddress(forms.JournalForm):
    """Brought along in the address."""

    class Meta:
        """Changes nothing, so it needs no mark of ours."""

        csrf = False


class TriedForm(_ByAddress):
    """A price tried under Price."""

    price = forms.MoneyField("Price", at_least=1)
    discount = DiscountField("Discount")


class PromiseForm(_ByAddress):
    """What is about to be promised: weeks from today, or a day."""

    weeks = forms.NumberField("Weeks", required=False, at_least=Decimal("0.5"), at_most=Decimal(LONGEST_WEEKS))
    day = day_field("Promised for", required=False)


class VersionForm(forms.JournalForm):
    """Nothing but the version a page was made from."""

    version = forms.VersionField("Version")


class MoveForm(forms.JournalForm):
    """What is said with a move; boxes the move does not ask for are not shown and not read."""

    on = day_field("On", required=False)
    why = forms.TextField("Why", required=False, longest=10_000)
    price = forms.MoneyField(
        "Agreed price", required=False, at_least=0, description="Before tax; agreed by word, without a quote."
    )
    promised = day_field("Promised for", required=False, description="The day of delivery, fixed now.")
    deposit = forms.SelectField(
        "Deposit",
        choices=[
            forms.SelectChoice("", "Say which"),
            forms.SelectChoice(DepositFate.KEPT.value, "The shop keeps it"),
            forms.SelectChoice(DepositFate.RETURNED.value, "It is given back"),
        ],
    )

    @classmethod
    def of(cls, step: life.Step, found: Life, today: date, *, sent: bool = False) -> MoveForm:
        """The boxes of a move; filled in with what is usual unless they were sent."""
        accepts = life.Ask.AGREED in step.asks
        given = {"on": today, "promised": found.proposed_day(today) if accepts else None}
        form = cls(prefix=step.end.value, **given) if sent else cls(formdata=None, prefix=step.end.value, **given)
        for name in form.unwanted(step, found):
            del form[name]
        return form

    @staticmethod
    def unwanted(step: life.Step, found: Life) -> list[str]:
        """Boxes the move has no use for."""
        accepts = life.Ask.AGREED in step.asks
        wanted = {
            "why": life.Ask.WHY in step.asks,
            "price": life.Ask.PRICE in step.asks or (accepts and found.open is None),
            "promised": accepts,
            "deposit": life.Ask.DEPOSIT in step.asks,
        }
        return [name for name, yes in wanted.items() if not yes]

    def told(self, today: date, quote_id: int | None) -> Told:
        """What was said.

        Raises:
            BadInput: what makes no sense.
        """
        fate = self._said("deposit")
        return Told(
            on=self.on.data or today,
            reason=self._said("why") or "",
            quote_id=quote_id,
            price_cents=self._said("price"),
            promised_on=self._said("promised"),
            deposit=DepositFate(fate) if fate else None,
        )

    def _said(self, name: str) -> object:
        return self[name].data if name in self else None


class ExtraForm(forms.JournalForm):
    """An extra to agree."""

    version = forms.VersionField("Version")
    what = forms.TextField("What", longest=10_000)
    way = forms.SelectField(
        "Adds or takes away", choices=[forms.SelectChoice(ADDS, "Adds"), forms.SelectChoice(TAKES, "Takes away")]
    )
    price = forms.MoneyField("Price", at_least=0, description="Before tax.")
    days = forms.CountField("Days", required=False, at_least=-3652, at_most=3652, description="Longer; −3: sooner.")
    on = day_field("On", required=False)

    def asked(self, today: date) -> ExtraAsked:
        """What was filled in.

        Raises:
            BadInput: what makes no sense.
        """
        sign = -1 if self.way.data == TAKES else 1
        return ExtraAsked(self.on.data or today, self.what.data, sign * self.price.data, self.days.data or 0)


class PaymentForm(forms.JournalForm):
    """Money in, or given back."""

    seen = forms.VersionField("Payments")
    amount = forms.MoneyField("Amount", at_least=1)
    kind = forms.SelectField(
        "Which way",
        choices=[
            forms.SelectChoice(PaymentKind.PAYMENT.value, "Came in"),
            forms.SelectChoice(PaymentKind.REFUND.value, "Given back"),
        ],
    )
    on = day_field("On", required=False)
    how = forms.TextField("How", required=False, longest=60, description="Cash, transfer, card …")
    note = forms.NoteField("Note", description="Goes on the receipt.")
    meant = forms.BooleanField("Enter it all the same")

    def paid(self, today: date) -> Paid:
        """What was filled in.

        Raises:
            BadInput: what makes no sense.
        """
        kind = PaymentKind(self.kind.data)
        return Paid(self.on.data or today, self.amount.data, self.how.data, self.note.data, kind)
