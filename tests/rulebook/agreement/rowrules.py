"""For rows of the oracle, the rules that carry them: where the row is broken, one of these does not conform."""

from __future__ import annotations

_RULES = """
air-supply: air-supply-with-flame air-supply-with-solvent air-supply-where-gas-comes air-supply-after-gas
aluminum-tape: aluminum-width
auxiliary-bond-length: adhesive-bond-length
auxiliary-scuffed-length: auxiliary-poly-scuffed-length auxiliary-lead-scuffed-length
backfilled-last: proved-before-backfill
bar-covered: lead-tape-covers-bar
bar-reaches: bar-spans-opening
baseline-read: baseline-before-bleeding
bled: cable-bled
bond-length: adhesive-bond-length
bonded-at-once: bond-path-kept bond-before-inside-work
bonded-before-cut: auxiliary-bond-bridged lead-bond-before-opening
bonded-for-splicing: bond-before-inside-work
bonding-conductor: temporary-bond-wire permanent-bond-section permanent-bond-wire
both-volumes: dam-both-volumes-zero core-read-beside-space
cable-supported: cable-held-unlashed
channel-length: channel-within-sleeve channel-closes-sleeve
channel-off-bar: channel-away-from-bar
clamp-tape: clamp-tape-layers clamp-tape-width
clamps-before-bond: clamps-before-permanent-bond
clamps-bridged: auxiliary-bond-bridged
clean-before-scuff: poly-clean-before-scuff inner-clean-before-scuff
cool-before-load: cool-before-load
dam-bar: dam-bar-kind dam-bar-slack
dam-bar-tied: dam-tie-laps dam-tie-width
dam-clamp-tape: dam-clamp-tape-laps dam-clamp-tape-width dam-clamp-tape-reach
dam-inner-scuffed: inner-scuffed-length
dam-inner-flame: inner-flame-whole inner-flame-time
dam-pads: dam-pads-number dam-pad-length dam-pads-overlap dam-pads-span
dam-section: dam-section-length
dam-vinyl: dam-vinyl-laps
desiccant: desiccant-on-paper
desk-reading: desk-reads-back back-at-baseline desk-reads-in-time
desk-told-after: desk-told-restored proved-before-report
desk-told-first: desk-told-first
exposed: buried-cable-exposed
first-aid: first-aid-near
flame-off-tape: preheat-off-tape
flamed-not-waiting: poly-flamed-at-sleeve
foreign-voltage: voltage-before-hands
gas-before-entry: gas-before-entry air-retested-before-entry
gas-before-flame: gas-test-before-flame
gas-hourly: gas-test-hourly
guarded: opening-guarded
hazardous-air: gas-before-entry gas-good-at-flame out-when-gas oxygen-good-at-entry out-when-oxygen-bad
hold-test-valid: hold-when-cool hold-isolated hold-long-enough
hold-test: hold-tested hold-fall
insulation-read: insulation-read-before insulation-read-after
joint-bonded-first: lead-bond-before-opening power-joint-bonded-first
ladder: ladder-where-deep
lashing-clamped: lashing-clamped-first
lead-clean-before-scuff: lead-clean-before-scuff
lead-hands-and-scrap: hands-washed scrap-bagged
lead-ready: lead-scuffed lead-wiped lead-preheated
lead-scuffed-length: lead-scuffed lead-scuffed-length lead-scuffed-under-adhesive lead-scuffed-under-sleeve
  auxiliary-lead-under-adhesive auxiliary-lead-scuffed-length
lead-tape-layers: lead-tape-layers lead-tape-lap
lead-tape-overlap: lead-tape-overlap
muslin: muslin-on-paper
oxygen-before-entry: oxygen-before-entry
pairs-clear: pairs-clear-before-closing
pit-air: pit-air-tested
pole-inspected: pole-before-weight
ramp-tape: auxiliary-ramp-width
raised-slowly: raised-slowly
relashed: relashed-when-done lashed-at-end
removal-blade: removal-blade
removal-bridged: removal-bond-on-lead removal-bond-on-polyethylene
restored: pressure-restored new-sleeve-proved
restoring-pressure-limit: restoring-pressure
right-cable: cable-identified cable-identified-twice
section-isolated: section-isolated-first
shored: sides-protected
sleeve-length: sleeve-long-enough sleeve-allowance repair-sleeve-long-enough repair-sleeve-allowance
  aluminum-sleeve-long-enough aluminum-sleeve-allowance
sleeve-looked-at: sleeve-inspected new-sleeve-finished
sleeve-protected: sleeve-protected
sleeve-size: diameters-before-size diameters-in-order sleeve-slips-over sleeve-shrinks-onto sleeve-within-stock
soap-rinsed: soap-rinsed
soaped: soap-shows-tight new-sleeve-proved
solvent-dry: poly-dry-before-scuff inner-dry-before-scuff solvent-dry-before-flame
strand-safe: strand-before-touch
tank-outside: tank-stays-out
test-after-pumping: air-retested-for-work air-retested-before-entry
torch-lit: torch-lit-for-flame no-solvent-while-lit
torch-out: torch-out-at-end
utilities-located: utilities-before-digging
vent-open: vent-open-until-cool
water-below-cable: water-below-cable
water-out: water-out-of-trench
way-out: way-out-of-pit
whole-opening-tape: opening-tape-layers opening-tape-lap opening-tape-width opening-tape-start
wire-work-tape: core-tape-layers core-tape-lap
work-inside: work-is-inside in-manhole-after-leaving
zero-before-opening: zero-before-opening outer-zero-before-opening cable-bled dam-both-volumes-zero
  core-read-beside-space
zero-before-shrinking: zero-again-before-shrinking outer-zero-before-opening cable-bled core-read-beside-space
zero-until-cool: zero-until-cool
""".replace("\n  ", " ")

RULES = {row: frozenset(rules.split()) for row, rules in (line.split(":") for line in _RULES.strip().splitlines())}
"""Row -> rule ids. Rows of the sequences are carried by many small rules and are compared as a whole only."""
