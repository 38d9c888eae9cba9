"""What has to be broken by hand: rules that need two edits, a reading of a log, or a look at the log itself."""

from __future__ import annotations

import msgspec

from ringcut.language.ir import Rulebook
from ringcut.reading.raw import RawProcedure

from .bases import REPLACED
from .edits import (
    LAST,
    Edit,
    all_of,
    change,
    claimed,
    cut,
    job,
    move,
    noted,
    one_time,
    put,
    set_after,
    swap_times,
    unwrite,
)
from .goodwork import done


class Hand(msgspec.Struct, frozen=True):
    """A base, what is done to its plan, and to the log made from it where the rule looks at what was read."""

    base: str
    plan: Edit | None = None
    log: Edit | None = None

    def broken(self, plan: RawProcedure, book: Rulebook) -> RawProcedure:
        """The plan, or the log, with one rule broken."""
        raw = self.plan(plan) if self.plan is not None else plan
        return self.log(done(raw, book)) if self.log is not None else raw


def same(raw: RawProcedure) -> RawProcedure:
    """As it is: what was broken in the plan only shows in its log."""
    return raw


EARLY_STOP = move("stop-ventilation", before="inspect-sleeve")

BY_HAND: dict[str, Hand] = {
    "auxiliary-lead-under-adhesive": Hand(
        "little aluminum on an auxiliary",
        all_of(
            change("scuff-lead", "scuffed-length", "6 in"), change("assemble-sleeve", "bond-length", "6-1/8 in"),
            change("scuff-polyethylene", "scuffed-length", "8 in"), change("flame-treat", "treated-length", "8 in"),
        ),
    ),
    "closures-told-apart": Hand(
        "building",
        all_of(
            put("assemble-sleeve", after="shrink-sleeve"), put("flame-treat", after="shrink-sleeve"),
            change("assemble-sleeve", "bond-length", "5-1/2 in", which=1),
            change("flame-treat", "treated-length", "6 in", which=1),
            put("shrink-sleeve", after="assemble-sleeve", which=1),
        ),
    ),
    "sleeve-within-stock": Hand(
        "lead opening",
        all_of(change("trim-sleeve", "sleeve-length", "32-1/4 in"), change("trim-channel", "channel-length", "32 in")),
    ),
    "repair-sleeve-long-enough": Hand(
        "repair",
        all_of(change("trim-sleeve", "sleeve-length", "13-3/4 in"), change("trim-channel", "channel-length", "13 in")),
    ),
    "auxiliary-lead-before-ramp": Hand(
        "auxiliary", all_of(move("scuff-lead", after="ramp-transition"), move("wipe-lead", after="scuff-lead"))
    ),
    "bond-again-after-night": Hand(
        "lead opening",
        all_of(
            put("temporary-closure", before="mark-sheath"),
            put("confirm-zero", after="temporary-closure", volume="core"),
            put("check-foreign-voltage", after="temporary-closure"),
        ),
    ),
    "zero-again-after-night": Hand(
        "lead opening",
        all_of(
            put("temporary-closure", after="repair-conductors"), put("check-bond", after="temporary-closure"),
            put("check-foreign-voltage", after="temporary-closure"),
        ),
    ),
    "cool-before-load": Hand("lead opening", put("wet-surface", before="cool-closure")),
    "dam-tight-before-studs": Hand("dam", put("fit-bond-clamps", after="remove-temporary-bond")),
    "torch-out-before-cover": Hand(
        "lead opening",
        all_of(
            move("stop-ventilation", after="close-manhole"), move("test-atmosphere", after="leave-manhole"),
            put("test-atmosphere", after="turn-channel"), put("light-torch", before="close-manhole"),
            put("shut-torch", after="close-manhole"),
        ),
    ),
    "vent-open-until-cool": Hand("lead opening", put("close-vent", before="mark-sheath")),
    "new-sleeve-finished": Hand(REPLACED, cut("form-channel")),
    "new-sleeve-proved": Hand(REPLACED, cut("soap-test")),
    "bands-back-when-cool": Hand("bands", move("put-bands-back", before="shrink-sleeve")),
    "vault-flame-allowed": Hand("vault", job("vault-flame-allowed", "no")),
    "cable-identified-twice": Hand("shared manhole", log=change("identify-cable", "ways", "1")),
    "cover-on-at-end": Hand("lead opening", all_of(cut("close-manhole"), cut("remove-guards"))),
    "guards-until-cover": Hand("vault", move("remove-guards", before="close-manhole"), same),
    "tank-out-at-end": Hand("shared manhole", put("tank-in"), same),
    "shield-resistance": Hand(
        "new plant",
        all_of(job("shield-type", "C"), put("measure-shield", after="check-foreign-voltage")),
        change("measure-shield", "resistance", "0.43 ohm"),
    ),
    "dam-bar-loose": Hand(
        "dam", all_of(put("place-pads", after="tighten-clamps", pads="2", pad_length="6 in", pad_overlap="4 in"),
                      put("wrap-vinyl-tape", after="place-pads", which=LAST, laps="2"))
    ),
    "bond-before-inside-work": Hand("polyethylene opening", put("wrap-vinyl-tape", after="fit-bond-clamps", laps="2")),
    "relashed-when-done": Hand("aerial", put("relash", before="mark-sheath")),
    "inner-dry-before-scuff": Hand("dam", cut("solvent-dry", 0), same),
    "poly-dry-before-scuff": Hand("polyethylene opening", cut("solvent-dry", 0), same),
    "solvent-dry-before-flame": Hand("lead opening", put("preheat-lead", after="clean-lead"), same),
    # air: what follows a bad reading only shows where no later good one was waited for
    "out-when-gas": Hand("lead opening", put("gas-alarm", before="bag-scrap")),
    "out-when-oxygen-bad": Hand(
        "lead opening", put("test-atmosphere", before="bag-scrap"), change("test-atmosphere", "oxygen", "23.6 %", LAST)
    ),
    "oxygen-before-entry": Hand(
        "lead opening",
        move("ventilate", after="enter-manhole"),
        all_of(unwrite("test-atmosphere", "oxygen", 0), unwrite("test-atmosphere", "oxygen", 1)),
    ),
    "toxic-gas-before-entry": Hand("lead opening", log=change("test-atmosphere", "carbon-monoxide", "36 ppm", 1)),
    "gas-good-at-flame": Hand("lead opening", log=change("test-atmosphere", "combustible-gas", "11 %LFL", 2)),
    "air-supply-where-gas-comes": Hand("shared manhole", put("stop-ventilation", after="fire-watch")),
    "air-supply-after-gas": Hand(
        "lead opening", EARLY_STOP, change("test-atmosphere", "combustible-gas", "11 %LFL")
    ),
    "air-supply-after-thin-air": Hand("lead opening", EARLY_STOP, change("test-atmosphere", "oxygen", "19.4 %")),
    "air-supply-after-toxic-gas": Hand(
        "lead opening", EARLY_STOP, change("test-atmosphere", "carbon-monoxide", "36 ppm")
    ),
    # looks at the log itself
    "times-all-equal": Hand("building", log=one_time("2026-03-04T12:00:00Z")),
    "times-backwards": Hand("lead opening", log=swap_times("bag-scrap", "wash-hands")),
    "not-applicable-claimed": Hand("lead opening", log=claimed("enter-manhole")),
    "implausible-reading": Hand("lead opening", log=change("test-atmosphere", "oxygen", "14.9 %")),
    "unit-mixed-up": Hand("lead opening", log=change("scuff-lead", "scuffed-length", "25 in")),
    "in-manhole-after-leaving": Hand("lead opening", put("check-bond", after="leave-manhole"), same),
    "measured-and-computed-disagree": Hand("lead opening", log=change("wrap-rubber-tape", "measured-length", "17 in")),
    "no-successor": Hand(
        "building",
        all_of(put("identify-cable", before="cool-closure"), set_after("cool-closure", "inspect-sleeve")),
    ),
    "says-all-done": Hand("lead opening", log=noted("guard-work-area", "All steps per practice")),
}  # fmt: skip
"""Rule -> how it is broken alone."""
