"""The parts of a packet, one module each: plain contents in, a list of flowables out."""
