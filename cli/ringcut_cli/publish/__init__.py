"""What an author puts out: the rulebook as pages, and the schemas of every format."""
