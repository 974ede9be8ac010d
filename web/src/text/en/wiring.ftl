# Text of wiring.
