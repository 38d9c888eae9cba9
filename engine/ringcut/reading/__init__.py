"""Reading: measures as people write them, YAML with positions, and problems that say where they are."""
