"""Relations: what comes before what, what is true between steps, and what was read where."""
