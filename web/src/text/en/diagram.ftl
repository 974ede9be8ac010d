# Text of diagram.
