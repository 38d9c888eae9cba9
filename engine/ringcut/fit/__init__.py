"""Fit: the constraint layer, and over it what the rules demand of the readings that a plan leaves open.

The layer itself knows no cables and no rulebook. Variables with finite domains and labelled constraints go in
(``problem``); a first choice, the best choice, the values left for each variable, or a minimal conflict come out
(``solve``, ``answers``). "Impossible" and "gave up" are different types. ``conflict`` explains any set that cannot
hold together; ``network`` is critical path and simple temporal network.

``binding`` turns the limits of a rulebook into such problems; ``leftopen`` puts the answers into the report of a plan.
"""
