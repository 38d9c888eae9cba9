"""The work card: a plan as one page of HTML for paper, phone and grease pencil, and its blank log form."""
