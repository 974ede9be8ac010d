# Text of commissioning.
