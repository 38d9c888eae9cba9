"""Report: findings and verdicts as data, the published JSON."""
