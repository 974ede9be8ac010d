# Text of loop-strip.
