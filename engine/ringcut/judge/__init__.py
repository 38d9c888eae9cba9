"""Judge: every rule on a procedure, causes told once, the verdict."""
