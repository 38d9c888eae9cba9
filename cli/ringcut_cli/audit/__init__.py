"""The parts of ``ringcut audit``: the run over many logs, and one module for each form of its result."""
