"""One module for each command, named like it; each has its click command under the name ``command``.

A command returns an :class:`ringcut_cli.exits.Exit` (None means 0) and lets input errors pass: the group
tells them. A module here is imported only when its command is used.
"""
