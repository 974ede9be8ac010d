# Text of signoff.
