"""Good jobs to break: the examples of the models, and others at places and with facts that the examples leave out."""

from __future__ import annotations

import msgspec

from ringcut.draft.models import Job, Model
from ringcut.language.ir import Rulebook
from ringcut.reading.raw import RawProcedure

from .edits import Edit, all_of, at, change, job, put
from .goodwork import planned, steps_of, with_steps


class Base(msgspec.Struct, frozen=True):
    """A model, what the job says beside the model's example, and what the plan does otherwise than the model."""

    model: str
    job: Job = {}
    edit: Edit | None = None


BASES: dict[str, Base] = {
    "lead opening": Base("trouble-opening-lead"),
    "polyethylene opening": Base("trouble-opening-polyethylene"),
    "dam": Base("inter-sheath-dam"),
    "auxiliary": Base("auxiliary-repair"),
    "repair": Base("sheath-repair"),
    "removal": Base("sleeve-removal"),
    "repair of lead": Base("sheath-repair", {"sheath": "lead"}),
    "removal on lead": Base("sleeve-removal", {"sheath": "lead"}),
    "jacketed lead": Base("trouble-opening-lead", {"jacket": "plastic"}),
    "building": Base("sheath-repair", {"location": "building", "water-in-hole": "no", "pressurized": "no"}),
    "dam of one volume": Base("inter-sheath-dam", {"two-volumes": "no"}),
    "dam without air": Base("inter-sheath-dam", {"two-volumes": "no", "pressurized": "no"}),
    "shared manhole": Base(
        "trouble-opening-polyethylene",
        {"joint-with-power": "yes", "other-cables": "yes", "in-traffic": "yes", "traffic-uncorrected": "yes",
         "unusual-water": "yes", "gas-seepage": "yes", "toxic-gas-suspected": "yes", "can-burn": "yes",
         "core": "paper", "tank-allowed": "yes"},
    ),
    "fed": Base("trouble-opening-polyethylene", {"fed": "yes"}),
    "new plant": Base("trouble-opening-polyethylene", {"pressurized": "no", "new-plant": "yes"}),
    "aerial": Base(
        "sheath-repair",
        {"location": "aerial", "windy": "yes", "people-below": "yes", "lashed": "yes", "water-in-hole": "no"},
    ),
    "aerial opening": Base("trouble-opening-lead", {"location": "aerial", "windy": "yes", "water-in-hole": "no"}),
    "buried": Base("sheath-repair", {"location": "buried", "pit-depth": "8 ft", "gas-seepage": "yes"}),
    "buried lead": Base("trouble-opening-lead", {"location": "buried", "pit-depth": "8 ft", "pressurized": "no"}),
    "pit": Base("trouble-opening-polyethylene", {"location": "pit", "pit-depth": "8 ft", "gas-seepage": "yes"}),
    "vault": Base("trouble-opening-lead", {"location": "vault", "vault-flame-allowed": "yes", "water-in-hole": "no"}),
    "special": Base(
        "sheath-repair",
        {"special": ["diameter-change", "long-repair", "cable-band"],
         "special-procedure": ["diameter-change", "long-repair", "cable-band"]},
    ),
    "long repair of lead": Base(
        "sheath-repair", {"sheath": "lead", "special": ["long-repair"], "special-procedure": ["long-repair"]}
    ),
    "bands": Base("sheath-repair", {"special": ["cable-band"], "special-procedure": ["cable-band"]}),
    "moved cable": Base(
        "trouble-opening-lead", {}, put("move-cable", after="check-foreign-voltage", bend_radius="30 in")
    ),
    "bond of wire": Base(
        "trouble-opening-lead", {},
        all_of(
            change("place-permanent-bond", "conductor", "wire"),
            change("place-permanent-bond", "conductor-size", "6 AWG"),
        ),
    ),
    "bond of braid": Base(
        "trouble-opening-lead", {}, change("place-permanent-bond", "conductor", "braid")
    ),
    "least lengths on lead": Base(
        "trouble-opening-lead", {},
        all_of(
            change("wrap-rubber-tape", "overlap", "3/4 in"), change("assemble-sleeve", "bond-length", "5 in"),
            change("scuff-lead", "scuffed-length", "6 in"),
        ),
    ),
    "little aluminum on an auxiliary": Base(
        "auxiliary-repair", {},
        all_of(
            change("wrap-aluminum-tape", "reach", "1/4 in"), change("assemble-sleeve", "bond-length", "5 in"),
            change("trim-sleeve", "sleeve-length", "20 in"), change("trim-channel", "channel-length", "20 in"),
        ),
    ),
    "short tape on a dam": Base("inter-sheath-dam", {}, change("tape-clamps", "reach", "7/8 in")),
}  # fmt: skip
"""Name -> what it is."""

REPLACED = "replacement"
"""An old sleeve that is taken off and replaced: the removal as far as its adhesive, then a whole repair."""


def plans(models: list[Model], book: Rulebook) -> dict[str, RawProcedure]:
    """The good plan of every base."""
    by_name = {model.name: model for model in models}
    found = {}
    for name, base in BASES.items():
        plan = planned(by_name[base.model], base.job, book)
        found[name] = base.edit(plan) if base.edit is not None else plan
    removal, repair = found["removal"], found["repair"]
    old = steps_of(removal)[: at(removal, "remove-adhesive") + 1]
    whole = with_steps(removal, [*old, *steps_of(repair)[at(repair, "clean-polyethylene") :]])
    found[REPLACED] = job("opening-length", "4 in")(whole)
    return found
