"""Many logs to verdicts: what decides a verdict is remembered, the reference interpreter judges what is new.

A log is cut into texts (``cutting``), each text is read once (``entries``, ``frames``), and what rules can see of it
becomes a letter (``letters``). A rule looks at some steps only (``footprint``), so its level is remembered for the
letters of those steps, with the outcomes of the comparisons of numbers and times that no letter holds (``checks``).
A log of one person whose pieces were all met before is known by these, without a look at its entries (``strips``,
``chains``). What was never seen is judged by ``judge.level_of``; what is unusual is left to the audit of single logs.
"""
