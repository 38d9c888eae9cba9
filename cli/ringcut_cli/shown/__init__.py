"""What people see in a terminal: pages of text, written from data and never from a printed message."""
