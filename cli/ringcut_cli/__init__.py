"""The commands of Ringcut, its pages and its demo: everything that a person sees.

The engine (``import ringcut``) does the work; this package reads the command line, hands files over, and
writes what comes back: the result to stdout, everything else to stderr.
"""
