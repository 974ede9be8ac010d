# Text of common.
