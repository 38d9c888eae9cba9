"""Language: the words rules may use, the rules themselves as typed data, and their expressions."""
