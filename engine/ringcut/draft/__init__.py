"""Draft: plans made from the facts of a job and the model procedures of a rulebook."""
