"""Forms: one file for each form of rule, all judged over the same interface, so that plan and log mean the same."""
