"""One test of the card: how it is done, its timer, and what it showed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_card as words
from tui.check.card import Again, Round, record, start
from tui.check.codes import LONGEST, person_problem
from tui.check.rules import BY_RIG, RULES, Kind, Stage, stage_of
from tui.check.standing import outcome_words
from tui.check.times import left, when
from tui.check.under_way import has_open_check
from tui.safe_text import clean
from tui.screens.check_frame import CheckScreen
from tui.strand_form import text_problem
from tui.widgets.field import Field
from tui.widgets.menu import Entry, Menu

#: Keys of the entries that are no outcomes.
START, RIG = "start:", "rig:"

#: How often the timer is shown anew [s].
TICK_S = 1.0


class CardTestScreen(CheckScreen):
    """Record one test."""

    STEP = 5
    ABOUT = "card_test"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "app.focus_next", words.TEST_WHO),
        Binding("f2", "app.go('card')", wording.BACK),
    ]

    def __init__(self, kind: Kind) -> None:
        super().__init__()
        self._kind = kind
        #: What was chosen and waits to be confirmed.
        self._asked = ""

    def parts(self) -> Iterable[Widget]:
        """How it is done, who does it, where its timer stands, and what can be recorded."""
        with VerticalScroll(id="card-about", can_focus=False):
            yield Static(words.TEST_ABOUT[self._kind.value], classes="remark", markup=False)
        yield Static("", id="card-timer", markup=False)
        yield Menu(self.bench_app.signs, self._entries(), id="outcomes")
        with Vertical(id="card-who"):
            if self._kind is Kind.SKIN:
                one = self.card.round_of(self._kind)
                product = one.product if one else ""
                yield Field("product", words.TEST_PRODUCT, words.TEST_PRODUCT_HINT, product, text_problem)
            by = self.desk.by or self.card.by
            yield Field("by", words.TEST_WHO, words.TEST_WHO_HINT, by, person_problem)

    def on_mount(self) -> None:
        """Begin with the list, and let the timer run."""
        self.ask(words.TEST_QUESTIONS[self._kind.value])
        self.query_one(Menu).focus()
        self._tick()
        self.set_interval(TICK_S, self._tick)

    def _stage(self) -> Stage:
        return stage_of(self.card.round_of(self._kind), self.desk.clock())

    def _entries(self) -> list[Entry]:
        """What can be done and recorded now."""
        told = words.OUTCOMES_ABOUT[self._kind.value]
        outcomes = [
            Entry(key, outcome_words(self._kind, key), told.get(key, ""))
            for key in RULES[self._kind].outcomes
            if key not in BY_RIG
        ]
        if self._kind is Kind.ELASTICITY:
            return [Entry(RIG, words.TEST_WITH_RIG, words.TEST_WITH_RIG_ABOUT), *outcomes]
        if RULES[self._kind].wait is None:
            return outcomes
        first = Entry(START, words.TEST_START[self._kind.value])
        if self.card.round_of(self._kind) is None:
            return [first]
        return [*outcomes, Entry(START, words.TEST_AGAIN)]

    def _tick(self) -> None:
        """Say where the timer stands."""
        text = timer_text(self._kind, self.card.round_of(self._kind), self.desk.clock())
        timer = self.query_one("#card-timer", Static)
        timer.update(text)
        timer.display = bool(text)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """From the line of the code back to the list."""
        self.query_one(Menu).focus()

    def on_menu_chosen(self, message: Menu.Chosen) -> None:
        """Do what was chosen."""
        if message.key == RIG:
            self._with_rig()
            return
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            self.tell(wording.STRAND_FIX, bad=True)
            return
        self.desk.by = clean(self.query_one("#by", Field).value, LONGEST)
        if self._must_confirm(message.key):
            return
        if message.key == START:
            self._start()
        else:
            self._record(message.key)

    def _must_confirm(self, key: str) -> bool:
        """Ask once more before a timed test is decided, or one that runs is begun anew: both cost hours."""
        one = self.card.round_of(self._kind)
        harmless = RULES[self._kind].wait is None or one is None
        if harmless or self._asked == key:
            return False
        self._asked = key
        what = words.TEST_AGAIN if key == START else outcome_words(self._kind, key)
        self.tell(words.TEST_CONFIRM.format(what=what))
        return True

    def _with_rig(self) -> None:
        """To the guided check: begin it, go on with it, or see its result."""
        if self.card.check is None:
            self.bench_app.go("check_plan")
        else:
            self.bench_app.go("check_strands" if has_open_check(self.card) else "check_result")

    def _start(self) -> None:
        moment, by = self.desk.clock(), self.desk.by
        product = clean(self.query_one("#product", Field).value) if self._kind is Kind.SKIN else ""
        if self.change(lambda card: start(card, self._kind, moment, by, product, Again.YES)):
            readable = when(RULES[self._kind].readable_at(moment))
            said = words.TEST_STARTED.format(test=words.KINDS[self._kind.value], readable=readable)
            self.bench_app.go("card", said)

    def _record(self, outcome: str) -> None:
        moment, by = self.desk.clock(), self.desk.by
        if self.change(lambda card: record(card, self._kind, outcome, moment, by)):
            name, told = words.KINDS[self._kind.value], outcome_words(self._kind, outcome)
            self.bench_app.go("card", words.TEST_RECORDED.format(test=name, outcome=told))


def timer_text(kind: Kind, one: Round | None, moment: datetime) -> str:
    """Where a timed test stands; "" for one without a timer, or not started."""
    rule = RULES[kind]
    if one is None or one.started is None:
        return ""
    readable, until = rule.readable_at(one.started), rule.read_until(one.started)
    match stage_of(one, moment):
        case Stage.RUNNING:
            return words.TEST_NOT_YET.format(readable=when(readable), left=left(readable, moment))
        case Stage.READABLE:
            return words.TEST_UNTIL.format(until=when(until))
        case Stage.EXPIRED if one.finding is None:
            return words.TEST_TOO_LATE.format(until=when(until))
        case Stage.CLOCK:
            return words.TEST_CLOCK
    return ""
