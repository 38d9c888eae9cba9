"""Counts over many logs: by contractor, crew, place and week, of uncertain readings, and what only several show."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.archive.copied import Copied
from ringcut.archive.summary import Share, Summary
from ringcut_cli.audit.readtext import count
from ringcut_cli.shown.page import Page

SHOWN = 8
"""Rows of a table in text; JSON has all."""


def counts_page(page: Page, summary: Summary) -> None:
    """Write the counts that stand below the screen."""
    risks_page(page, summary)
    for title, shares in (
        ("BY CONTRACTOR", summary.by_contractor), ("BY CREW", summary.by_crew), ("BY PLACE", summary.by_place),
    ):  # fmt: skip
        _shares(page, title, shares, summary.logs)
    _shares(page, "BY WEEK", summary.by_week, summary.logs, latest=True)


def risks_page(page: Page, summary: Summary) -> None:
    """How many verdicts on uncertain readings are expected to be wrong."""
    risk = summary.risk
    if risk is None:
        return
    page.heading("UNCERTAIN READINGS", "limits judged with their u=, JCGM 106: how many verdicts may be wrong")
    page.text(f"accepted {risk.accepted:,}, of these {expected(risk.wrong_accepts)} expected to be wrong", 2)
    page.text(f"rejected {risk.rejected:,}, of these {expected(risk.wrong_rejects)} expected to be wrong", 2)
    page.text(f"cannot say {risk.undetermined:,}", 2)
    for each in summary.risks[:SHOWN]:
        told = f"accepted {each.accepted:,} ({expected(each.wrong_accepts)} wrong), rejected {each.rejected:,} "
        told += f"({expected(each.wrong_rejects)} wrong), cannot say {each.undetermined:,}"
        page.row((each.rule, told), (28,), 2)
    _more(page, len(summary.risks))


def expected(number: float) -> str:
    """An expected number to a hundredth; what is less is not shown as nothing."""
    return f"{number:,.2f}" if number >= 0.005 or not number else "under 0.01"


def _shares(page: Page, title: str, shares: Sequence[Share], logs: int, *, latest: bool = False) -> None:
    """A table of shares; ``latest``: of more than it has room for the last, since they stand in order of time."""
    if not shares:
        return
    page.heading(title, "logs, nonconforming with 95 % interval, cannot say")
    for each in shares[-SHOWN:] if latest else shares[:SHOWN]:
        page.row((each.name, f"{each.logs:>6,}", interval(each), f"{each.undetermined:,}"), (20, 6, 28), 2)
    _more(page, len(shares), "earlier" if latest else "more")
    if silent := unnamed(shares, logs):
        page.text(f"{count(silent, 'log does', 'logs do')} not say it", 2)


def unnamed(shares: Sequence[Share], logs: int) -> int:
    """How many of some logs do not say by whom, where or when, so that a table adds up."""
    return logs - sum(each.logs for each in shares)


def interval(share: Share) -> str:
    """A share with its interval, as ``3 of 12, 25 % (9 to 53)``."""
    return f"{share.nonconforming:,} of {share.logs:,}, {share.rate:.0%} ({share.low:.0%} to {share.high:.0%})"


def _more(page: Page, number: int, word: str = "more") -> None:
    if number > SHOWN:
        page.text(f"and {number - SHOWN} {word} (--format json has all)", 2)


def patterns_page(page: Page, patterns: Sequence[Copied]) -> None:
    """Questions that only several logs together raise; never a verdict."""
    if patterns:
        page.heading("EQUAL ODD DIGITS", "a question to the crew and no verdict")
    for each in patterns[:SHOWN]:
        page.text(f"{', '.join(each.jobs[:6])}{' ...' if len(each.jobs) > 6 else ''}: {each.says}", 2)
    _more(page, len(patterns))
