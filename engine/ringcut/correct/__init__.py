"""Correct: the smallest change after which a plan conforms, looked for by judging, never by guessing."""
