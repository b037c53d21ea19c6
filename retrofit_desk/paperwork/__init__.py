"""PDF packets and whether they are ready."""
